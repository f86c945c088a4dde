"""The question by which one cell of a record is told a second time."""

from __future__ import annotations

from packcheck.judging.asked import UNITS, Ask
from packcheck.judging.asking import Card
from packcheck.model.opening import Opened
from packcheck.model.pack.model import Pack
from packcheck.model.record.sheets import IS, SHEETS

_RESISTANCE = {"joints": ("µΩ", "mΩ"), "modules": ("mΩ", "µΩ")}
_INSTRUMENTS = {"torque": "click wrench", "rest": "multimeter", "value": "multimeter", "length": "rule",
                "resistance": "micro-ohmmeter", "capacity": "cycler", "mass": "scale"}  # fmt: skip


def card_again(opened: Opened, section: str, subject: str, column: str) -> Card | None:
    """Return the question for a cell, None where there is no such column."""
    sheet = SHEETS.get(section)
    if sheet is None or (column != IS and column not in sheet.columns):
        return None
    field = _field(opened.pack, section, column)
    instrument = _INSTRUMENTS.get(column, "") if field.kind == "number" else "eyes"
    parts = tuple(dict.fromkeys((subject, *subject.split("/")[:1])))
    return Card(section, subject, subject, (field,), instrument, parts=parts, again=True)


def _field(pack: Pack, section: str, column: str) -> Ask:
    sheet = SHEETS[section]
    if column == IS:
        return Ask(IS, "choice", "what it is", choices=tuple((word, word) for word in sheet.words))
    cell = sheet.columns[column]
    if cell.dimension is not None:
        units = UNITS.get(column) or _RESISTANCE.get(section) or (cell.dimension.unit,)
        return Ask(column, "number", column, units)
    if cell.count:
        return Ask(column, "count", column)
    if cell.words:
        return Ask(column, "choice", column, choices=tuple((word, word) for word in cell.words))
    if cell.nodes:
        return Ask(column, "places", column)
    if column == "plus at":
        posts = {post: None for kind in pack.module_types.values() for post in kind.posts}
        return Ask(column, "choice", "where + is", choices=tuple((post, f"+ at {post}") for post in posts))
    return Ask(column, "text", column)
