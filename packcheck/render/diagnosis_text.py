"""The diagnosis as text: what does not fit, what could explain it, what to measure next, what is excluded."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from packcheck.diagnosis.answer import Diagnosis, Kind
from packcheck.diagnosis.hypothesis import Hypothesis
from packcheck.diagnosis.plan import Step, volts
from packcheck.diagnosis.search import Fit, Observed
from packcheck.diagnosis.switched_network import Seen
from packcheck.judging.cautions import CAUTIONS
from packcheck.model.record.model import Record
from packcheck.render.page import USUAL_WIDTH, Page, plural
from packcheck.render.words import number_of, places_in_words

MOST_EXPLANATIONS = 6
MOST_READINGS = 4
"""How many explanations, and how many readings of each, are printed before the rest is counted."""
EXPLAINED = "WHAT COULD EXPLAIN THE READINGS"
UNTOLD = "Nothing measured between two places tells these apart. Unplug one connector, or take one part out, and see."
NEVER_CERTAIN = (
    "An explanation is one that these readings allow, no more. Others may, that nobody thought of: measure before"
    " anything is taken apart."
)


def render_diagnosis(
    diagnosis: Diagnosis, record: Record, *, width: int = USUAL_WIDTH, colour: bool = False, everything: bool = False
) -> str:
    """Return the diagnosis as text for people; ``everything``: every explanation, and every reading of it."""
    page = Page(width, colour=colour)
    page.banner(headline(diagnosis), "strong" if diagnosis.nothing_needed else "hold")
    page.say(
        f"Pack {number_of(record.serial)}, layout {record.pack.name} revision {record.pack.revision}: {record.file}"
    )
    _misfits(page, diagnosis)
    if diagnosis.misfits:
        _explanations(page, diagnosis, everything)
        _next(page, diagnosis)
        _excluded(page, diagnosis.excluded, everything)
    elif diagnosis.observed:
        page.say("Whether what is recorded may be energized is judged by `packcheck check`.")
        _not_told(page, diagnosis.fits)
    singles, pairs = diagnosis.tried
    page.heading("SOLVED")
    more = f" and {plural(pairs, 'pair')}" if pairs else ""
    more += ", and more pairs than were solved" if diagnosis.unsolved else ""
    page.say(f"{plural(len(diagnosis.observed), 'reading')} against {singles:,} single explanations{more}.", 2)
    page.say(NEVER_CERTAIN, 2)
    page.heading("CAUTIONS")
    for caution in CAUTIONS:
        page.item(caution)
    return page.text()


def headline(diagnosis: Diagnosis) -> str:
    """Return the diagnosis in one line."""
    if not diagnosis.observed:
        return "NOTHING TO EXPLAIN: the record holds no voltage between two places"
    if diagnosis.nothing_needed:
        readings = plural(len(diagnosis.observed), "reading")
        return f"THE READINGS FIT THE RECORD: no fault is needed to explain {readings}"
    amiss = f"{plural(len(diagnosis.misfits), 'reading')} of {len(diagnosis.observed)} not as the record predicts"
    if not diagnosis.fits:
        return f"NOT EXPLAINED: {amiss}, and no one or two things explain it"
    count = len(diagnosis.fits)
    fit = "1 explanation fits and is not proved" if count == 1 else f"{count} explanations fit, none of them proved"
    return f"{fit.upper()}: {amiss}"


def _misfits(page: Page, diagnosis: Diagnosis) -> None:
    if not diagnosis.misfits:
        return
    page.heading("READINGS THAT DO NOT FIT THE RECORD")
    for i in diagnosis.misfits[:MOST_READINGS]:
        one, seen = diagnosis.observed[i], diagnosis.base[i]
        page.item(f"{where(one)}: {volts(one.value)} read, {predicted(seen)} predicted")
    if len(diagnosis.misfits) > MOST_READINGS:
        names = places_in_words(diagnosis.observed[i].probe.reading for i in diagnosis.misfits[MOST_READINGS:])
        page.say(f"and {names}", 4)


def where(one: Observed) -> str:
    """Return a reading by its name, its two places and its state."""
    load = f", {one.probe.load_a:g} A drawn" if one.probe.load_a else ""
    less = f" less {one.probe.less}" if one.probe.less else ""
    return f"{one.probe.reading}{less}, {one.probe.plus} against {one.probe.minus} ({one.probe.state}{load})"


def predicted(seen: Seen) -> str:
    """Return a prediction with how far it is left open."""
    if not seen.joined:
        return "next to nothing"
    return f"{volts(seen.volts)} ± {max(seen.half, 0.01):.2f} V"


def _explanations(page: Page, diagnosis: Diagnosis, everything: bool) -> None:
    if not diagnosis.fits:
        return
    page.heading("WHAT COULD EXPLAIN THEM, best first")
    shown = diagnosis.fits if everything else diagnosis.fits[:MOST_EXPLANATIONS]
    for number, fit in enumerate(shown, 1):
        page.item(f"{explanation(fit)}.", f"{number}.", 0)
        rows = _rows(diagnosis, fit)
        for row in rows if everything else rows[:MOST_READINGS]:
            page.say(row, 3)
    if len(shown) < len(diagnosis.fits):
        rest = Counter(fit.hypothesis.kind for fit in diagnosis.fits[len(shown) :])
        page.say(f"and {', '.join(f'{kind} ({n})' for kind, n in rest.items())} (--all prints them)")


def explanation(fit: Fit) -> str:
    """Return what a hypothesis says, with the size that was found for it."""
    says = _sentence(fit.hypothesis)
    free = fit.hypothesis.free
    if free is None or free.what == "tap":
        return says
    if free.what == "scale":
        return f"{says}: about {1 + fit.size:.3f} times"
    size = f"{fit.size * 1000:.2g} mΩ more" if free.what == "ohm" else f"{volts(fit.size)} beside what was read of it"
    return f"{says}: about {size}"


def _sentence(hypothesis: Hypothesis) -> str:
    return hypothesis.says[0].upper() + hypothesis.says[1:]


def _rows(diagnosis: Diagnosis, fit: Fit) -> list[str]:
    """Return predicted beside measured, for the readings that did not fit and those that this changes."""
    rows = []
    for i, (one, base, seen) in enumerate(zip(diagnosis.observed, diagnosis.base, fit.predicted, strict=True)):
        if i in diagnosis.misfits or abs(seen.volts - base.volts) > base.half + one.half:
            rows.append(f"{one.probe.reading}: {predicted(seen)} predicted, {volts(one.value)} read")
    return rows


def _next(page: Page, diagnosis: Diagnosis) -> None:
    if len(diagnosis.fits) < 2:
        return
    page.heading("NEXT MEASUREMENT")
    if diagnosis.step is None:
        page.say(UNTOLD, 2)
    else:
        numbers = {id(fit): str(number) for number, fit in enumerate(diagnosis.fits, 1)}
        _step(page, diagnosis.step, numbers, 2)


def _step(page: Page, step: Step, numbers: dict[int, str], indent: int) -> None:
    page.say(step.do + (f" ({step.care})" if step.care else "") + ".", indent)
    for outcome in step.outcomes:
        left = ", ".join(numbers[id(fit)] for fit in outcome.left[:MOST_EXPLANATIONS])
        more = f" and {len(outcome.left) - MOST_EXPLANATIONS} more" if len(outcome.left) > MOST_EXPLANATIONS else ""
        end = "" if len(outcome.left) == 1 else "; then" if outcome.then else f". {UNTOLD}"
        page.item(f"{outcome.shows}: {left}{more} left{end}", "-", indent)
        if outcome.then:
            _step(page, outcome.then, numbers, indent + 2)


def _excluded(page: Page, kinds: Sequence[Kind], everything: bool) -> None:
    page.heading("EXCLUDED, the nearest first")
    by_distance = sorted(kinds, key=lambda kind: kind.nearest.widths)
    for kind in by_distance if everything else by_distance[:MOST_EXPLANATIONS]:
        near = kind.nearest
        count = f" and {kind.count - 1} more of its kind" if kind.count > 1 else ""
        page.item(f"that {near.hypothesis.says}{count}: {near.reading} would be about {volts(near.would_be_v)}")
    if not everything and len(kinds) > MOST_EXPLANATIONS:
        page.say(f"and {plural(len(kinds) - MOST_EXPLANATIONS, 'other kind')} (--all prints them)", 2)


def _not_told(page: Page, fits: Sequence[Fit]) -> None:
    """Write what the readings fit as well: what no voltage taken here could have shown."""
    rest = Counter(fit.hypothesis.kind for fit in fits[1:])
    if rest:
        page.heading("WHAT THESE READINGS CANNOT TELL FROM IT, with the number of places")
        page.say(", ".join(f"{kind} ({count})" for kind, count in rest.most_common()) + ".", 2)


def write_paragraph_of(page: Page, diagnosis: Diagnosis | str, file: str) -> None:
    """Write a diagnosis, or of what there is too much for one, in one paragraph of another answer."""
    page.heading(EXPLAINED)
    if isinstance(diagnosis, str):
        page.say(left_to_diagnose(diagnosis, file), 2)
        return
    for number, words in enumerate(best_explanations(diagnosis), 1):
        page.item(words, f"{number}.", 2)
    page.say(how_to_go_on(diagnosis, file), 2)


def left_to_diagnose(unsought: str, file: str) -> str:
    """Return that explanations were not sought, of what there is too much for that, and what seeks them."""
    return f"Not sought along with a check of {unsought}. `packcheck diagnose {file}` seeks it."


def best_explanations(diagnosis: Diagnosis) -> list[str]:
    """Return the explanations that another answer tells of, best first."""
    return [f"{explanation(fit)}." for fit in diagnosis.fits[:3]]


def how_to_go_on(diagnosis: Diagnosis, file: str) -> str:
    """Return how many more explanations fit, what tells them apart, and where the rest is told."""
    if not diagnosis.fits:
        return f"{headline(diagnosis)}. `packcheck diagnose {file}` tells what is excluded, and by which reading."
    rest = len(diagnosis.fits) - 3
    more = f"{rest} more fit. " if rest > 0 else ""
    step = f"To tell them apart: {diagnosis.step.do[0].lower()}{diagnosis.step.do[1:]}. " if diagnosis.step else ""
    return f"{more}None of them is proved. {step}`packcheck diagnose {file}` tells the rest."
