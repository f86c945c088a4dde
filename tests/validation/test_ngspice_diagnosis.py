"""Readings of faulty packs from the circuit simulator ngspice (Debian package), explained by a diagnosis.

The circuit is written out here from the drawing of a pack, with the fault in it; the program sees a record that says
all is as drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from near_misses import BLOCKS, V, record, vector
from oracle.drawing import Part
from oracle.netlist import potentials
from spice import REASON_MISSING, may_be_skipped

from packcheck.diagnosis.answer import diagnose

pytestmark = [pytest.mark.ngspice, pytest.mark.skipif(may_be_skipped(), reason=REASON_MISSING)]


def pack(closed: bool) -> list[Part]:
    """Return the 24 modules, joints of 90 µΩ with half a bar each, and the disconnect in the middle if it is in."""
    parts = []
    for i in range(1, 25):
        plus, minus = ("A", "B") if i % 2 else ("B", "A")
        parts.append(Part(f"P{i:02d}", f"P{i:02d}.{minus}", f"P{i:02d}.{plus}", 0.010, V))
        if i < 24 and i != 12:
            face = plus
            parts += [Part(f"B{i:02d}a", f"P{i:02d}.{face}", f"B{i:02d}", 90e-6),
                      Part(f"B{i:02d}b", f"B{i:02d}", f"P{i + 1:02d}.{face}", 90e-6)]  # fmt: skip
    if closed:
        parts.append(Part("SD", "P12.B", "P13.B", 400e-6))
    return parts


def readings(fault: Callable[[list[Part]], list[Part]], folder: Path) -> tuple[list[float], float]:
    """Return what ngspice gives at the taps with the plug out, and at the mains with it in."""
    at = {f"T{i:02d}": f"P{2 * i:02d}.B" for i in range(1, 13)} | {"T00": "P01.B", "T06x": "P13.B"}
    blocks = potentials(fault(pack(False)), [(at[plus], at[minus]) for plus, minus in BLOCKS], folder)
    (total,) = potentials(fault(pack(True)), [("P24.B", "P01.B")], folder)
    return [round(volts, 4) for volts in blocks], round(total, 4)


def turned(name: str) -> Callable[[list[Part]], list[Part]]:
    return lambda parts: [part._replace(emf=-part.emf) if part.name == name else part for part in parts]


def bridged(*names: str) -> Callable[[list[Part]], list[Part]]:
    return lambda parts: [part._replace(emf=0.0, ohm=220e-6) if part.name in names else part for part in parts]


def stray(one: str, other: str) -> Callable[[list[Part]], list[Part]]:
    return lambda parts: [*parts, Part("X", one, other, 220e-6)]


@pytest.mark.parametrize(("fault", "kind", "parts"), [
    (turned("P07"), "module turned", ("P07",)), (turned("P18"), "module turned", ("P18",)),
    (bridged("P09"), "module bridged", ("P09",)), (bridged("P07", "P08"), "block bridged", ("P07", "P08")),
    (stray("P06.B", "P08.B"), "conductor stray", ("P06.B to P08.B",)),
    (stray("P15.A", "P17.A"), "conductor stray", ("P15.A to P17.A",)),
])  # fmt: skip
def test_the_fault_in_the_circuit_is_in_the_list(
    fault: Callable[[list[Part]], list[Part]], kind: str, parts: tuple[str, ...], tmp_path: Path
) -> None:
    blocks, total = readings(fault, tmp_path)
    assert blocks != vector(), "the fault shows"
    found = diagnose(record(blocks, total))
    assert (kind, parts) in {(fit.hypothesis.kind, fit.hypothesis.parts) for fit in found.fits}
    assert found.misfits


def test_the_sound_circuit_needs_no_fault(tmp_path: Path) -> None:
    blocks, total = readings(lambda parts: parts, tmp_path)
    assert diagnose(record(blocks, total)).nothing_needed
    assert not diagnose(replace(record(blocks, total - 1.32))).nothing_needed
