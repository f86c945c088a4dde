"""A blank record of a layout: every row that a rule can use, in working order, with what it has to be beside it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from packcheck.facts.tables.places import RUNS
from packcheck.facts.tables.tests import FOUND
from packcheck.files.quantities import format_quantity
from packcheck.judging.asked_of_tests import ISOLATION_TEST, WHOLE
from packcheck.judging.readings_to_take import asked_isolation, asked_readings
from packcheck.judging.staging import StageOfWork, Stages
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import faces_of
from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.model.pack.types import Bounds
from packcheck.model.record.cell_tables import PACK_KEYS, SHAPES, WITH
from packcheck.model.record.sheets import IS
from packcheck.model.record.taken_tests import name_of
from packcheck.model.record.to_blocks import Block, Column, Line
from packcheck.model.record.vents import drawn_words
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import GATES, Gate

METER, WRENCH, OHMMETER, GAUGE = "meter", "wrench", "ohmmeter", "gauge"
"""What the instruments of a blank record are called until somebody names them otherwise."""
_KINDS = {METER: "multimeter", WRENCH: "click wrench", OHMMETER: "micro-ohmmeter", GAUGE: "length gauge"}
TO_BE, WHERE = "to be", "where"
"""Headings of what is said beside a row, for people."""
_FILL = (
    "Fill in what was found, never what ought to be. Leave empty what nobody looked at, or write none.",
    "Dates are written 2026-10-05 08:40, numbers with a point: 7.92. Every instrument has its accuracy and due date.",
    "A second reading never overwrites the first: it goes into the table `again`, with its time and its reason.",
)
_COLUMNS = {
    "modules": (Column("serial"), Column("plus at"), Column("type"), Column("rest", "V")),
    "clamp": (Column("length", "mm"), Column("torque", "N·m")),
    "bars": (Column(IS), Column("lands"), Column("condition")),
    "leads": (Column(IS), Column("lands"), Column("condition")),
    "joints": (Column("torque", "N·m"), Column("resistance", "µΩ"), Column("at")),
    "caps": (Column(IS),),
    "devices": (Column(IS),),
    "taps": (Column(IS), Column("on")),
    "covers": (Column(IS), Column("screws")),
    "vents": (Column(IS), Column("over"), Column("to"), Column("blown at"), Column("felt at")),
    "readings": (Column("between"), Column("and"), Column("value", "V"), Column("at")),
    "parts": (Column("issued"), Column("fitted"), Column("returned"), Column("scrapped")),
    "tools": (Column("out"), Column("in")),
    "isolation": (
        Column("minus at"), Column("plus at"), Column("poles", "V"), Column("minus to chassis", "V"),
        Column("plus to chassis", "V"), Column("resistor", "kΩ"), Column("resistor in", "V"),
    ),
    "tests": (Column("value"), Column("under"), Column(WITH), Column("at")),
    "words": (Column("found"), Column("at")),
    "recheck": (Column("recheck"), Column("recheck at"), Column("mark")),
}  # fmt: skip
_TAKEN = {
    "modules": {"at": "", "by": "", "with rest": METER, "state": "loose"},
    "clamp": {"at": "", "by": "", "with length": GAUGE, "with torque": WRENCH},
    "joints": {"at": "", "by": "", "with torque": WRENCH, "with resistance": OHMMETER},
    "readings": {"at": "", "by": "", "with": METER},
    "isolation": {
        "at": "", "by": "", "with poles": METER, "with minus to chassis": METER, "with plus to chassis": METER,
        "with resistor": OHMMETER, "with resistor in": METER,
    },
    **{kind: {"at": "", "by": ""} for kind in ("bars", "leads", "devices", "covers", "vents", "tests", "words")},
}  # fmt: skip
_ORDER = (
    "modules", "clamp", "bars", "leads", "joints", "caps", "devices", "taps", "vents", "covers", "readings",
    "isolation", "tests", "words", "parts", "recheck",
)  # fmt: skip
_SECTION = {"recheck": "joints", "words": "tests"}
"""The table of what is asked for apart from the rest of it."""


@dataclass(frozen=True)
class Blank:
    """The blocks of a blank record, and lines for whoever fills it in."""

    blocks: tuple[Block, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True)
class _Asked:
    """One row to be filled in: in which table, of what, by which gate; ``kind`` is the table, or the part of one."""

    kind: str
    datum: Datum
    gate: Gate
    line: Line
    state: str = ""


def blank_record(pack: Pack) -> Blank:
    """Return a blank record of a layout: what to record, at which stage of the work, and nothing filled in."""
    stages = Stages(pack)
    staged: dict[tuple[int, int, str, int, str], list[_Asked]] = {}
    for asked in _asked(pack):
        at: StageOfWork = stages.of(asked.datum, asked.gate)
        key = (at.rank, GATES.index(asked.gate), at.title, _ORDER.index(asked.kind), asked.state)
        staged.setdefault(key, []).append(asked)
    blocks = [
        _block(pack, stages, key[2], rows)
        for key, rows in sorted(staged.items(), key=lambda item: item[0][:2] + item[0][3:])
    ]
    used = {name for block in blocks for key, name in block.taken.items() if key.startswith("with")}
    title = f"Record of one build of {pack.name}, revision {pack.revision}"
    return Blank((*_front(pack, used), *blocks, *_beside()), (title, *_FILL))


def _block(pack: Pack, stages: Stages, title: str, rows: Sequence[_Asked]) -> Block:
    kind = rows[0].kind
    columns = [c for c in _COLUMNS[kind] if c.name != "type" or len(pack.module_types) > 1]
    taken = dict(_TAKEN.get(kind, {})) | ({"state": rows[0].state} if kind in ("readings", "isolation") else {})
    lines = [_with_target(stages, row) for row in rows]
    section = _SECTION.get(kind, kind)
    return Block(section, tuple(columns), tuple(lines), taken, "", title)


def _with_target(stages: Stages, row: _Asked) -> Line:
    target = stages.target(row.datum)
    return replace(row.line, beside={TO_BE: target, **row.line.beside}) if target else row.line


def _front(pack: Pack, used: set[str]) -> Iterator[Block]:
    """Yield what is told of pack, people and instruments."""
    known = {"layout": pack.file.replace("\\", "/").rpartition("/")[2], "name": pack.name, "revision": pack.revision}
    help_ = {"pack": "serial of the pack", "sha256": "of the layout file, as `packcheck check` prints it",
             "extra": "none, once somebody has looked along every face that nothing else conducts"}  # fmt: skip
    lines = [Line(key, {"value": known.get(key)}, {"what": help_.get(key, "")}) for key in PACK_KEYS]
    yield Block("pack", (Column("value"),), tuple(lines))
    yield Block("people", (Column("did"),), (), {}, "initials, and what each one did")
    columns = tuple(Column(name) for name in ("kind", "accuracy", "range", "input", "due", "cycles", "serial"))
    named = [Line(name, {"kind": _KINDS[name]}) for name in _KINDS if name in used]
    yield Block("instruments", columns, tuple(named), {}, "accuracy as its maker states it, as 0.03 % + 2 mV")


def _beside() -> Iterator[Block]:
    """Yield the tables that are filled in as the work goes on."""
    yield Block("tools", _COLUMNS["tools"], (), {}, "taken out and brought back", "tools and work")
    columns = tuple(Column(n) for n in ("at", "by", "second", "gloves", "gloves tested", "did", "took off", "notes"))
    yield Block("work", columns, (), {}, "each step as it was done, in the words of the order", "tools and work")
    again = (
        "at", "by", "with", "joint", "reading", "module", "torque", "resistance", "value", "rest", "why",
        "replaced",
    )  # fmt: skip
    yield Block("again", tuple(Column(name) for name in again), (), {}, "second readings, each with its unit", "again")
    yield Block("notes", (Column("note"),), (), {}, "", "again")


def _asked(pack: Pack) -> Iterator[_Asked]:
    """Yield every row, by table."""
    fitted = "whether it is fitted"
    for name in pack.positions:
        module = pack.module_type_at(name)
        rest = _window(module.rest_v)
        posts = {"posts": " or ".join(module.posts)}  # neither is said to be +: that is seen
        yield _ask("modules", "rest voltage", name, beside={TO_BE: rest, **posts} if rest else posts)
    if pack.clamp:
        clamp = _window(pack.clamp.length_mm, "mm")
        yield _ask("clamp", "torque of the clamp rods", "clamp", beside={"length to be": clamp} if clamp else {})
    for name, conductor in pack.conductors.items():
        lands = " to ".join(landing.node for landing in conductor.lands)
        kind = "leads" if conductor.kind == "lead" else "bars"
        face = ", ".join(sorted(faces_of(pack, conductor)))
        yield _ask(kind, fitted, name, beside={"drawn": lands, "face": face} if face else {"drawn": lands})
    for name, (_, landing) in pack.joints.items():
        kind_of = pack.joint_types.get(landing.joint_type)
        if kind_of and (kind_of.thread or kind_of.torque_n_m != Bounds()):
            yield _ask("joints", "torque", name, beside={WHERE: _where(pack, landing.node)})
            yield _ask("recheck", "re-check", name, gate=Gate.RELEASE, beside={WHERE: _where(pack, landing.node)})
    for node in capped_places(pack):
        yield _ask("caps", "whether its cap is on", node)
    for name, device in pack.devices.items():
        yield _ask("devices", fitted, name, beside={"drawn": _device(device.kind, device.rating_a, device.current)})
    for name, tap in pack.taps.items():
        yield _ask("taps", "where the tap sits", name, beside={"drawn": tap.node})
    for name in pack.vents:
        yield _ask("vents", RUNS, name, beside={"drawn": drawn_words(pack, name)})
    for name, cover in pack.covers.items():
        yield _ask("covers", fitted, name, beside={"drawn": f"over {cover.over}"})
    named: set[str] = set()
    for plus, minus, state, gate in asked_readings(pack):
        pair = f"{plus} to {minus}"
        line = Line(f"{pair} {state}" if pair in named else pair, {"between": plus, "and": minus})
        named.add(pair)
        yield _Asked("readings", Datum("voltage", plus, "multimeter"), gate, line, state)
    if poles := asked_isolation(pack):
        line = Line(WHOLE, {"minus at": poles.minus, "plus at": poles.plus})
        yield _Asked("isolation", Datum(ISOLATION_TEST, pack.name, "multimeter"), Gate.RELEASE, line, poles.state)
    yield from _asked_tests(pack)
    for name in needed_parts(pack):
        yield _ask("parts", "number fitted", name)


def _asked_tests(pack: Pack) -> Iterator[_Asked]:
    for test in pack.tests.values():
        told = test.written or (test.words[0] if test.words else "")
        beside = {TO_BE: told, "take with": test.instrument, "under to be": test.under_written}
        kind = "words" if test.quantity is None else "tests"
        for point in test.points:
            name = name_of(test, point.name)
            yield _ask(
                kind, FOUND, name, gate=Gate(test.gate), beside={key: said for key, said in beside.items() if said}
            )


def _ask(kind: str, what: str, name: str, *, gate: Gate = Gate.PLUG_IN, beside: dict[str, str] | None = None) -> _Asked:
    shape = SHAPES[_SECTION.get(kind, kind)]
    return _Asked(kind, Datum(what, name, "eyes" if IS in shape.texts else ""), gate, Line(name, {}, beside or {}))


def _where(pack: Pack, node: str) -> str:
    face = pack.face_of(node)
    return f"{node}, face {face}" if face else node


def _device(kind: str, rating_a: float | None, current: str) -> str:
    rated = format_quantity(rating_a, "A") if rating_a else ""
    return ", ".join(filter(None, (kind, rated, f"current {current}" if current else "")))


def _window(bounds: Bounds, unit: str = "V") -> str:
    if bounds.low is None or bounds.high is None:
        return ""
    return f"{format_quantity(bounds.low, unit)} to {format_quantity(bounds.high, unit)}"
