"""What was drawn at random to be read again, as text for the people who read it."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.files.name_lists import list_places
from packcheck.judging.rereading import Drawn
from packcheck.render.page import USUAL_WIDTH, Page


def render_rereading(drawn: Iterable[Drawn], *, of: str, number: int, width: int = USUAL_WIDTH) -> str:
    """Return the list, with the number that draws it again and what it would find."""
    page = Page(width, colour=False)
    page.banner(f"TO BE READ AGAIN, of {of}, drawn with number {number}", "strong")
    page.say("By somebody else, with another instrument where there is one, before the first number is looked up.")
    for one in drawn:
        page.heading(f"{one.kind}: {len(one.names)} of {one.lot}")
        page.say(list_places(one.names), 2)
        are = "one is" if one.wrong == 1 else f"{one.wrong} are"
        page.say(f"If {are} wrong, at least one of these shows it with a chance of {100 * one.chance:.0f} %.", 2)
    page.gap()
    page.say("Enter what is read under again, with the reason. A list like this asks about numbers, not about people.")
    return page.text()
