"""The files of a folder of rules."""

from __future__ import annotations

import os
from pathlib import Path

from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem

Stamp = tuple[str, int, int]
"""Name, time of the last change [ns] and size of a file: equal as long as it did not change."""


def rule_files(folder: Path) -> list[Stamp]:
    """Return every rule file of a folder, by name.

    Raises
    ------
    InputProblems : there is no such folder, or it cannot be read.
    """
    try:
        if not folder.is_dir():
            raise InputProblems([Problem(Origin(str(folder)), "no folder of this name", "a folder of rule files")])
        files = sorted(map(str, folder.rglob("*.yaml")))
        return [(file, (state := os.stat(file)).st_mtime_ns, state.st_size) for file in files]
    except (OSError, ValueError, RuntimeError) as wrong:
        found = f"a folder that cannot be read: {getattr(wrong, 'strerror', None) or wrong}"
        name = getattr(wrong, "filename", None) or folder
        raise InputProblems([Problem(Origin(str(name)), found, "a folder of rule files")]) from wrong
