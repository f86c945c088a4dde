"""An arrangement as text, as the layout's plan in YAML, and as JSON."""

from __future__ import annotations

from typing import Any

from packcheck.files.name_lists import list_places
from packcheck.matching.answer import Arrangement, Match
from packcheck.model.pack.model import Pack
from packcheck.render.json import dumped
from packcheck.render.page import USUAL_WIDTH, Page, plural, printable

SHAPE = 1
"""The version of the shape of the JSON; it grows when a key changes its meaning or goes away."""
MOST_CHOICES = 8
"""Groupings that none beats, which are written out before the rest is counted."""
MOST_UNITS = 24
"""Blocks or groups that are written out before the rest is counted."""
NO_MIRACLE = (
    "The order of modules in a string changes neither its capacity nor its resistance: the smallest module is empty"
    " first wherever it stands. It changes what a tap shows, and what sits warm."
)
_FACTORS = {"V": (1e3, "mV"), "Ah": (1.0, "Ah"), "1/Ω": (1.0, "1/Ω"), "Ω": (1e3, "mΩ")}


def render_arrangement(
    arrangement: Arrangement, pack: Pack, *, width: int = USUAL_WIDTH, colour: bool = False, everything: bool = False
) -> str:
    """Return the arrangement as text for people; ``everything``: no list cut short."""
    page = Page(width, colour=colour)
    page.banner(headline(arrangement), "hold" if arrangement.lacking or arrangement.unmeasured else "strong")
    for kind in arrangement.unmeasured:
        page.say(f"Of {kind} not every module has its capacity, and not every one its resistance: measure one of them.")
    for match in arrangement.matches:
        _match(page, arrangement, match, everything)
    _who(page, arrangement, everything)
    if arrangement.plan:
        page.heading("THE PLAN, to be pasted into the layout")
        page.say(f"`packcheck arrange ... --format yaml` prints it alone. {_bound_by(pack)}", 2)
        page.say(NO_MIRACLE, 2)
    return page.text()


def headline(arrangement: Arrangement) -> str:
    """Return the arrangement in one line."""
    if arrangement.lacking:
        few = ", ".join(f"{count} more of {kind}" for kind, count in arrangement.lacking.items())
        return f"NO PLAN: too few modules that may be fitted; {few} needed"
    if arrangement.unmeasured:
        return "NO PLAN: too little was measured to tell modules apart"
    moved = "" if arrangement.moves is None else f"; {plural(arrangement.moves, 'position')} to be filled anew"
    return f"A PLAN FOR {plural(len(arrangement.plan), 'module').upper()}{moved}"


def plan_as_yaml(arrangement: Arrangement) -> str:
    """Return the plan as the layout has it."""
    rows = "".join(f"  {position}: {_quoted(serial)}\n" for position, serial in arrangement.plan.items())
    return f"plan:\n{rows}" if rows else ""


def render_arrangement_json(arrangement: Arrangement, *, version: str, code: int) -> str:
    """Return the arrangement as JSON, its shape in ``schemas/arrangement.json``."""
    return dumped({
        "packcheck arrangement": SHAPE, "packcheck": version, "exit code": code,
        "plan": dict(arrangement.plan), "moves": arrangement.moves,
        "load [A]": arrangement.duty.load_a, "for [h]": arrangement.duty.hours_h,
        "matches": [_match_as_data(match) for match in arrangement.matches],
        "left out": [{"serial": one.serial, "why": one.why} for one in arrangement.left_out],
        "spares": list(arrangement.spares), "lacking": dict(arrangement.lacking),
        "unmeasured": list(arrangement.unmeasured),
    })  # fmt: skip


def _match_as_data(match: Match) -> dict[str, Any]:
    return {
        "type": match.kind, "size": match.size, "unit": match.unit, "spread": match.spread,
        "no grouping below": match.bound, "proven": match.proven, "at random": match.random,
        "as recorded": match.recorded, "readings leave open": match.half, "hidden": match.hidden,
        "choices": [_choice_as_data(match, number) for number in range(len(match.choices.front))],
        "every grouping looked at": match.choices.all_seen,
        "together": [{"serials": dict(one.serials), "sum": one.total, "half": one.half} for one in match.together],
    }  # fmt: skip


def _choice_as_data(match: Match, number: int) -> dict[str, Any]:
    one = match.choices.front[number]
    return {
        "number": number + 1, "chosen": number == match.chosen, "sums apart": one.uneven, "members apart": one.unlike,
        "members in": match.alike_unit, "second lots": one.lots,
        "together": [[match.serials[i] for i in group] for group in one.groups],
    }  # fmt: skip


