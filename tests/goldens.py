"""Compare a text with the one kept in ``tests/golden``; with PACKCHECK_WRITE_GOLDEN=1 write it there instead."""

from __future__ import annotations

import os
from pathlib import Path

FOLDER = Path(__file__).parent / "golden"


def assert_golden(name: str, text: str) -> None:
    path = FOLDER / name
    if os.environ.get("PACKCHECK_WRITE_GOLDEN") == "1":
        path.write_text(text, encoding="utf-8")
    assert path.is_file(), f"{path} is not there; write it with PACKCHECK_WRITE_GOLDEN=1 and read it"
    assert text == path.read_text(encoding="utf-8")
