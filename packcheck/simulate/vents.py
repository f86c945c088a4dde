"""Vent lines of a true build -> their rows in a record: where each was seen to run, and where air came out of it.

The team blows in at the module farthest along the line: what is open there is open for those between.
"""

from __future__ import annotations

from typing import Any

from packcheck.files.name_lists import compress_names
from packcheck.model.record.vents import INSIDE, NOWHERE, served_by
from packcheck.simulate.build import Build

Data = dict[str, Any]


def vent_rows(build: Build, seen: Build) -> Data:
    """Return the rows of the vent lines: where they were seen, what came out of the build as it is."""
    return {
        name: {
            "over": compress_names(told.over), "to": told.to,
            "blown at": far_end(build, name), "felt at": _felt(build, name),
        }
        for name, told in seen.vents.items()
    }  # fmt: skip


def far_end(build: Build, name: str) -> str:
    """Return the module at the far end of a line, as drawn."""
    return served_by(build.pack, name)[-1]


def _felt(build: Build, name: str) -> str:
    """Return the outlet at which air comes out that is blown in at the far end; nowhere that one could find, else."""
    if far_end(build, name) not in build.vents[name].over:
        return NOWHERE
    seen: set[str] = set()
    while name in build.vents and name not in seen:
        seen.add(name)
        name = build.vents[name].to
    return NOWHERE if name in build.vents or name == INSIDE else name
