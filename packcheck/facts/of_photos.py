"""Facts about photos: whether the file that a record names beside itself is the picture of which it has the number."""

from __future__ import annotations

from packcheck.facts.evidence import Evidence
from packcheck.files.named_beside import Hashed
from packcheck.model.record.tested import TakenTest
from packcheck.rules.catalogue import Value

UNSEEN = "was not looked for"
NO_PICTURE = "is no picture"


def photo_facts(evidence: Evidence, taken: TakenTest) -> dict[str, Value]:
    """Return what became of the photo of one point of a test; nothing where no file is named."""
    if not taken.file or evidence.record is None:
        return {"photo_named": False}
    hashed = evidence.record.photos.get(taken.name, Hashed("", UNSEEN))
    to_be = (taken.found or "").casefold()
    right = hashed.is_picture and hashed.sha256 == to_be if hashed.sha256 and to_be else None
    state = hashed.why_not or (f"has the number {hashed.sha256[:12]}…" if hashed.is_picture else NO_PICTURE)
    return {"photo_named": True, "photo_file": taken.file, "photo_right": right, "photo_state": state}
