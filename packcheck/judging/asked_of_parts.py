"""Questions about what is fitted, looked at and counted."""

from __future__ import annotations

from dataclasses import replace

from packcheck.files.names import conductor_of
from packcheck.files.quantities import format_quantity
from packcheck.judging.asked import UNITS, Answer, Ask, Asked, Asking
from packcheck.judging.readings_to_take import all_open
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.model import Record
from packcheck.model.record.sheets import AS_DRAWN, IS, NOT_FITTED, STACK

MARKS = ("white", "yellow", "red", "blue", "green")
CONDITIONS = ("sound", "bent", "cracked", "thin", "corroded")


def asked_fitted(a: Asking) -> Asked | None:
    """Ask whether a conductor, a device or a cover is there."""
    pack, place = a.pack, a.place
    if place in pack.conductors:
        return _landing(a)
    if place in pack.devices:
        return a.cell("devices", _word((AS_DRAWN, "fitted, as drawn"), (NOT_FITTED, "not fitted")))
    if place in pack.covers:
        return a.cell("covers", _word(("fitted", "fitted"), (NOT_FITTED, "not fitted")))
    return None


def _landing(a: Asking) -> Asked | None:
    section = _table_of(a.pack, a.record, a.place)
    conductor = a.pack.conductors.get(a.place)
    if conductor is None:
        return Asked(section, a.place, (Ask("lands", "places", "where it lands"),)) if section else None
    nodes = tuple(landing.node for landing in conductor.lands)
    there = " – ".join(f"{node}{_sign(a.pack, node)}" for node in nodes)
    word = replace(_word((AS_DRAWN, f"as drawn: {there}"), (NOT_FITTED, "not fitted")), label="where it lands")
    return Asked(section, a.place, (word, Ask("lands", "places", "elsewhere", optional=True)), parts=(a.place, *nodes))


def _table_of(pack: Pack, record: Record, name: str) -> str:
    if name in pack.conductors:
        return "leads" if pack.conductors[name].kind == "lead" else "bars"
    return record.conductors[name].section if name in record.conductors else ""


def _word(*choices: tuple[str, str]) -> Ask:
    return Ask(IS, "choice", "fitted", choices=choices)


def _sign(pack: Pack, node: str) -> str:
    return f" ({sign})" if (sign := pack.polarity_of(node)) else ""


def asked_module(column: str, label: str) -> Answer:
    """Ask what the eyes see of a module."""

    def answer(a: Asking) -> Asked | None:
        if a.place not in a.pack.positions:
            return None
        kind = a.pack.module_type_at(a.place)
        if column == IS:
            return a.cell("modules", replace(_word((NOT_FITTED, "not fitted")), optional=True))
        if column == "plus at":
            posts = tuple((post, f"+ at {post}") for post in kind.posts)
            return a.cell("modules", Ask(column, "choice", label, choices=posts))
        if column == "type":
            types = tuple((name, name) for name in a.pack.module_types)
            return a.cell("modules", Ask(column, "choice", label, choices=types))
        return a.cell("modules", Ask(column, "text", label))

    return answer


def asked_rest(a: Asking) -> Asked | None:
    """Ask the rest voltage of a module: loose, or with everything open once a conductor is on it."""
    if a.place not in a.pack.positions:
        return None
    posts = {f"{a.place}.{post}" for post in a.pack.module_type_at(a.place).posts}
    joined = any(c.fitted and posts & set(c.lands or ()) for c in a.record.conductors.values())
    band = a.pack.module_type_at(a.place).rest_v
    ends = " to ".join(format_quantity(end, "V") for end in (band.low, band.high) if end is not None)
    one = Ask("rest", "number", "rest voltage", UNITS["rest"], target=ends)
    return Asked("modules", a.place, (one,), state=all_open(a.pack) if joined else LOOSE)


def asked_joint(column: str, label: str, units: tuple[str, ...] = ()) -> Answer:
    """Ask a number of a joint."""

    def answer(a: Asking) -> Asked | None:
        if a.place not in a.pack.joints:
            return None
        conductor, landing = a.pack.joints[a.place]
        parts = (conductor.name, landing.node)
        return replace(a.number("joints", column, label, units), parts=parts)

    return answer


def asked_recheck(a: Asking) -> Asked | None:
    """Ask the re-check of a joint."""
    one = Ask("recheck", "choice", "re-check", choices=(("held", "held"), ("moved", "moved")), shared=True)
    return replace(_at_joint(a, one), parts=(conductor_of(a.place),))


