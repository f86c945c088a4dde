"""Records of a pack of 24 modules of 7.92 V and 10 mΩ with readings worked out by plain arithmetic."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import Text, open_bytes
from packcheck.model.record.model import Record

V, U = 7.92, 15.84
"""A module's rest voltage and a block's, two modules [V]."""
TOTAL = 24 * V
BLOCKS = [("T01", "T00"), ("T02", "T01"), ("T03", "T02"), ("T04", "T03"), ("T05", "T04"), ("T06", "T05"),
          ("T07", "T06x"), ("T08", "T07"), ("T09", "T08"), ("T10", "T09"), ("T11", "T10"), ("T12", "T11")]  # fmt: skip
LAYOUT = shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml"


def vector(**changed: float) -> list[float]:
    """Return the twelve blocks as they should be, some of them otherwise: ``X4=0.0``."""
    return [changed.get(f"X{number}", U) for number in range(1, 13)]


def record(
    blocks: Sequence[float],
    total: float | None = None,
    *,
    loaded: Sequence[float] = (),
    rests: Mapping[int, float] | None = None,
    total_with: str = "V1",
    layout: Path = LAYOUT,
    more: Sequence[str] = (),
) -> Record:
    """Return a record whose modules were read at 7.92 V, with the twelve blocks, the total, and blocks under 20 A."""
    rows = [f"  X{i}: [{plus}, {minus}, {volts:.4f}, none]"
            for i, ((plus, minus), volts) in enumerate(zip(BLOCKS, blocks, strict=True), 1)]  # fmt: skip
    if total is not None:
        rows.append(f"  total: {{between: K1.1, and: K2.2, value: {total:.4f} V, state: plug in, with: {total_with}}}")
    rows += [f"  L{i}: {{between: {plus}, and: {minus}, value: {volts:.4f} V, load: 20 A, state: live}}"
             for i, ((plus, minus), volts) in enumerate(zip(BLOCKS, loaded, strict=False), 1)]  # fmt: skip
    facing = ["A", "B"] * 12
    modules = [f"  P{i:02d}: [M-{i}, {facing[i - 1]}, stick, {(rests or {}).get(i, V)}, 10]" for i in range(1, 25)]
    text = "\n".join([
        "record: 1", "layout: skerry-24.yaml", "of: {name: skerry-24, revision: 4, pack: SK-1}",
        "people: {MK: fitter}", "instruments:",
        "  V1: {kind: multimeter, accuracy: 0.03 % + 2 mV, input: 10 MΩ, due: 2027-02-01}",
        "  V2: {kind: multimeter, accuracy: 0.03 % + 2 mV, input: 10 MΩ, due: 2027-02-01}",
        "modules:", "  columns: [serial, plus at, type, rest V, resistance mΩ]",
        "  taken: {at: 2026-10-05, by: MK, with: {rest: V2}, state: loose}", *modules,
        "bars: {B01..B11: as drawn, B13..B23: as drawn}", "leads: {W1..W5: as drawn}",
        "devices: {F1: as drawn, K1: as drawn, K2: as drawn, R1: as drawn, SD: as drawn}",
        "readings:", "  columns: [between, and, value V, load A]",
        "  taken: {at: 2026-10-05 14:00, by: MK, with: V1, state: plug out}", *rows, *more, "",
    ])  # fmt: skip
    layout_text = Text(layout.read_bytes(), "skerry-24.yaml")
    found = open_bytes(text.encode(), "record.yaml", layout_text).record
    assert found is not None
    return found
