"""A technician for tests: fills in a blank record as it comes from the program, cell by cell, for a clean build."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal
from typing import Any

from with_tests import INSTRUMENTS as TEST_INSTRUMENTS
from workshop import METER, OHMMETER, RULE, WRENCH, bare_record

from packcheck.judging.blank import Blank, blank_record
from packcheck.model.pack.model import Pack
from packcheck.model.record.to_blocks import Block, Line
from packcheck.network.graph import network_of_layout
from packcheck.network.topology import spanning_forest, tree_potentials

WHEN = {"modules": "2026-10-05 08:40", "clamp": "2026-10-05 10:00", "bars": "2026-10-05 10:40",
        "leads": "2026-10-05 10:40", "joints": "2026-10-05 11:20", "devices": "2026-10-05 11:30",
        "covers": "2026-10-05 13:00", "tests": "2026-10-05 15:30",
        "isolation": "2026-10-05 15:20",
        "readings": "2026-10-05 14:00"}  # fmt: skip
INSTRUMENTS = {"meter": METER, "wrench": WRENCH, "ohmmeter": OHMMETER, "gauge": RULE}
PACK = {"pack": "TB-1", "extra": "none"}


def filled(pack: Pack, left_out: tuple[str, str] = ("", ""), tests: Any = None) -> tuple[Block, ...]:
    """Return the blocks of a blank record, filled in; ``left_out`` is a table and a column that nobody fills in.

    ``tests`` is what tests found, for a layout that asks for some.
    """
    blank: Blank = blank_record(pack)
    random_ = random.Random(1)
    voltage = {p: round(pack.module_type_at(p).rest_middle_v * (1 + random_.uniform(-0.0005, 0.0005)), 3)
               for p in pack.positions}  # fmt: skip
    record = {**bare_record(pack, voltage, random_), "tests": tests or {}}
    return tuple(_block(pack, block, record, voltage, left_out) for block in blank.blocks)


def _block(pack: Pack, block: Block, record: Any, voltage: Any, left_out: tuple[str, str]) -> Block:
    if block.section == "people":
        return replace(block, lines=(Line("MK", {"did": "fitter"}), Line("TO", {"did": "second person"})))
    if block.section == "instruments" and record["tests"]:
        block = replace(block, lines=(*block.lines, *(Line(name, spec) for name, spec in TEST_INSTRUMENTS.items())))
    if block.section == "tools":
        return replace(block, lines=(Line("spanner-8", {"out": 1, "in": 1}),))
    later = block.stage.startswith("plug in")
    when = "2026-10-05 15:00" if later else WHEN.get(block.section, "")
    taken = {key: when if key == "at" else "MK" if key == "by" else value for key, value in block.taken.items()}
    lines = tuple(
        replace(line, cells={c.name: value for c in block.columns
                             if (block.section, c.name) != left_out
                             and (value := _cell(pack, block, line, c.name, record, voltage)) is not None})
        for line in block.lines
    )  # fmt: skip
    return replace(block, taken=taken, lines=lines)


def _cell(pack: Pack, block: Block, line: Line, column: str, record: Any, voltage: Any) -> Any:
    section, name = block.section, line.name
    if section == "pack":
        return PACK.get(name, line.cells.get("value"))
    if section == "instruments":
        return {**INSTRUMENTS, **TEST_INSTRUMENTS}[name].get(column)
    if section == "isolation":
        return _isolation(pack, line, column, block.taken["state"], voltage)
    if section == "tests":
        return _of_test(record["tests"][name], column)
    if section == "readings":
        if column != "value":
            return line.cells.get(column)
        return _volts(pack, line.cells["between"], line.cells["and"], block.taken["state"], voltage)
    if section == "clamp":
        return record["clamp"].get(column)
    if section == "caps" and column == "is":
        return "on"
    if column in ("is", "condition"):
        return {"is": "as drawn", "condition": "sound"}[column]
    if column == "recheck at":
        return "2026-10-08 08:00"
    if column == "serial" and name in pack.plan:
        return pack.plan[name]
    table = record.get(section, {})
    headings = [heading.split(" N·m")[0].split(" µΩ")[0].split(" V")[0] for heading in table.get("columns", ())]
    if section == "covers":
        return pack.covers[name].screws
    if column not in headings:
        return None
    value = table[name][headings.index(column)]
    return Decimal(str(value)) if isinstance(value, float) else value


def _isolation(pack: Pack, line: Line, column: str, state: str, voltage: Any) -> Any:
    """Return what a meter of 10 MΩ reads on a pack with 40 MΩ from each pole to the chassis, and 100 kΩ put in."""
    if column in ("minus at", "plus at"):
        return line.cells[column]
    poles = abs(float(_volts(pack, line.cells["plus at"], line.cells["minus at"], state, voltage).removesuffix(" V")))
    with_meter, with_resistor = 1 / (1 / 40e6 + 1 / 10e6), 1 / (1 / 40e6 + 1 / 10e6 + 1 / 100e3)
    at_pole = lambda ohm: Decimal(f"{poles * ohm / (ohm + 40e6):.4f}")  # noqa: E731
    read = {"poles": Decimal(f"{poles:.3f}"), "resistor": Decimal(100), "resistor in": at_pole(with_resistor)}
    return read.get(column, at_pole(with_meter))


def _of_test(found: Any, column: str) -> Any:
    """Return a cell of a test; a condition is told without its instrument, as it was set."""
    cell = found.get(column)
    return cell["value"] if isinstance(cell, dict) else cell


def _volts(pack: Pack, plus: str, minus: str, state: str, voltage: Any) -> str:
    edges = [edge for edge in network_of_layout(pack).closed(pack.states[state].closed) if not edge.is_load]
    forest = spanning_forest([e._replace(emf_v=voltage[e.part]) if e.kind == "module" else e for e in edges])
    at, (one, other) = tree_potentials(forest), (pack.node_of(plus) or plus, pack.node_of(minus) or minus)
    return f"{at[one] - at[other] if forest.joined(one, other) else 0.003:.3f} V"
