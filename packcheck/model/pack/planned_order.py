"""The planned order of work, as a layout writes it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import String

_NO_PARTS = (
    "$schema",
    "layout",
    "name",
    "title",
    "revision",
    "notes",
    "faces",
    "module types",
    "joint types",
    "order",
    "plan",
)
"""Sections of a layout that hold nothing a person fits."""


def read_planned_order(
    fields: Fields, root: Mapping[str, Any], strings: Mapping[str, String], parts: Iterable[str]
) -> tuple[tuple[str, ...], ...]:
    """Return the planned steps of work.  A single word in a step is a part or a section of the layout."""
    written = [key for section in ("covers", "probes", "vents") for key in root.get(section, {})]
    around = (name for key in written for name in fields.names((), key))
    known = dict.fromkeys((*parts, *around, *(section for section in root if section not in _NO_PARTS)))
    left_out = {bar for string in strings.values() for bar in string.left_out} - known.keys()
    steps = []
    for index, step in enumerate(root.get("order", [])):
        for number, word in enumerate(step):
            if " " not in word:
                path = ("order", index, number)
                names = fields.names(path, word)
                gone = [name for name in names if name in left_out]
                others = [name for name in names if name not in left_out]
                if gone and all(name in known for name in others):
                    rest = list_places(others)
                    do = f"write {rest}" if rest else "take it out of the order, or out of drop:"
                    found = f"'{list_places(gone)}', which its series leaves out under drop:"
                    fields.wrong(path, found=found, needed="parts that are fitted", do=do)
                else:
                    fields.all_known(path, names, known, "a part or a section of this layout")
        steps.append(tuple(step))
    return tuple(steps)
