"""Ranges of names that no pack has: a slip in one may not put a crowd of conductors into a record."""

from __future__ import annotations

from packcheck.files.fields import Fields, Path
from packcheck.model.pack.model import Pack

MOST_STRANGE = 10_000
"""Most conductors that a range may name which the layout does not have: with more, a check takes long."""


def names_of_rows(fields: Fields, pack: Pack, path: Path, key: str) -> list[str]:
    """Return the names that the rows under a key are about; none where a range names a crowd of unknown conductors."""
    if ".." not in key:
        return [key]
    names = fields.names(path, key, key=True)
    strange = sum(name not in pack.conductors for name in names) if path[0] in ("bars", "leads") else 0
    if strange <= MOST_STRANGE:
        return names
    fields.wrong(path, found=f"the range '{key}', with {strange:,} conductors that the layout does not have", key=True,
                 needed="conductors of the layout",
                 do="correct the range; what was found beyond the layout has a row of its own")  # fmt: skip
    return []
