"""Vent lines as they were found: which modules each serves, where it ends, and where air blown in was felt."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from packcheck.files.fields import Fields
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.record.current_path import is_fitted
from packcheck.model.record.model import FittedVent
from packcheck.model.record.sheets import AS_DRAWN, RowRead

INSIDE, NOWHERE = "inside", "nowhere"
"""Where a line ends that does not lead out of the pack; where air was felt that came out at no place one could find."""


def read_vents(fields: Fields, pack: Pack, rows: Iterable[RowRead]) -> Mapping[str, FittedVent]:
    """Return the vent lines by name; names that the layout does not have are problems."""
    found: dict[str, FittedVent] = {}
    for row in rows:
        for name in fields.all_known(row.path, row.subjects, pack.vents, "a vent of the layout", key=True):
            found[name] = _vent(fields, pack, row, name)
    return found


def _vent(fields: Fields, pack: Pack, row: RowRead, name: str) -> FittedVent:
    outlets = outlets_of(pack)
    to = _known(fields, row, "to", (*pack.vents, *outlets, INSIDE), "a vent line, an outlet of one, or `inside`")
    blown = _known(fields, row, "blown at", pack.positions, "a position of the layout")
    felt = _known(fields, row, "felt at", (*outlets, *pack.vents, *pack.positions, INSIDE, NOWHERE),
                  "an outlet, a vent line, a position, `inside` or `nowhere`")  # fmt: skip
    if blown is not None and blown not in upstream_of(pack, name):
        fields.wrong(
            row.places["blown at"], found=f"'{blown}', which is not on {name} as drawn",
            needed=f"a module that {name} takes the gas of: {list_places(upstream_of(pack, name))}",
            why="air that is blown in at another line shows nothing of this one",
            do=f"write it beside the line of {blown}",
        )  # fmt: skip
        blown = None
    over = row.cells.get("over")
    drawn = row.word == AS_DRAWN
    told = row.word or over is not None or to is not None
    return FittedVent(
        name,
        is_fitted(row) if told else None,
        tuple(served_by(pack, name)) if drawn and over is None else over,
        str(pack.vents[name]["to"]) if drawn and to is None else to,
        blown,
        felt,
        row.origin,
    )


def outlets_of(pack: Pack) -> tuple[str, ...]:
    """Return what the vent lines of a layout lead to that is no vent line."""
    return tuple(dict.fromkeys(to for line in pack.vents.values() if (to := str(line["to"])) not in pack.vents))


def served_by(pack: Pack, name: str) -> list[str]:
    """Return the positions that a vent line serves as drawn."""
    over = pack.vents[name]["over"]
    return [str(position) for position in over] if isinstance(over, list | tuple) else [str(over)]


def upstream_of(pack: Pack, name: str) -> list[str]:
    """Return the positions whose gas a line takes as drawn: those it serves, and those of lines that lead into it."""
    lines = [name]
    for line in lines:
        lines += [other for other, spec in pack.vents.items() if str(spec["to"]) == line and other not in lines]
    return [position for line in lines for position in served_by(pack, line)]


def drawn_words(pack: Pack, name: str) -> str:
    """Return in words where a vent line runs as drawn."""
    return f"over {list_places(served_by(pack, name))}, to {pack.vents[name]['to']}"


def _known(fields: Fields, row: RowRead, column: str, known: Iterable[str], what: str) -> str | None:
    """Return the word of a cell; None (and a problem) where it is none of those known."""
    word = row.cells.get(column)
    names = list(dict.fromkeys(known))
    if word is None or word in names:
        return word
    fields.unknown(row.places[column], word, names, what)
    return None
