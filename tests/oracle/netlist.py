"""The same parts in ngspice: a netlist in, potentials out."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Sequence
from pathlib import Path

from oracle.algebra import Circuit
from oracle.drawing import Part


def potentials(parts: Sequence[Part], pairs: Sequence[tuple[str, str]], folder: Path) -> list[float]:
    """Return what ngspice puts between each pair of nodes [V]; each island is tied to 0 V by 1 MΩ."""
    circuit = Circuit(parts)
    lines = ["a pack"]
    for number, part in enumerate(parts):
        start, end = circuit.index[part.start] + 1, circuit.index[part.end] + 1
        lines += [f"V{number} m{number} {start} DC {part.emf!r}", f"R{number} m{number} {end} {part.ohm!r}"]
    lines += [f"Rg{number} {circuit.index[root] + 1} 0 1e6" for number, root in enumerate(circuit.roots)]
    shown = [(circuit.index[plus] + 1, circuit.index[minus] + 1) for plus, minus in pairs]
    lines += [".options reltol=1e-9 abstol=1e-12 vntol=1e-9", ".control", "set numdgt=12", "op"]
    lines += [f"let d{i} = v({plus}) - v({minus})\nprint d{i}" for i, (plus, minus) in enumerate(shown)]
    deck = folder / "pack.cir"
    deck.write_text("\n".join([*lines, "quit", ".endc", ".end", ""]), encoding="ascii")
    run = subprocess.run(["ngspice", "-b", str(deck)], capture_output=True, text=True, timeout=60, check=False)
    found = dict(re.findall(r"^(d\d+) = (\S+)", run.stdout, re.MULTILINE))
    return [float(found[f"d{i}"]) for i in range(len(pairs))]