def asked_mark(a: Asking) -> Asked | None:
    """Ask the paint mark of a joint."""
    choices = tuple((colour, colour) for colour in MARKS)
    return _at_joint(a, Ask("mark", "choice", "paint mark", choices=choices, shared=True))


def _at_joint(a: Asking, one: Ask) -> Asked:
    joint = a.pack.joints.get(a.place)
    return Asked("joints", a.place, (one,), parts=(joint[0].name, joint[1].node) if joint else (a.place,))


def asked_condition(a: Asking) -> Asked | None:
    """Ask the condition of a conductor."""
    section = _table_of(a.pack, a.record, a.place)
    one = Ask("condition", "choice", "condition", choices=tuple((word, word) for word in CONDITIONS),
              optional=a.errand.advice, shared=True)  # fmt: skip
    return a.cell(section, one) if section else None


def asked_part(a: Asking) -> Asked | None:
    """Ask the part number of a device or a conductor."""
    planned = a.pack.devices.get(a.place) or a.pack.conductors.get(a.place)
    section = "devices" if a.place in a.pack.devices else _table_of(a.pack, a.record, a.place)
    drawn = ((planned.part, f"{planned.part}, as drawn"),) if planned and planned.part else ()
    return a.cell(section, Ask("part", "text", "part number", choices=drawn)) if section else None


def asked_printed(column: str, label: str) -> Answer:
    """Ask a number printed on a device."""
    return lambda a: a.cell("devices", Ask(column, "number", label, UNITS[column]))


def asked_arrow(a: Asking) -> Asked | None:
    """Ask which way a device with a direction points."""
    choices = tuple((way, f"arrow from {a.place}.{way[0]} to {a.place}.{way[-1]}") for way in ("1 to 2", "2 to 1"))
    return a.cell("devices", Ask("current", "choice", "direction of its arrow", choices=choices))


def asked_tap(a: Asking) -> Asked | None:
    """Ask where a sense tap sits."""
    if a.place not in a.pack.taps:
        return None
    node = a.pack.taps[a.place].node
    word = replace(_word((AS_DRAWN, f"as drawn: {node}{_sign(a.pack, node)}"), (NOT_FITTED, "not fitted")),
                   label="where it sits")  # fmt: skip
    return Asked("taps", a.place, (word, Ask("on", "places", "elsewhere", optional=True)), parts=(a.place, node))


def asked_cap(a: Asking) -> Asked | None:
    """Ask whether a post has its cap."""
    word = Ask(IS, "choice", "cap", choices=(("on", "cap is on"), ("off", "no cap")), shared=True)
    return Asked("caps", a.place, (word,))


def asked_screws(a: Asking) -> Asked | None:
    """Ask how many screws a cover has."""
    cover = a.pack.covers.get(a.place)
    target = f"drawn: {cover.screws}" if cover and cover.screws else ""
    return a.cell("covers", Ask("screws", "count", "screws in it", target=target)) if cover else None


def asked_counts(a: Asking) -> Asked | None:
    """Ask how many of a part there were."""
    needed = needed_parts(a.pack).get(a.place)
    labels = {"issued": "taken from stock", "fitted": "fitted", "returned": "brought back", "scrapped": "scrapped"}
    fields = tuple(
        Ask(name, "count", labels[name], target=f"the pack needs {needed}" if name == "fitted" and needed else "")
        for name in a.words["names"].split(", ") if name in labels
    )  # fmt: skip
    return Asked("parts", a.place, fields) if fields else None


def asked_tools(_: Asking) -> Asked | None:
    """Ask which tools went to the pack and came back."""
    fields = (Ask("name", "text", "tool"), Ask("out", "count", "taken to the pack"), Ask("in", "count", "brought back"))
    return Asked("tools", "", fields, "a tool, or many of one kind", parts=("",))


def asked_extra(_: Asking) -> Asked | None:
    """Ask whether anything else conducts."""
    words = "I looked along every face: nothing conducts that is not listed"
    field = Ask("extra", "choice", "anything else that conducts", choices=(("none", words),))
    return Asked("extra", "extra", (field,), "the whole pack", parts=("",))


def asked_clamp(column: str, label: str) -> Answer:
    """Ask a number of the clamp."""

    def answer(a: Asking) -> Asked | None:
        return Asked("clamp", STACK, a.number("clamp", column, label).fields, "the clamp", parts=("",))

    return answer


def asked_instrument(column: str, label: str) -> Answer:
    """Ask what is not known of an instrument."""

    def answer(a: Asking) -> Asked | None:
        kind = {"cycles": "count", "due": "date"}.get(column, "text")
        return a.cell("instruments", Ask(column, kind, label)) if a.place in a.record.instruments else None

    return answer
