"""Make the lessons that come with the program anew: python tests/shipped_lessons.py --write."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parent)]

from faulty_builds import shipped_rules  # noqa: E402
from test_simulate import bench_of, layout_of  # noqa: E402

from packcheck.files.shipped import shipped_folder  # noqa: E402
from packcheck.lessons.answers import blank_sheet  # noqa: E402
from packcheck.lessons.making import Wishes, make_cases  # noqa: E402
from packcheck.lessons.sealing import salt_of, secret_of  # noqa: E402
from packcheck.lessons.trial import Trial  # noqa: E402

PASSPHRASE = "read the numbers first"
"""That of the shipped keys; the trainer's guide tells it."""
LESSONS = {
    "plover-16": Wishes(14, (), (1, 3), 0.2, 1, 0),
    "skerry-24": Wishes(16, (), (2, 5), 0.2, 2, 1),
    "eider-20": Wishes(14, (), (1, 4), 0.2, 1, 0),
    "heron-2x15": Wishes(12, (), (2, 6), 0.2, 1, 1),
    "tern-96": Wishes(5, (), (3, 6), 0.2, 0, 0),
}


def write(folder: Path) -> None:
    """Write every lesson into a folder in place of what is there."""
    shutil.rmtree(folder, ignore_errors=True)
    for name, wishes in LESSONS.items():
        trial = Trial(layout_of(name), bench_of(name), tuple(shipped_rules()))
        salt = salt_of(trial.layout.content, 1)
        there = folder / name
        (there / "keys").mkdir(parents=True)
        (there / f"{name}.yaml").write_bytes(trial.layout.content)
        for case in make_cases(trial, secret_of(PASSPHRASE, salt), salt, wishes):
            (there / f"{case.name}.yaml").write_text(case.text, encoding="utf-8")
            (there / f"answer-{case.name}.yaml").write_text(blank_sheet(case.name), encoding="utf-8")
            (there / "keys" / f"{case.name}.key.json").write_text(case.sealed, encoding="utf-8")


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit(__doc__)
    write(shipped_folder("layouts") / "lessons")
