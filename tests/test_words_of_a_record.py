"""Every word that a record can hold is judged by a rule, or stands in the answer as judged by none.

For each column of each table, and each key of the schema, one word of a record is changed; facts, or what the answer
lists, must then differ.  What only names things for people is listed with the reason why nothing follows from it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from faulty_builds import Build
from workshop import Data, record_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.files.shipped import shipped_folder
from packcheck.judging.provenance import read_again, stated_by, unjudged_in
from packcheck.model.record import sheets

SHEETS = tuple(s for s in vars(sheets).values() if isinstance(s, sheets.Sheet) and s is not sheets.CLAMP)
NOTHING_FOLLOWS = {
    "$schema": "it names the schema of the file for an editor",
    "record": "the version of the language",
    "layout": "the file is opened by it; another layout is another pack",
    "of.name": "another name is refused",
    "of.revision": "another revision is refused",
    "people.*": "who is listed counts; what they are is for people",
    "instruments.*.serial": "names the instrument for people; two records are not compared",
    "*.columns": "the headings of the cells, each of which is below",
}
SECTIONS = tuple(sheet.section for sheet in SHEETS)


def schema() -> Data:
    folder = shipped_folder("rules").parent / "packcheck" / "schemas"
    loaded: Data = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    return loaded


def keys_of(part: Data, way: tuple[str, ...] = ()) -> Iterator[str]:
    """Yield the ways to the leaves of a schema; tables count by their columns."""
    inner = {**part.get("properties", {})}
    if isinstance(part.get("additionalProperties"), dict) and part["additionalProperties"]:
        inner["*"] = part["additionalProperties"]
    if isinstance(part.get("items"), dict) and "properties" in part["items"]:
        inner |= part["items"]["properties"]
    for name, deeper in inner.items():
        if way == () and name in SECTIONS:
            continue
        below = list(keys_of(deeper, (*way, name)))
        yield from below or [".".join((*way, name))]


BESIDE: dict[str, Data] = {
    "shelf": {"capacity": "5.8 Ah", "lost": "10 mV"},
    "modules": {"serial": "M-1001"}, "bars": {"condition": "sound"}, "leads": {"condition": "sound"},
    "devices": {"part": "x"}, "joints": {"torque": "4.5 N·m", "recheck": "held"}, "taps": {"on": ["P2.B"]},
    "vents": {"over": ["P1..P6"], "to": "outlet", "blown at": "P6"},
    "isolation": {"minus at": "P1.B", "plus at": "P3.A", "poles": "23.85 V", "minus to chassis": "9.1 V",
                  "plus to chassis": "13.9 V", "resistor": "19 kΩ", "resistor in": "6.2 V", "state": "plug out",
                  "with": {"poles": "V1", "minus to chassis": "V1", "plus to chassis": "V1", "resistor in": "V1"}},
}  # fmt: skip
"""What else a row of each table says, so that leaving a word out does not leave the row empty."""
ROW = {"shelf": "M-1001", "modules": "P2", "bars": "B2", "leads": "W1", "devices": "K1", "joints": "B1/P1",
       "readings": "V1", "parts": "nut-m5", "tools": "spanner-8", "covers": "CA", "caps": "P2.A", "taps": "T2",
       "probes": "N1", "vents": "Z1", "isolation": "half A", "tests": "bonds/lid",
       "tests.found": "drain/left", "tests.file": "pictures/face A"}  # fmt: skip
CELLS: dict[str, tuple[Any, Any]] = {
    "shelf.type": ("stick", None), "shelf.lot": ("39A", None), "shelf.capacity": ("5.9 Ah", "3 Ah"),
    "shelf.resistance": ("10 mΩ", "30 mΩ"), "shelf.lost": ("12 mV", "500 mV"), "shelf.stood": ("168 h", None),
    "shelf.set aside": ("swollen", None),
    "modules.serial": ("M-1001", "M-1000"), "modules.plus at": ("B", "A"), "modules.type": ("stick", "other"),
    "modules.rest": ("7.95 V", "7.45 V"), "modules.capacity": ("5.9 Ah", "3 Ah"),
    "modules.resistance": ("10 mΩ", "30 mΩ"), "modules.mass": ("1 kg", None),
    "bars.lands": (["P2.B", "P3.B"], ["P2.B", "P4.A"]), "bars.part": ("bar", "other"),
    "bars.condition": ("sound", "cracked"), "bars.resistance": ("20 µΩ", None),
    "leads.lands": (["P3.A", "SD.1"], ["P4.A", "SD.1"]), "leads.part": ("x", "y"),
    "leads.condition": ("sound", "thin"), "leads.resistance": ("20 µΩ", None),
    "devices.part": ("x", "y"), "devices.rating": ("80 A", "60 A"), "devices.volts": ("250 V", "60 V"),
    "devices.breaks": ("20 kA", "1 kA"), "devices.current": ("1 to 2", "2 to 1"), "devices.seen": ("open", None),
    "joints.torque": ("4.5 N·m", "9 N·m"), "joints.resistance": ("80 µΩ", "400 µΩ"),
    "joints.recheck": ("held", "moved"),
    "joints.recheck at": ("2026-10-06 08:00", "2026-10-05 11:30"), "joints.mark": ("white", None),
    "parts.issued": (20, 19), "parts.fitted": (18, 17), "parts.returned": (2, 3), "parts.scrapped": (0, 1),
    "tools.out": (1, 2), "tools.in": (1, 0), "covers.screws": (6, 5),
    "taps.on": (["P2.B"], ["P4.B"]), "taps.resistance": ("1 Ω", None),
    "probes.on": ("P2", None), "probes.resistance": ("10 kΩ", None), "vents.hold": ("tight", None),
    "vents.over": (["P1..P6"], ["P1..P5"]), "vents.to": ("outlet", "inside"), "vents.blown at": ("P6", "P5"),
    "vents.felt at": ("outlet", "nowhere"),
    "isolation.minus at": ("P1.B", "P2.A"), "isolation.plus at": ("P3.A", "P2.B"),
    "isolation.poles": ("23.85 V", "23.1 V"), "isolation.minus to chassis": ("9.1 V", "8.1 V"),
    "isolation.plus to chassis": ("13.9 V", "12.9 V"), "isolation.resistor": ("19 kΩ", "25 kΩ"),
    "isolation.resistor in": ("6.2 V", "5.2 V"), "isolation.tester": ("900 kΩ", None),
    "tests.value": ("20 mΩ", "300 mΩ"), "tests.under": ("1 A", "5 mA"), "tests.found": ("free", "blocked"),
    "tests.file": ("a.jpg", "b.jpg"),
}  # fmt: skip
"""For each column a word and another one; None where the other is to leave it out."""


def layout() -> Data:
    """Return a layout with all that a record can speak of."""
    found = stick_layout(6)
    found["probes"] = {"N1": {"on": ["P2"], "kind": "NTC 10 kΩ"}}
    found["tests"] = {
        "bonds": {"kind": "bond", "at": ["lid"]},
        "drain": {"kind": "air path", "at": ["left"]},
        "pictures": {"kind": "photo", "at": ["face A"]},
    }
    found["vents"] = {"Z1": {"over": "P1..P6", "to": "outlet"}}
    return found


BUILD = Build(layout(), release=True)


def answer(record: Data) -> str:
    """Return all that follows from a record: its facts, what was only stated, read again, or is judged by no rule."""
    read = record_of(record, BUILD.pack)
    facts = build_facts(BUILD.pack, read)
    rows = [(table, row.subject, sorted(row.values.items(), key=str)) for table, rows in facts.items() for row in rows]
    return repr((rows, stated_by(read), read_again(read), unjudged_in(read), read.serial))


def with_row(section: str, row: Any, column: str = "") -> Data:
    name = ROW.get(f"{section}.{column}", ROW[section])
    table = {**BUILD.clean.get(section, {}), name: row}
    table.pop("columns", None) if not any(isinstance(item, list) for item in table.values()) else None
    return {**BUILD.clean, section: table}


def test_every_column_of_every_table_has_its_words_here() -> None:
    assert set(CELLS) | {f"readings.{c}" for c in sheets.READINGS.columns} == {
        f"{sheet.section}.{column}" for sheet in SHEETS for column in sheet.columns
    }


@pytest.mark.parametrize("cell", CELLS)
def test_what_stands_in_a_cell_of_a_table_is_judged_or_listed(cell: str) -> None:
    section, _, column = cell.partition(".")
    one, other = CELLS[cell]
    beside = {name: item for name, item in BESIDE.get(section, {}).items() if name != column}
    without = beside if other is None else {**beside, column: other}
    told, untold = ({**beside, column: one}, without)
    assert answer(with_row(section, told, column)) != answer(with_row(section, untold, column))


@pytest.mark.parametrize(("column", "other"), [("between", "P3.B"), ("and", "P2.A"), ("value", "7.1 V")])
def test_what_stands_in_a_reading_is_judged(column: str, other: str) -> None:
    row = dict(zip(("between", "and", "value"), BUILD.clean["readings"]["V1"], strict=True))
    row["value"] = f"{row['value']} V"
    assert answer(with_row("readings", row)) != answer(with_row("readings", {**row, column: other}))


@pytest.mark.parametrize(("section", "word"), [(s.section, word) for s in SHEETS for word in s.words])
def test_a_word_that_stands_for_a_row_is_judged_or_listed(section: str, word: str) -> None:
    alike = {word, "fitted", "as drawn"} if word in ("fitted", "as drawn") else {word}
    others = {other for sheet in SHEETS if sheet.section == section for other in sheet.words} - alike
    assert others
    told = answer(with_row(section, word))
    assert all(answer(with_row(section, other)) != told for other in others)


STEP = {"at": "2026-10-05 09:00", "by": "MK", "second": "TO", "gloves": "class 0", "gloves tested": "2026-09-01",
        "did": ["P1..P6"], "took off": [], "notes": "quiet"}  # fmt: skip
AGAIN = {"at": "2026-10-05 16:00", "by": "TO", "joint": "B1/P1", "resistance": "82 µΩ", "why": "washer"}
METER = {"kind": "multimeter", "accuracy": "0.03 % + 2 mV", "range": "1000 V", "input": "10 MΩ", "due": "2027-02-01",
         "cycles": 3, "serial": "DM-3"}  # fmt: skip
KEYS: dict[str, tuple[Data, Data]] = {
    "of.pack": ({"of": {**BUILD.clean["of"], "pack": "SK-1"}}, {"of": {**BUILD.clean["of"], "pack": "SK-2"}}),
    "of.sha256": ({"of": {**BUILD.clean["of"], "sha256": "0" * 64}}, {}),
    "extra": ({"extra": "none"}, {"extra": None}),
    "clamp.length": ({"clamp": {**BUILD.clean["clamp"], "length": "120 mm"}},
                     {"clamp": {**BUILD.clean["clamp"], "length": "125 mm"}}),
    "clamp.torque": ({"clamp": {**BUILD.clean["clamp"], "torque": "6 N·m"}},
                     {"clamp": {**BUILD.clean["clamp"], "torque": "9 N·m"}}),
    "clamp.taken": ({"clamp": {**BUILD.clean["clamp"], "taken": {"at": "2026-10-05 10:00", "by": "MK"}}},
                    {"clamp": {**BUILD.clean["clamp"], "taken": {"by": "MK"}}}),
    "again": ({"again": [AGAIN]}, {"again": [{**AGAIN, "resistance": "300 µΩ"}]}),
    "notes": ({"notes": ["one"]}, {"notes": ["other"]}),
    **{f"work.{key}": ({"work": [STEP]}, {"work": [{**STEP, key: other}]}) for key, other in {
        "at": "2026-10-05 23:00", "by": "XX", "second": "none", "gloves": "none", "gloves tested": "2020-09-01",
        "did": ["P1..P5"], "took off": ["B1"], "notes": "warm"}.items()},
    **{f"instruments.*.{key}": ({"instruments": {**BUILD.clean["instruments"], "V1": METER}},
                                {"instruments": {**BUILD.clean["instruments"], "V1": {**METER, key: other}}})
       for key, other in {"kind": "tape measure", "accuracy": "5 %", "range": "1 V", "input": "1 kΩ",
                          "due": "2026-01-01", "cycles": 99_999}.items()},
}  # fmt: skip
TAKEN = {"at": "2026-10-05 09:00", "by": "XX", "with": {"rest": "R1"}, "state": "plug out"}


def test_every_key_of_the_schema_is_here_or_has_a_reason() -> None:
    assert set(keys_of(schema())) == set(KEYS) | {key for key in NOTHING_FOLLOWS if not key.startswith("*")} | {
        "clamp.taken"
    }


@pytest.mark.parametrize("key", KEYS)
def test_what_a_key_says_is_judged_or_listed(key: str) -> None:
    one, other = KEYS[key]
    told = {name: item for name, item in {**BUILD.clean, **other}.items() if item is not None}
    assert answer({**BUILD.clean, **one}) != answer(told)


@pytest.mark.parametrize("key", TAKEN)
def test_how_a_table_was_taken_is_judged(key: str) -> None:
    section = "joints" if key == "at" else "modules"  # joints torqued before the stack was clamped
    table = BUILD.clean[section]
    other = {**table, "taken": {**table["taken"], key: TAKEN[key]}}
    assert answer(BUILD.clean) != answer({**BUILD.clean, section: other})
