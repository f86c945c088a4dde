"""Facts about photos: whether the file that a record names beside itself is the picture of which it has the number."""

from __future__ import annotations

from packcheck.facts.evidence import Evidence
from packcheck.model.record.tested import TakenTest
from packcheck.rules.catalogue import Value

UNSEEN = "was not looked for"


def photo_facts(evidence: Evidence, taken: TakenTest) -> dict[str, Value]:
    """Return what became of the photo of one point of a test; nothing where no file is named."""
    if not taken.file or evidence.record is None:
        return {"photo_named": False}
    hashed = evidence.record.photos.get(taken.name)
    sha256 = hashed.sha256 if hashed else ""
    right = sha256 == taken.found.casefold() if sha256 and taken.found else None
    why = hashed.why_not if hashed else UNSEEN
    state = why or f"has the number {sha256[:12]}…"
    return {"photo_named": True, "photo_file": taken.file, "photo_right": right, "photo_state": state}
