"""Words and numbers that the text, the drawings and the JSON of an exposure share."""

from __future__ import annotations

from math import inf

from packcheck.exposure.answer import Answer, Passing
from packcheck.exposure.bridges import ARC_GAP_MM, Bridge, Source
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.precedence import Merit
from packcheck.files.name_lists import list_places
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.order import Stage
from packcheck.physics.classes import CLASS_A_LIMIT_V
from packcheck.render.page import plural

INDICATIVE = (
    "Indicative: arc figures come from a fit to arcs of 100 A and more over gaps of 5 mm and more, used here at"
    f" {ARC_GAP_MM:g} mm; the power is a bound at half the voltage; resistances are those of the layout or typical; a"
    " bridge adds the stated outside resistance and no more.",
    "Derived: voltages, currents and reach follow from the layout. Voltage classes are those of ISO 6469-3, a measure"
    " of shock alone.",
)
NO_PERMISSION = (
    "This table plans work for trained people under local rules. It permits nothing. A battery is always live: burns,"
    " sparks and arcs happen far below 60 V DC."
)
FLOATING = (
    "two sections that float pass no current when they are bridged once; that first bridge makes one section of them,"
    " and a leak to the tray counts as the first. 'float' gives the voltage that may lie across the next bridge;"
    " --earthed NODE reckons with a leak at a node"
)


def number(value: float, unit: str) -> str:
    """Return a figure for people: three digits, with k for thousands of amperes and watts."""
    if unit in ("A", "W") and abs(value) >= 9995:
        size, prefix = (1e6, "M") if abs(value) >= 9.995e5 else (1e3, "k")
        return f"{float(f'{value / size:.3g}'):g} {prefix}{unit}"
    if unit == "V":
        return f"{value:.1f} V"
    return format_quantity(float(f"{value:.3g}"), unit)


def work_words(stage: Stage, most: int | None = 6) -> str:
    """Return what a stage does: ``fit B02, B04``, ``take off CA``, ``disconnect SD in``."""
    items = list_places(stage.items, most)
    if stage.kind == "disconnect":
        return f"disconnect {items} {'out' if stage.off else 'in'}"
    verb = "take off" if stage.off else {"positions": "set up", "covers": "put on"}.get(stage.kind, "fit")
    if stage.kind == "others":
        return items
    what = {"clamp": "clamp", "taps": "sense eyelets"}.get(stage.kind, "")
    return f"{verb} {what}" if what else f"{verb} {items}"


def merit_words(merit: Merit) -> str:
    """Return what an order comes to: its largest sections, its acts in class B, the sum of powers."""
    stretches = ", ".join(f"{volts:.1f}" for volts in merit.stretches_v)
    power = f"; sum of pairs times power {number(merit.power_w, 'W')}" if merit.power_w is not None else ""
    ends = f"largest section {stretches} V at the ends of the stretches; " if stretches else ""
    return f"{ends}{plural(merit.class_b_acts, 'act')} in class B{power}"


def step_number(stage: Stage) -> str:
    """Return the step's number; ``before 5.3`` for what the order does not name."""
    if stage.number.startswith("after"):
        return "end"
    return f"{stage.number[:-1]}-" if stage.number.endswith("+") else stage.number


def passing_words(answer: Answer) -> str:
    """Return when 60 V is first passed and by which act: the first thing to know of an order of work."""
    passing, limit = answer.passing, f"{CLASS_A_LIMIT_V:g} V"
    if not answer.is_teardown or passing is None or passing.stage is None:
        return first_passing_words(passing)
    step = next(e.stage.number for e in answer.exposures if _same_work(e.stage, passing.stage))
    below = number(passing.before_v, "V")
    return f"{limit} is passed until step {step} is done: only then has every section {below} or less (full cells)"


def first_passing_words(passing: Passing | None) -> str:
    """Return when 60 V is first passed while a pack is built up."""
    limit = f"{CLASS_A_LIMIT_V:g} V"
    if passing is None:
        return f"{limit} is never passed, with full cells"
    if passing.stage is None:
        return f"{limit} is passed from the start: one module alone has {number(passing.after_v, 'V')} (full cells)"
    step, volts = step_number(passing.stage), (number(passing.before_v, "V"), number(passing.after_v, "V"))
    return (
        f"{limit} is first passed at step {step}, with {passing.act}: {volts[0]} before, {volts[1]} after (full cells)"
    )


def _same_work(one: Stage, other: Stage) -> bool:
    return (one.kind, one.items) == (other.kind, other.items)


def bare_words(exposure: Exposure) -> str:
    """Return what is bare, as a short list."""
    if not exposure.bare:
        return "none of the conductors that the layout places"
    return list_places(exposure.bare, 4)


def arc_words(source: Source) -> str:
    """Return what the published fit says of an arc at 1 mm."""
    if source.limit_a < inf:
        return f"the sense wire on the way carries {number(source.limit_a, 'A')}, then its fuse opens or it melts"
    arc = source.arc
    if arc is None:
        return f"fit gives no sustained arc at {ARC_GAP_MM:g} mm, break sparks and burns remain"
    return f"an arc of {number(arc.current_a, 'A')}, {number(arc.power_w, 'W')} can hold at {ARC_GAP_MM:g} mm"


def bridge_words(bridge: Bridge) -> str:
    """Return a bridge in one sentence."""
    source = bridge.source
    near = "able to touch" if bridge.gap_drawn else "no distance drawn"
    apart = f"{bridge.gap_mm:.3g} mm apart" if bridge.gap_mm else near
    return (
        f"{bridge.a} to {bridge.b}, {apart}, {bridge.way}, by {bridge.by}:"
        f" {number(source.rest_v, 'V')} at rest, {number(source.highest_v, 'V')} at most,"
        f" {number(source.current_a, 'A')}, up to {number(source.power_w, 'W')}, class {source.voltage_class};"
        f" {arc_words(source)}"
    )


def asks_words(exposure: Exposure) -> list[str]:
    """Return what a step asks for, each in a sentence."""
    asks = exposure.asks
    if not asks.second_person:
        return list(asks.notes)
    words = [f"rubber gloves {asks.gloves}; a second person"]
    if asks.cover_first:
        words.append(f"cover first: {list_places(asks.cover_first)}")
    if exposure.touch_v > CLASS_A_LIMIT_V:
        words.append(f"two hands reach {number(exposure.touch_v, 'V')} between bare conductors of one section")
    return [*words, *asks.notes]
