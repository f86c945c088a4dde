"""Second readings: they stand beside the first, are judged in its place, and nothing is overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from packcheck.files.fields import Fields, Path
from packcheck.model.record import sheets
from packcheck.model.record.circumstances import read_taken
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedJoint, FittedModule, Reading, Superseded
from packcheck.model.record.second_looks import SECTIONS, read_replaced
from packcheck.model.record.sheets import RowRead
from packcheck.model.record.tables import TableReader

_COLUMNS = {
    "module": {"rest": "rest_v", "resistance": "resistance_ohm", "capacity": "capacity_ah", "mass": "mass_g"},
    "joint": {"torque": "torque_n_m", "resistance": "resistance_ohm"},
}
UNITS = {"torque": "N·m", "resistance": "Ω", "rest": "V", "value": "V", "capacity": "Ah", "mass": "g"}
"""Unit of each column that can be read again, as the program holds it."""
_SHEETS = {"module": sheets.MODULES, "joint": sheets.JOINTS, "reading": sheets.READINGS}


def apply_again(
    fields: Fields,
    reader: TableReader,
    entries: list[Mapping[str, Any]],
    modules: dict[str, FittedModule],
    joints: dict[str, FittedJoint],
    readings: dict[str, Reading],
) -> list[Superseded]:
    """Put each second reading in the place of the first and return what it stands beside."""
    found: list[Superseded] = []
    tables_by_kind: dict[str, Any] = {"module": modules, "joint": joints, "reading": readings}
    for index, spec in enumerate(entries):
        path: Path = ("again", index)
        kind = next((k for k in (*_SHEETS, *SECTIONS) if k in spec), "")
        missing = [key for key in ("at", "why") if key not in spec]
        if not kind or missing:
            needed = "its time, its reason, and the module, joint or reading it is of"
            fields.wrong(
                path,
                found="a second reading without " + (", ".join(missing) or "what it is a reading of"),
                needed=needed,
                why="a second reading counts only with its time and its reason",
                do="add " + " and ".join(f"{key}:" for key in missing or ["module:, joint: or reading"]),
            )
            continue
        if kind not in _SHEETS:
            continue  # it was looked at or counted again, which has been put into the rows of its table
        table, subject = tables_by_kind[kind], str(spec[kind])
        if subject not in table:
            fields.unknown((*path, kind), subject, table, f"a {kind} with a first reading in this record")
            continue
        found.extend(_again(fields, reader, path, kind, subject, spec, table))
    return found


def _again(
    fields: Fields,
    reader: TableReader,
    path: Path,
    kind: str,
    subject: str,
    spec: Mapping[str, Any],
    table: dict[str, Any],
) -> list[Superseded]:
    sheet, found = _SHEETS[kind], []
    taken = read_taken(
        fields,
        path,
        {k: spec[k] for k in sheets.TAKEN_KEYS if k in spec},
        reader.pack,
        sheet.columns,
        reader.measuring.instruments,
    )
    row = RowRead([subject], path, fields.document.mark(path), taken=taken)
    replaced = read_replaced(fields, path, kind, spec)
    for key, item in spec.items():
        if key in (*sheets.TAKEN_KEYS, "why", "replaced", kind):
            continue
        if key not in sheet.columns and not (key == sheets.IS and sheet.words):
            fields.unknown((*path, key), key, sheet.columns, f"what can be told again of a {kind}", key=True)
        if key not in sheet.columns or sheet.columns[key].dimension is None:
            continue  # a word that was told again stands in its row already
        entry: Entry | None = reader.cell((*path, key), key, sheet.columns[key], item, "", row)
        if entry is None:
            continue
        name = "value_v" if kind == "reading" else _COLUMNS[kind][key]
        first: Entry | None = getattr(table[subject], name)
        if first is not None and not entry.state:
            entry = entry._replace(state=first.state)
        if first is not None and not entry.instrument and first.instrument:
            row.taken = replace(taken, instruments={"": first.instrument})
            again = reader.cell((*path, key), key, sheet.columns[key], item, "", row)
            entry = again._replace(state=entry.state) if again else entry
        table[subject] = replace(table[subject], **{name: entry})
        found.append(Superseded(subject, key, first, entry, str(spec["why"]), replaced))
    return found
