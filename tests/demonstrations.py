"""The records that tests judge: the shipped ones and, beside copies of the layouts, those with one root fault each.

What each record is of lies in ``NAME.expect.yaml``, here alone: nothing that is shipped tells it.  Copy the layouts
anew after one was changed: python tests/demonstrations.py --write
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SHIPPED, KEPT = ROOT / "layouts", ROOT / "tests" / "demonstration"
PACKS = ("eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96")
SUFFIX = ".expect.yaml"
FOLDERS = (SHIPPED, KEPT)


def demonstration(name: str) -> Path:
    """Return the file of a layout or record, such as ``skerry-24/sk-0421-two-links.yaml``, wherever it lies."""
    return next(folder / name for folder in FOLDERS if (folder / name).is_file())


def records() -> list[Path]:
    """Return all records, pack by pack."""
    found = [path for folder in FOLDERS for pack in PACKS for path in (folder / pack).glob("*.yaml")]
    return sorted((path for path in found if path.stem != path.parent.name and not path.name.endswith(SUFFIX)),
                  key=lambda path: (path.parent.name, path.name))  # fmt: skip


def expectations() -> list[Path]:
    """Return what is expected of each record, in the order of the records."""
    return sorted((path for pack in PACKS for path in (KEPT / pack).glob(f"*{SUFFIX}")),
                  key=lambda path: (path.parent.name, path.name.removesuffix(SUFFIX) + ".yaml"))  # fmt: skip


def write() -> None:
    """Copy the layouts beside the records that are kept here."""
    for pack in PACKS:
        shutil.copy(SHIPPED / pack / f"{pack}.yaml", KEPT / pack / f"{pack}.yaml")


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit(__doc__)
    write()
