"""Run a network through ngspice in batch mode and read back every potential and current with all digits."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Hashable, Mapping, Sequence
from pathlib import Path

from packcheck.network.circuit import Branch

REASON_MISSING = "ngspice is not on the path (Debian package ngspice): nothing was compared with it"


def is_missing() -> bool:
    """Return whether the ngspice binary cannot be found."""
    return shutil.which("ngspice") is None


def may_be_skipped() -> bool:
    """Return whether the comparison is to be left out: ngspice is missing, and nobody insists on it."""
    return is_missing() and os.environ.get("PACKCHECK_REQUIRE_NGSPICE") != "1"


def write_netlist(
    path: Path, branches: Sequence[Branch], island: Mapping[Hashable, Hashable], answer: Path | None
) -> dict[Hashable, int]:
    """Write a netlist with numbered nodes, each island's representative being node 0; return the numbers.

    To be read back (``answer`` given), each branch is a source (0 V if it has none) and a resistor, so that its current
    is a quantity of its own; otherwise the netlist is the leanest one, a source only where there is one.
    """
    number: dict[Hashable, int] = {name: 0 for name, root in island.items() if name == root}
    for name in island:
        number.setdefault(name, len(number) + 1)
    lines = ["* network"]
    for place, branch in enumerate(branches):
        start, end = number[branch.start], number[branch.end]
        middle = f"m{place}" if branch.emf or answer else str(start)
        if middle != str(start):
            lines.append(f"v{place} {middle} {start} {float(branch.emf)!r}")
        lines.append(f"r{place} {middle} {end} {float(branch.resistance)!r}")
    lines += [".control", "set filetype=ascii", "set numdgt=15", "op"]
    lines += [f"write {answer} all"] if answer else ["print v0#branch"]
    path.write_text("\n".join([*lines, "quit 0", ".endc", ".end", ""]))
    return number


def run_ngspice(netlist: Path) -> None:
    """Run ngspice on a netlist; raise when it reports failure."""
    subprocess.run(["ngspice", "-b", netlist.name], cwd=netlist.parent, capture_output=True, text=True, check=True)


def ngspice_solution(
    folder: Path, branches: Sequence[Branch], island: Mapping[Hashable, Hashable]
) -> tuple[dict[Hashable, float], list[float]]:
    """Return ngspice's potentials [V] by node and currents [A] by branch for a network."""
    netlist, answer = folder / "network.cir", folder / "answer.raw"
    number = write_netlist(netlist, branches, island, Path(answer.name))
    run_ngspice(netlist)
    header, values = answer.read_text().split("Values:\n")
    names = [line.split()[1].lower() for line in header.split("Variables:\n")[1].splitlines() if line.strip()]
    found = dict(zip(names, (float(text) for text in values.split()[1:]), strict=True))
    potential = {name: found[f"v({place})"] if place else 0.0 for name, place in number.items()}
    return potential, [-found[f"i(v{place})"] for place in range(len(branches))]