def _match(page: Page, arrangement: Arrangement, match: Match, everything: bool) -> None:
    noun = "group" if arrangement.parallel else "block" if match.size > 1 else "position"
    page.heading(f"{plural(len(match.together), noun).upper()} OF {match.size} {printable(match.kind)}")
    page.say(_what(arrangement, match), 2)
    off = f" ± {_number(match, match.half)}" if match.half else ""
    page.item(f"largest less smallest {_number(match, match.spread)}{off}; {_how(match)}")
    if match.size > 1:
        page.item(f"modules put together at random: {_number(match, match.random)} on the mean of many")
    if match.recorded is not None:
        page.item(f"as recorded: {_number(match, match.recorded)}")
    if match.size > 1 and not match.is_worth_it:
        page.item("what was measured is too coarse, or the modules too alike, for the grouping to matter here")
    if match.size > 1 and not arrangement.parallel:
        page.item(
            f"two modules of one block differ by {_number(match, match.hidden)} at most, which its taps do not show"
        )
    _choices(page, match, everything)
    shown = match.together if everything else match.together[:MOST_UNITS]
    for one in shown:
        who = ", ".join(f"{name} {printable(serial)}" for name, serial in one.serials.items())
        page.say(f"{_number(match, one.total, 5):>10}  {who}", 4)
    if len(shown) < len(match.together):
        page.say(f"and {len(match.together) - len(shown)} more; --all writes them out", 4)


def _choices(page: Page, match: Match, everything: bool) -> None:
    """Say what else there is to choose: what is evener is nowhere more alike within, and of no fewer lots."""
    front = match.choices.front
    if len(front) < 2:
        return
    looked = "all groupings" if match.choices.all_seen else "those tried"
    page.item(f"{plural(len(front), 'plan')}, of {looked}, that no other beats; `--choose N` takes one")
    for number, one in enumerate(front):
        if everything or number < MOST_CHOICES or number == match.chosen:
            taken = ", taken here" if number == match.chosen else ""
            apart = f"sums {_number(match, one.uneven)} apart, members of one {_in_unit(match.alike_unit, one.unlike)}"
            lots = f", {plural(one.lots, 'second lot')}" if one.lots else ""
            page.say(f"{number + 1}{taken}: {apart}{lots}", 4)
    if not everything and len(front) > MOST_CHOICES:
        page.say("the others by --all", 4)
    page.say("Standard deviations: of the sums, and of the members of each from their mean.", 4)


def _what(arrangement: Arrangement, match: Match) -> str:
    duty = arrangement.duty
    by = {
        "V": f"the voltage they give way by, together, at {duty.load_a:g} A for {duty.hours_h * 60:g} min",
        "Ah": "the capacity they have together, and alike in resistance within a group",
    }.get(match.unit, "how well they conduct together")
    return f"Matched by {by}. What heats or loses most stands furthest from the middle of the stack."


def _how(match: Match) -> str:
    if match.size == 1:
        return "the choice with the least difference there is"
    if match.proven:
        return "no other grouping of these modules is better, a second lot counted in"
    return f"no grouping of these modules has less than {_number(match, match.bound)}"


def _who(page: Page, arrangement: Arrangement, everything: bool) -> None:
    if arrangement.left_out:
        page.heading("NOT TO BE FITTED")
        for one in arrangement.left_out if everything else arrangement.left_out[:MOST_UNITS]:
            page.item(f"{one.serial}: {one.why}")
        if not everything and len(arrangement.left_out) > MOST_UNITS:
            page.say(f"and {len(arrangement.left_out) - MOST_UNITS} more; --all names them", 2)
    if arrangement.spares:
        page.heading("SPARE")
        page.say(list_places(arrangement.spares), 2)


def _bound_by(pack: Pack) -> str:
    old = "It takes the place of the plan that the layout has. " if pack.plan else ""
    return f"{old}`packcheck check` holds the build to it by serial."


def _number(match: Match, value: float, digits: int = 3) -> str:
    return _in_unit(match.unit, value, digits)


def _in_unit(unit: str, value: float, digits: int = 3) -> str:
    factor, unit = _FACTORS[unit]
    return f"{value * factor:.{digits}g} {unit}"


def _quoted(serial: str) -> str:
    """Return a serial as YAML text that is read as the same text again."""
    plain = serial.isascii() and serial.replace("-", "").isalnum() and serial[:1].isalpha()
    return serial if plain and serial.lower() not in _WORDS else "'" + serial.replace("'", "''") + "'"


_WORDS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null", "none"})
