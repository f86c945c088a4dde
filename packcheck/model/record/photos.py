"""The photos that a record names: looked for beside it, and hashed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from packcheck.files.named_beside import MOST_BYTES, Hashed, hash_beside
from packcheck.model.record.model import Record

MOST_TOGETHER = 512 * 2**20
"""Bytes of the photos of one record that are hashed, some seconds of work; those beyond prove nothing."""


def look_for_photos(record: Record, folder: Path) -> Record:
    """Return a record with the hashes of the photos that it names in a folder; each file is read once."""
    seen: dict[str, Hashed] = {}
    left = MOST_TOGETHER
    for taken in record.tests.values():
        if taken.file and taken.file not in seen:
            seen[taken.file] = hash_beside(folder, taken.file, min(MOST_BYTES, left))
            left = max(0, left - seen[taken.file].size)
    if not seen:
        return record
    return replace(record, photos={name: seen[one.file] for name, one in record.tests.items() if one.file})
