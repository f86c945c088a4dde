"""What is wrong with a file that people wrote: where, the line itself, found, needed, why, do."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.files.problems import Problem
from packcheck.render.page import USUAL_WIDTH, Page, plural

MOST_SHOWN = 40
"""How many problems of one run are shown before the rest is counted."""


def render_problems(problems: Sequence[Problem], *, width: int = USUAL_WIDTH, colour: bool = False) -> str:
    """Return the problems as text, in the order of the file.

    Parameters
    ----------
    problems : at least one.
    width : columns of the terminal; lines quoted from a file are not wrapped.
    colour : whether to colour the first line.
    """
    page = Page(width, colour=colour)
    files = list(dict.fromkeys(problem.file for problem in problems))
    where = files[0] if len(files) == 1 else f"{len(files)} files"
    page.banner(f"NOT JUDGED: {plural(len(problems), 'mistake')} in {where}", "hold")
    for problem in problems[:MOST_SHOWN]:
        page.gap()
        _problem(page, problem)
    rest = len(problems) - MOST_SHOWN
    if rest > 0:
        page.gap()
        page.say(f"and {rest} more; mend these first")
    return page.text()


def _problem(page: Page, problem: Problem) -> None:
    page.verbatim(problem.place(), 0)
    for line in problem.excerpt.splitlines():
        page.verbatim(line, 3)
    page.field("Found", problem.found)
    page.field("Needed", problem.needed)
    page.field("Why", problem.why)
    page.field("Do", problem.do)
