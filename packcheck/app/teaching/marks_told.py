"""Marks of a lesson as text and as JSON: each answer, the class case by case, what the rules missed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from packcheck.lessons.marking import Marks, summary
from packcheck.render.page import plural


def render_marks(marks: Sequence[Marks]) -> str:
    """Return marks and the summary of a class as text."""
    return "\n".join([*_answers(marks), "", *_class(marks), *_gaps(marks)]) + "\n"


def _answers(marks: Sequence[Marks]) -> Iterator[str]:
    yield f"MARKS ({plural(len(marks), 'answer')})"
    for one in marks:
        yield f"  {one.case}  {one.by}: {one.total:g} of 20{', mastered' if one.is_mastered else ''}"
        parts = [f"find {one.find:g}", f"locate {one.locate:g}", f"explain {one.explain:g}", f"weigh {one.weigh:g}",
                 f"settle {one.settle:g}", f"sureness {one.credit:+g}"]  # fmt: skip
        more = [f"list worth {one.listed:.0%}"] if one.listed < 1 else []
        more += ["at most 8: it would energize what must never be"] if one.gated else []
        yield f"    {', '.join([*parts, *more])}"


def _class(marks: Sequence[Marks]) -> Iterator[str]:
    yield "CLASS"
    for one in summary(marks):
        yield f"  {one.case}  {', '.join(one.true) or 'nothing wrong'}: {one.mean:g} of 20 on average"
        if one.missed:
            yield f"    not right: {', '.join(one.missed)}"
        if one.taken_for:
            yield "    taken for: " + ", ".join(f"{name} ({count})" for name, count in one.taken_for)


def _gaps(marks: Sequence[Marks]) -> Iterator[str]:
    gaps = [(one, gap) for one in marks for gap in one.gap]
    if gaps:
        yield ""
        yield "FOUND BY PEOPLE, NOT BY THE RULES"
        yield from (f"  {one.case}  {one.by}: {gap}" for one, gap in gaps)


def render_marks_json(marks: Sequence[Marks], *, version: str) -> str:
    """Return marks and summary as JSON."""
    rows = [{**vars(one), "total": one.total, "mastered": one.is_mastered} for one in marks]
    data = {"packcheck lesson": 1, "version": version, "marks": rows, "class": [vars(one) for one in summary(marks)]}
    return json.dumps(data, ensure_ascii=False, indent=1, default=list) + "\n"
