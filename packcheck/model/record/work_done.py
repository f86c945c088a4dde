"""The work as it was done: the steps a record tells, or what the times of its joints say; and which step is next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from packcheck.files.frozen import dataclass
from packcheck.files.names import conductor_of
from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Stage, meaning, read_order
from packcheck.model.record.model import Record


@dataclass(frozen=True)
class WorkStep:
    """One step as done.  None means not recorded; "none" that the record says there was none."""

    number: int
    origin: Origin | None
    stages: tuple[Stage, ...]
    at: datetime | None = None
    by: str | None = None
    second: str | None = None
    gloves: str | None = None
    tested: datetime | None = None


def read_work(record: Record) -> tuple[WorkStep, ...]:
    """Return the steps of the work as a record tells them, in its order; empty when it tells none.

    Raises
    ------
    InputProblems : a word that means nothing in this layout, or a date that is none.
    """
    problems: list[Problem] = []
    steps = tuple(_step(record, number, item, problems) for number, item in enumerate(record.work, 1))
    if problems:
        raise InputProblems(problems)
    return steps or tuple(_from_joints(record))


def _step(record: Record, number: int, item: Mapping[str, Any], problems: list[Problem]) -> WorkStep:
    origin: Origin = getattr(item, "mark", Origin(record.file))

    def time(key: str) -> datetime | None:
        text = item.get(key)
        return None if text is None else datetime.fromisoformat(str(text))

    stages = [
        *_stages(record, number, item.get("did", ()), False, origin, problems),
        *_stages(record, number, item.get("took off", ()), True, origin, problems),
    ]
    return WorkStep(
        number,
        origin,
        tuple(stages),
        time("at"),
        _text(item.get("by")),
        _text(item.get("second")),
        _text(item.get("gloves")),
        time("gloves tested"),
    )


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _stages(
    record: Record, number: int, words: Sequence[str], off: bool, origin: Origin, problems: list[Problem]
) -> list[Stage]:
    parts: list[tuple[str, list[str]]] = []
    for word in words:
        found = list(meaning(record.pack, str(word))) or _fitted_beyond(record, str(word))
        if not found:
            near = nearest_name(str(word), _names(record.pack))
            problems.append(
                Problem(
                    origin,
                    f"'{word}' in step {number} of the work",
                    "a position, conductor, device or cover of the layout, or clamp, taps, bars on FACE",
                    "",
                    f"did you mean '{near}'?" if near else "",
                )
            )
        for kind, name in found:
            if not parts or parts[-1][0] != kind:
                parts.append((kind, []))
            parts[-1][1].append(name)
    many = len(parts) > 1
    return [
        Stage(f"{number}.{i}" if many else str(number), kind, tuple(names), off)
        for i, (kind, names) in enumerate(parts, 1)
    ]


def _fitted_beyond(record: Record, word: str) -> list[tuple[str, str]]:
    """Return a conductor that the record has and the layout has not."""
    return [("conductors", word)] if word in record.conductors else []


def _names(pack: Pack) -> list[str]:
    return [*pack.positions, *pack.groups, *pack.conductors, *pack.devices, *pack.covers, "clamp", "taps", "leads"]


def _from_joints(record: Record) -> Iterator[WorkStep]:
    """Yield a step per time at which joints were torqued, when the record has at least two such times."""
    first: dict[str, datetime] = {}
    for joint in record.joints.values():
        at = joint.torque_n_m.at if joint.torque_n_m else None
        name = conductor_of(joint.name)
        if at is not None and (name not in first or at < first[name]):
            first[name] = at
    times = sorted(set(first.values()))
    if len(times) < 2:
        return
    yield WorkStep(0, None, (Stage("0", "positions", tuple(record.pack.positions), unnamed=True),))
    for number, at in enumerate(times, 1):
        names = tuple(name for name, when in first.items() if when == at)
        yield WorkStep(number, None, (Stage(str(number), "conductors", names),), at)


def stage_in_hand(pack: Pack, record: Record) -> Stage | None:
    """Return the first stage of the layout's order of which something is not recorded as done; None after the last.

    None too where the layout states no order.  Steps that a record does not tell of (taps, the disconnect, a
    measurement) are taken as done.
    """
    if not pack.order:
        return None
    return next((stage for stage in read_order(pack).stages if not _is_done(stage, record)), None)


def _is_done(stage: Stage, record: Record) -> bool:
    if stage.kind == "clamp":
        return record.compression.length_mm is not None or record.compression.torque_n_m is not None
    tables = {"positions": record.modules, "conductors": record.conductors, "devices": record.devices,
              "covers": record.covers}  # fmt: skip
    if stage.kind not in tables:
        return True
    fitted = {name for name, part in tables[stage.kind].items() if getattr(part, "fitted", None)}
    return fitted.issuperset(stage.items)
