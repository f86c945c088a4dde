"""Paths beside the answers: what each trainee asked, taken off the marks, and who asked and handed nothing in."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from pathlib import Path

from packcheck.app.teaching.folder import OpenKey, PathFile, asked_by
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.lessons.marking import Marks
from packcheck.render.page import plural


def with_path(marks: Marks, lesson: Path, key: OpenKey) -> Marks:
    """Return marks less what the questions cost that their writer asked on the case.

    Raises
    ------
    InputProblems, WrongUsage : the path is not as it was written, or gone.
    """
    try:
        path = PathFile(lesson, key, marks.by).read()
    except WrongUsage:
        if marks.by.casefold() in asked_by(lesson, key.case):
            raise
        return marks
    return replace(marks, cost=float(path.points), asked=tuple(
        f"{one.question}: {one.reads} ({plural(one.points, 'point')})" for one in path.asked))  # fmt: skip


def idle_paths(lesson: Path, keys: Iterable[OpenKey], marked: Collection[tuple[str, str]]) -> list[str]:
    """Return the paths through some cases of people whose answers are not among those that were marked."""
    found = []
    for key in keys:
        for by in asked_by(lesson, key.case):
            if (key.case, by) not in marked:
                found.append(f"{key.case}  {by}: {_told(PathFile(lesson, key, by))}")
    return found


def _told(file: PathFile) -> str:
    try:
        path = file.read()
    except (InputProblems, WrongUsage):
        return f"{file.file} is gone or not as it was written"
    return f"{plural(len(path.asked), 'question')}, {plural(path.points, 'point')}"
