"""The command ``packcheck lesson ask``: one more measurement on a case, answered by who holds the passphrase."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck.app.exits import FINE, printable, say
from packcheck.app.teaching.passphrase import Secret, passphrase_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from packcheck.lessons.open_case import OpenCase
    from packcheck.lessons.paths import Asked
    from packcheck.lessons.paths import Path as Asking
    from packcheck.simulate.asked.question import Question

By = Annotated[str, typer.Option("--by", metavar="INITIALS", help="Who asks, as on the answer sheet.")]
CASE_HELP = "A case in the folder of its lesson, with the keys."


def ask(
    case: Annotated[Path, typer.Argument(metavar="CASE", help=CASE_HELP)],
    by: By,
    question: Annotated[
        list[str] | None, typer.Argument(metavar="[QUESTION...]", help="Kind and names; left out: prices and path.")
    ] = None,
    state: Annotated[str, typer.Option(metavar="NAME", help="Switching state that volts are read in.")] = "",
    passphrase: Secret = None,
) -> int:
    """Answer one question on a case from the true build behind it; price and answer are kept in a path file.

    \b
    Example:
      packcheck lesson ask lesson-1/case-03.yaml --by MK volts S05 S04
    """
    from packcheck.app.teaching.folder import PathFile, open_key, stand_again
    from packcheck.lessons.questions import question_of

    lesson, name = case.parent, case.name.removesuffix(".yaml")
    key = open_key(lesson, name, passphrase_of(passphrase))
    file = PathFile(lesson, key, by)
    opened = stand_again(lesson, key)
    if not question:
        say("\n".join([*prices(opened), *told(file.read())]) + "\n")
        return FINE
    asked = question_of(opened.bench, question, state)
    before = file.read().found(asked.text)
    path = file.ask(opened, asked)
    one = before or path.asked[-1]
    say("\n".join(reply(one, path, opened, asked, is_new=before is None)) + "\n")
    return FINE


def reply(one: Asked, path: Asking, case: OpenCase, question: Question, *, is_new: bool) -> Iterator[str]:
    """Yield the answer to one question, what it cost and why, and what is left."""
    from packcheck.lessons.costs import costs_of

    yield f"{printable(one.question)}: {one.reads}"
    for cost in costs_of(case.bench, question) if is_new else ():
        yield f"  {cost.points}: {cost.why}"
    if not is_new:
        yield f"  asked before, as number {one.number}: costs nothing"
    yield f"  {left_of(path)}"


def prices(case: OpenCase) -> Iterator[str]:
    """Yield what can be asked on a case, and what it costs."""
    from packcheck.lessons.costs import ABOVE_60_V, COSTS, LIVE
    from packcheck.simulate.asked.question import KINDS

    yield "QUESTIONS"
    for word, cost in COSTS.items():
        kind, names = KINDS[word], KINDS[word].names(case.bench)
        if names:
            yield f"  {word} {' '.join(names[: kind.count])}: {kind.says}"
            yield f"    {cost.points}: {cost.why}"
    yield f"  and {ABOVE_60_V.points} more where {ABOVE_60_V.why}; {LIVE.points} more where {LIVE.why}"


def told(path: Asking) -> Iterator[str]:
    """Yield what was asked so far."""
    yield "ASKED"
    yield from (f"  {one.number} {one.question}: {one.reads} ({one.points})" for one in path.asked)
    yield f"  {left_of(path)}"


def left_of(path: Asking) -> str:
    """Return how many points are left for questions."""
    from packcheck.lessons.costs import BUDGET

    return f"{BUDGET - path.points} of {BUDGET} points for questions left"
