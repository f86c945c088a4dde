"""Marks of a lesson as text and as JSON: each answer, the class case by case, what the rules missed."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from packcheck.app.teaching.folder import OpenKey, PathFile, asked_by
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.lessons.marking import Marks, summary
from packcheck.render.page import plural


def render_marks(marks: Sequence[Marks], idle: Sequence[str] = (), *, lesson: str) -> str:
    """Return marks and the summary of a class as text; ``idle`` are paths to which no answer was handed in."""
    return (
        "\n".join(
            [
                f"MARKS of {lesson} ({plural(len(marks), 'answer')})",
                *_answers(marks),
                "",
                *_class(marks),
                *_gaps(marks),
                *_idle(idle),
            ]
        )
        + "\n"
    )


def _answers(marks: Sequence[Marks]) -> Iterator[str]:
    for one in marks:
        yield f"  {one.case}  {one.by}: {one.total:g} of 20{', mastered' if one.is_mastered else ''}"
        parts = [f"find {one.find:g}", f"locate {one.locate:g}", f"explain {one.explain:g}", f"weigh {one.weigh:g}",
                 f"settle {one.settle:g}", f"sureness {one.credit:+g}"]  # fmt: skip
        more = [f"list worth {one.listed:.0%}"] if one.listed < 1 else []
        more += ["at most 8: it would energize what must never be"] if one.gated else []
        more += [f"questions {-one.cost:+g}"] if one.asked else []
        yield f"    {', '.join([*parts, *more])}"
        yield from (f"    asked: {said}" for said in one.asked)


def _class(marks: Sequence[Marks]) -> Iterator[str]:
    yield "CLASS"
    for one in summary(marks):
        yield f"  {one.case}  {', '.join(one.true) or 'nothing wrong'}: {one.mean:g} of 20 on average"
        if one.missed:
            wrong = "cause or place not right" if one.true else "saw a fault where none is"
            yield f"    {wrong}: {', '.join(one.missed)}"
        if one.taken_for:
            yield f"    taken for: {_counts(one.taken_for)}"
        if one.asked:
            yield f"    asked: {_counts(one.asked)}"


def _counts(counts: Sequence[tuple[str, int]]) -> str:
    return ", ".join(f"{name} ({count})" for name, count in counts)


def _gaps(marks: Sequence[Marks]) -> Iterator[str]:
    gaps = [(one, gap) for one in marks for gap in one.gap]
    if gaps:
        yield ""
        yield "FOUND BY PEOPLE, NOT BY THE RULES"
        yield from (f"  {one.case}  {one.by}: {gap}" for one, gap in gaps)


def _idle(idle: Sequence[str]) -> Iterator[str]:
    if idle:
        yield ""
        yield "QUESTIONS OF PEOPLE WHOSE ANSWER IS NOT AMONG THESE"
        yield from (f"  {one}" for one in idle)


def render_marks_json(marks: Sequence[Marks], idle: Sequence[str] = (), *, lesson: str, version: str) -> str:
    """Return marks and summary as JSON."""
    rows = [{**vars(one), "total": one.total, "mastered": one.is_mastered} for one in marks]
    data = {
        "packcheck lesson": 1,
        "version": version,
        "lesson": lesson,
        "marks": rows,
        "class": [vars(one) for one in summary(marks)],
        "asked without an answer": list(idle),
    }
    return json.dumps(data, ensure_ascii=False, indent=1, default=list) + "\n"


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
