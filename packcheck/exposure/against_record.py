"""The order as worked against what each step asked for: gloves, second person, covers, faces, disconnect."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from packcheck.exposure.steps import State, finished, states_of
from packcheck.exposure.story import Exposure, Model
from packcheck.exposure.yard import Yard
from packcheck.files.name_lists import list_places
from packcheck.model.record.abilities import plain_name
from packcheck.model.record.model import Record
from packcheck.model.record.worked import WorkStep
from packcheck.physics.classes import CLASS_A_LIMIT_V, GLOVE_CLASSES, GLOVE_TEST_MONTHS, glove_class
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import Finding, Gate, Outcome, Severity

FAMILY = "short-circuit"
WHY_GLOVES = (
    "Above 60 V DC a touch can kill: through the heart in a fraction of a second, or by a muscle that cannot let go. A"
    " glove that is too weak, or was last tested too long ago, is leather at best."
)
WHY_SECOND = (
    "A person who cannot let go cannot help themselves. The second person, trained in release and resuscitation, is who"
    " ends the shock."
)
WHY_COVER = "What is covered cannot be bridged by a dropped washer, nor touched with the back of a hand."
WHY_FACES = (
    "With one face open, only conductors of that face lie within reach of each other; with two, both hands, and any"
    " tool as long as the stack is wide, reach the whole section."
)
WHY_DISCONNECT = (
    "The disconnect takes every section to the voltage of the whole string at once. With a cover off, all of it lies"
    " bare."
)


@dataclass(frozen=True)
class Shown:
    """One stage as worked: the step it belongs to and its exposure."""

    step: WorkStep
    exposure: Exposure


def as_worked(model: Model, steps: Sequence[WorkStep]) -> list[Shown]:
    """Return the exposure after every stage of the work as done.

    Positions that no step names stand from the start.  A record whose first act takes something off tells the teardown
    of a finished pack.
    """
    stages = [stage for step in steps for stage in step.stages]
    step_of = {id(stage): step for step in steps for stage in step.stages}
    named = {item for stage in stages if stage.kind == "positions" for item in stage.items}
    start = State(positions=frozenset(name for name in model.pack.positions if name not in named))
    if stages and stages[0].off:
        start = finished(model.pack)
    return [
        Shown(step_of[id(stage)], model.exposure(stage, state)) for stage, state in states_of(model.pack, stages, start)
    ]


def judge_work(model: Model, yard: Yard, plan: Sequence[str], record: Record, shown: Sequence[Shown]) -> list[Finding]:
    """Return what was wrong with the work as done, or what was not recorded of it; the first step of each kind.

    Parameters
    ----------
    model, yard : the pack.
    plan : acts of the layout's own order, for the covers it has on by then; none where it states no order.
    record : where the work is told.
    shown : the work as done.
    """
    found: list[Finding] = []
    for judge in (_gloves, _second, _faces, _disconnect):
        found += _first_of_each(record, (judge(model, row) for row in shown))
    return found + _first_of_each(record, _covers(yard, plan, shown))


Verdict = tuple[Shown, str, Outcome, str, str, str, str, str, str] | None


def _first_of_each(record: Record, verdicts: Iterator[Verdict]) -> list[Finding]:
    """Return one finding per fault: at the first step that shows it, with the number of further steps."""
    grouped: dict[tuple[str, Outcome], list[tuple[Shown, str, Outcome, str, str, str, str, str, str]]] = {}
    for verdict in verdicts:
        if verdict:
            grouped.setdefault((verdict[1], verdict[2]), []).append(verdict)
    return [
        _finding(record, members[0], len({row[0].step.number for row in members}) - 1) for members in grouped.values()
    ]


def _finding(
    record: Record, verdict: tuple[Shown, str, Outcome, str, str, str, str, str, str], further: int
) -> Finding:
    row, name, outcome, title, found, needed, why, do, asked = verdict
    step, when = row.step, f", {row.step.at:%Y-%m-%d %H:%M}" if row.step.at else ""
    what = list_places(row.exposure.stage.items, 6)
    more = f"; {further} later step{'s' * (further != 1)} alike" if further else ""
    place = f"step {row.exposure.stage.number} of the work{when}: {'off ' if row.exposure.stage.off else ''}{what}"
    return Finding(
        rule=name, title=title, family=FAMILY, severity=Severity.FIX_BEFORE_RELEASE, gate=Gate.FIT_BARS,
        outcome=outcome, subject=f"step {step.number}", place=place, found=found + more, needed=needed, why=why, do=do,
        data=(Datum(asked, f"step {step.number} of the work", "eyes"),) if asked else (),
        source=(record.file, step.line) if step.line else None,
    )  # fmt: skip


def _live(row: Shown) -> str:
    """Return in words what class B voltage lies bare in a step; "" when none does."""
    e = row.exposure
    if e.touch_v <= CLASS_A_LIMIT_V:
        return ""
    worst = e.worst_of_all
    tool = ""
    if worst and worst.source.highest_v > CLASS_A_LIMIT_V:
        tool = f"; {worst.by} spans {worst.a} and {worst.b}, {worst.source.highest_v:.1f} V"
    return f"up to {e.touch_v:.1f} V lay between bare conductors of one section{tool}"


def _gloves(_: Model, row: Shown) -> Verdict:
    live, step = _live(row), row.step
    if not live:
        return None
    needed_class = glove_class(row.exposure.touch_v)
    needed = (
        f"rubber gloves of class {needed_class.name if needed_class else '(none reaches this)'} or higher,"
        f" tested within {GLOVE_TEST_MONTHS} months (29 CFR 1910.137), leather over them"
    )
    title = "Class B voltage within reach with gloves of the right class, in date"
    do = "Stop, cover what is bare, put on the gloves, have them air-tested, and say in the record what was worn."

    def verdict(outcome: Outcome, found: str, asked: str = "") -> Verdict:
        return (row, "class-b-without-gloves", outcome, title, f"{live}; {found}", needed, WHY_GLOVES, do, asked)

    if step.gloves is None:
        return verdict(Outcome.UNPROVEN, "nobody recorded which gloves were worn", "class and test date of the gloves")
    if step.gloves == "none" or not needed_class:
        return verdict(Outcome.BROKEN, f"gloves: {step.gloves}")
    names = [row.name for row in GLOVE_CLASSES]
    worn = step.gloves.removeprefix("class").strip()
    if worn not in names or names.index(worn) < names.index(needed_class.name):
        return verdict(Outcome.BROKEN, f"gloves of {step.gloves}")
    if step.tested is None or step.at is None:
        return verdict(
            Outcome.UNPROVEN,
            "nobody recorded when the gloves were tested, or when the step was done",
            "test date of the gloves, and date of the step",
        )
    if not _in_date(step.tested, step.at):
        return verdict(Outcome.BROKEN, f"gloves tested {step.tested:%Y-%m-%d}, used {step.at:%Y-%m-%d}")
    return None


def _in_date(tested: datetime, used: datetime) -> bool:
    """Return whether gloves tested on one day may be worn on another, by the six-month retest."""
    return tested.date() <= used.date() <= months_later(tested.date(), GLOVE_TEST_MONTHS)


def months_later(day: date, months: int) -> date:
    """Return the same day some months later, or the last of that month where it has no such day.

    >>> months_later(date(2026, 8, 31), 6)
    datetime.date(2027, 2, 28)
    """
    year, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + year, month + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def _second(_: Model, row: Shown) -> Verdict:
    live, step = _live(row), row.step
    if not live or (step.second and not _is_nobody_else(step.second, step.by)):
        return None
    outcome = Outcome.UNPROVEN if step.second is None else Outcome.BROKEN
    said = "nobody recorded a second person" if step.second is None else f"second person: {step.second}"
    return (
        row,
        "class-b-alone",
        outcome,
        "Class B voltage within reach with a second person there",
        f"{live}; {said}",
        "a second person, trained in release and resuscitation, who does not touch the pack",
        WHY_SECOND,
        "Stop until there are two of you, and say in the record who the second person was.",
        "who the second person was" if step.second is None else "",
    )


def _is_nobody_else(second: str, by: str | None) -> bool:
    """Return whether a second person is none, or the first one under another spelling."""
    return second == "none" or plain_name(second) == plain_name(by or "")


def _faces(model: Model, row: Shown) -> Verdict:
    by_name = {body.name: body for body in model.geometry.bodies}
    faces = {by_name[name].face for name in row.exposure.bare if by_name[name].kind in ("post", "bar")}
    faces.discard("any")
    if len(faces) < 2 or not any(name in row.exposure.state.conductors for name in row.exposure.bare):
        return None
    opened = list_places(faces)
    return (
        row,
        "two-faces-open-at-once",
        Outcome.BROKEN,
        "One face open at a time",
        f"bare conductors on faces {opened} at once, sections of up to {row.exposure.highest_v:.1f} V",
        "the conductors of one face complete, torqued, measured and covered before the next face is opened",
        WHY_FACES,
        "Cover one face before the other is worked on.",
        "",
    )


def _disconnect(model: Model, row: Shown) -> Verdict:
    stage, state = row.exposure.stage, row.exposure.state
    off = [name for name in model.pack.covers if name not in state.covers]
    if stage.kind != "disconnect" or stage.off or not off:
        return None
    return (
        row,
        "disconnect-in-before-covers",
        Outcome.BROKEN,
        "The disconnect goes in after every cover",
        f"{list_places(stage.items)} in while {list_places(off)} {'was' if len(off) == 1 else 'were'} off:"
        f" {row.exposure.highest_v:.1f} V across the pack",
        f"{list_places(off)} fitted first",
        WHY_DISCONNECT,
        "Take the disconnect out, count tools and parts, fit the covers, then begin again.",
        "",
    )


def _covers(yard: Yard, plan: Sequence[str], shown: Sequence[Shown]) -> Iterator[Verdict]:
    """Yield class B steps in which a cover was off that the plan had on before this step's items."""
    place = {act: index for index, act in enumerate(plan)}
    for row in shown:
        stage, state = row.exposure.stage, row.exposure.state
        live = _live(row)
        mine = [place[item] for item in (("taps",) if stage.kind == "taps" else stage.items) if item in place]
        if not live or not mine or stage.kind == "covers":
            continue
        due = [name for name in yard.pack.covers if place.get(name, len(plan)) < min(mine) and name not in state.covers]
        if due:
            yield (
                row,
                "class-b-cover-off",
                Outcome.BROKEN,
                "Covers that the plan has on are on in class B",
                f"{live}; {list_places(due)} off",
                f"{list_places(due)} on before {list_places(stage.items, 6)}",
                WHY_COVER,
                "Cover what is finished before the next joint; open it again joint by joint.",
                "",
            )
