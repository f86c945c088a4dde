"""Record document + Pack -> Record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from packcheck.files.document import Document
from packcheck.files.fields import Fields
from packcheck.files.problems import InputProblems
from packcheck.files.schema import check_document, check_quantities
from packcheck.model.pack.model import Pack
from packcheck.model.record import sheets
from packcheck.model.record.braces import is_told
from packcheck.model.record.circumstances import read_taken, read_time
from packcheck.model.record.current_path import Fitted
from packcheck.model.record.instruments import Measuring, read_instruments
from packcheck.model.record.model import Compression, FittedConductor, Record
from packcheck.model.record.remarks import remarks_of
from packcheck.model.record.second_looks import Amending
from packcheck.model.record.second_readings import apply_again
from packcheck.model.record.sheets import RowRead
from packcheck.model.record.shelf import beside_shelf, read_shelf
from packcheck.model.record.surroundings import Beside
from packcheck.model.record.tables import TableReader
from packcheck.model.record.taken_tests import read_isolation, read_taken_tests
from packcheck.model.record.vents import read_vents
from packcheck.model.record.voltages import Voltages


def read_record(document: Document, pack: Pack) -> Record:
    """Return the build record that a document describes, judged against the pack of its layout.

    Raises
    ------
    InputProblems : everything wrong with the record, all at once.
    """
    problems = check_document(document, "record")
    if problems:
        raise InputProblems([*problems, *check_quantities(document, "record")])
    fields = Fields(document)
    _same_layout(fields, document.root, pack)
    fields.raise_problems()
    _check_times_of_work(fields, document.root)
    record = _record(fields, document.root, pack)
    fields.raise_problems()
    digest, work = document.root["of"].get("sha256", "").casefold(), tuple(document.root.get("work", []))
    return replace(record, layout_sha256=digest, work=work)


def _same_layout(fields: Fields, root: Mapping[str, Any], pack: Pack) -> None:
    of = root["of"]
    if of["name"] != pack.name:
        fields.wrong(
            ("of", "name"),
            found=f"a record of layout '{of['name']}'",
            needed=f"a record of '{pack.name}', the layout in {Path(pack.file).name}",
            do="name the layout file this pack was built to",
        )
    elif of["revision"] != pack.revision:
        fields.wrong(
            ("of", "revision"),
            found=f"revision {of['revision']}",
            needed=f"revision {pack.revision}, that of {Path(pack.file).name}",
            why="what changed between the two may be what is wrong in the pack",
            do="check the record against the revision it was made for, or go through the changes and say so here",
        )


def _record(fields: Fields, root: Mapping[str, Any], pack: Pack) -> Record:
    measuring = Measuring(fields, read_instruments(fields, root.get("instruments", {})), root.get("people", {}))
    reader = TableReader(fields, pack, measuring)
    fitted, beside, voltages = Fitted(fields, pack), Beside(fields, pack), Voltages(fields, pack.taps)
    amending = Amending(fields, reader, root.get("again", []))

    def rows(sheet: sheets.Sheet) -> list[RowRead]:
        return amending.rows(sheet, list(reader.rows(sheet, root[sheet.section]))) if sheet.section in root else []

    shelf = read_shelf(fields, rows(sheets.SHELF), pack)
    modules = beside_shelf(fitted.modules(rows(sheets.MODULES)), shelf)
    conductors = _conductors(fields, fitted, rows(sheets.BARS), rows(sheets.LEADS))
    devices = fitted.devices(rows(sheets.DEVICES))
    joints = fitted.joints(rows(sheets.JOINTS), conductors)
    probes, vents, taps = rows(sheets.PROBES), rows(sheets.VENTS), beside.taps(taps_read := rows(sheets.TAPS))
    reader.tap_nodes.update({name: node for name, node in taps.items() if node})
    readings = voltages.read(rows(sheets.READINGS))
    superseded = apply_again(fields, reader, root.get("again", []), modules, joints, readings)
    record = Record(
        pack=pack,
        file=fields.document.file,
        serial=root["of"].get("pack", ""),
        extra_none=root.get("extra") == "none",
        people=dict(root.get("people", {})),
        instruments=measuring.instruments,
        shelf=shelf,
        modules=modules,
        conductors=conductors,
        devices=devices,
        joints=joints,
        readings=tuple(reading for reading in readings.values() if not reading.load_a),
        loaded=tuple(reading for reading in readings.values() if reading.load_a),
        unread=tuple(voltages.unread),
        resistances=voltages.resistances,
        parts=beside.parts(rows(sheets.PARTS)),
        tools=beside.tools(rows(sheets.TOOLS)),
        covers=beside.covers(rows(sheets.COVERS)),
        caps=beside.caps(rows(sheets.CAPS)),
        taps=taps,
        probes=beside.probes(probes),
        vents=read_vents(fields, pack, vents),
        compression=_compression(fields, amending, root.get("clamp", {}), pack),
        isolation=read_isolation(fields, rows(sheets.ISOLATION), pack, measuring.instruments),
        tests=read_taken_tests(fields, pack, rows(sheets.TESTS)),
        superseded=tuple(superseded),
        amended=tuple(amending.amended),
        uses={name: frozenset(times) for name, times in measuring.uses.items()},
    )
    amending.note_strangers()
    return replace(record, probe_ohms=beside.ohms(probes), remarks=remarks_of(root, record, probes, vents, taps_read))


def _conductors(
    fields: Fields, fitted: Fitted, bar_rows: list[RowRead], lead_rows: list[RowRead]
) -> dict[str, FittedConductor]:
    """Return bars and leads by name; one that stands in both tables is a mistake."""
    bars, leads = fitted.conductors(bar_rows, "bars"), fitted.conductors(lead_rows, "leads")
    for name in bars.keys() & leads.keys():
        fields.wrong(
            ("leads", name), key=True, found=f"'{name}', which stands under bars too", needed="each conductor once",
            do="take it out of one of the two tables",
        )  # fmt: skip
    return {**bars, **leads}


def _check_times_of_work(fields: Fields, root: Mapping[str, Any]) -> None:
    for index, step in enumerate(root.get("work", [])):
        for key in ("at", "gloves tested"):
            read_time(fields, ("work", index, key), step.get(key))


def _compression(fields: Fields, amending: Amending, spec: Mapping[str, Any], pack: Pack) -> Compression:
    if not spec:
        return Compression()
    if pack.clamp is None:
        fields.wrong(("clamp",), found="a clamp", needed="a layout that has one", key=True,
                     do="take it out, or check that this is the right layout")  # fmt: skip
    instruments = amending.reader.measuring.instruments
    taken = read_taken(fields, ("clamp", "taken"), spec.get("taken", {}), pack, sheets.CLAMP.columns, instruments)
    row = RowRead([sheets.STACK], ("clamp",), fields.document.mark(("clamp",), key=True), taken=taken)
    for name, cell in sheets.CLAMP.columns.items():
        if is_told(spec.get(name)):
            row.cells[name] = amending.reader.cell(("clamp", name), name, cell, spec[name], "", row)
    row = amending.rows(sheets.CLAMP, [row])[0]
    times = [at for name in row.cells if (at := row.taken_of(name).at)]
    return Compression(row.cells.get("length"), row.cells.get("torque"), max(times, default=taken.at), row.origin)
