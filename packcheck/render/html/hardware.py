"""The joint card, and the ledger of loose parts and tools."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from packcheck.files.quantities import format_interval, format_quantity
from packcheck.model.record.model import FittedJoint, Record
from packcheck.render.html.element import Child, Markup, element, joined
from packcheck.render.html.measured import row_of, span
from packcheck.render.html.plots import Measurement, plot
from packcheck.render.html.subject import Section, Subject, table
from packcheck.rules.catalogue import Measured, Row, Value

NOT_RECORDED = "not recorded"


def joint_card(subject: Subject) -> Section | None:
    """Return what each joint was asked for and what was recorded of it; None for a layout."""
    record, rows = subject.record, subject.rows("joint")
    if record is None or not rows:
        return None
    heads = (
        "joint", "face", "torque asked", "recorded", "torque plot", "by", "re-check", "resistance",
        "resistance plot", "mark", "finding",
    )  # fmt: skip
    body = table("Every joint: torque asked and recorded, re-check, resistance beside the middle of its like", heads,
                 (_joint(subject, record, row) for row in rows), (2, 3, 7))  # fmt: skip
    return Section("joints", "Joint card", body)


def _joint(subject: Subject, record: Record, row: Row) -> Markup:
    values, joint = row.values, record.joints.get(row.subject, FittedJoint(row.subject))
    low, high = _number(values.get("torque_low_n_m")), _number(values.get("torque_high_n_m"))
    torque, ohms = span(values.get("torque_n_m")), span(values.get("resistance_ohm"))
    aim = _aim(subject, row.subject)
    most = _number(values.get("resistance_high_ohm"))
    cells: list[Child] = [
        row.subject,
        row.face,
        _band(low, high, aim) + (f" ({values['band_from']})" if "profile" in str(values["band_from"]) else ""),
        _read(values.get("torque_n_m"), "N·m", fitted=values.get("fitted")),
        plot(Measurement("N·m", torque, (aim, aim) if aim is not None else None, _ends(low, high))),
        _by(joint),
        _recheck(values, joint),
        _read(values.get("resistance_ohm"), "Ω"),
        plot(Measurement("Ω", ohms, span(values.get("peer_median_ohm")), (0.0, most) if most is not None else None)),
        str(values.get("mark") or NOT_RECORDED),
    ]
    return row_of(subject, "joint", cells, (2, 3, 7), row.subject)


def _aim(subject: Subject, joint: str) -> float | None:
    kind = subject.pack.joint_types.get(subject.pack.joints[joint][1].joint_type)
    return kind.torque_n_m.aim if kind else None


def _band(low: float | None, high: float | None, aim: float | None) -> str:
    ends = " to ".join(format_quantity(end, "N·m").removesuffix(" N·m") for end in (low, high) if end is not None)
    if aim is not None:
        return f"{ends}, aim {format_quantity(aim, 'N·m')}" if ends else f"aim {format_quantity(aim, 'N·m')}"
    return f"{ends} N·m" if ends else "none stated"


def _ends(low: float | None, high: float | None) -> tuple[float, float] | None:
    return (low, high) if low is not None and high is not None else None


def _by(joint: FittedJoint) -> list[Child]:
    torque = joint.torque_n_m
    if torque is None:
        return []
    return [", ".join(filter(None, (torque.instrument or "no tool named", torque.by))), _when(torque.at)]


def _when(at: datetime | None) -> Markup | None:
    return element("span", at.isoformat(" ", "minutes"), class_="when quiet") if at else None


def _recheck(values: Mapping[str, Value], joint: FittedJoint) -> list[Child]:
    asked, waited = _number(values.get("recheck_after_h")), _number(values.get("recheck_waited_h"))
    if joint.recheck is None:
        return ["not asked for" if asked is None else f"{NOT_RECORDED}, asked after {format_quantity(asked, 'h')}"]
    after = f", {format_quantity(waited, 'h', 3)} after" if waited is not None else ""
    return [joint.recheck + after, _when(joint.recheck_at)]


def ledger(subject: Subject) -> Section | None:
    """Return how many loose parts and tools went in and came back; None for a layout."""
    record = subject.record
    if record is None or not (subject.rows("part") or record.tools):
        return None
    heads = ("part", "needed", "issued", "fitted", "returned", "scrapped", "unaccounted for", "largest", "could bridge",
             "finding")  # fmt: skip
    body: list[Markup] = []
    if subject.rows("part"):
        rows = (_part(subject, row) for row in subject.rows("part"))
        body.append(table("Loose parts, counted", heads, rows, range(1, 8)))
    if record.tools:
        tools = (_tool(subject, row) for row in subject.rows("tool"))
        body.append(table("Tools taken to the pack, and back", ("tool", "out", "back", "finding"), tools, (1, 2)))
    else:
        body.append(element("p", "Tools taken out and brought back: not recorded."))
    return Section("ledger", "Hardware ledger", joined(body))


def _part(subject: Subject, row: Row) -> Markup:
    values = row.values
    counts = [_count(values.get(name)) for name in ("needed", "issued", "fitted", "returned", "scrapped")]
    largest = _number(values.get("largest_mm"))
    cells: list[Child] = [
        row.subject, *counts, _count(values.get("unaccounted")),
        format_quantity(largest, "mm", 3) if largest is not None else "", str(values.get("could_bridge") or ""),
    ]  # fmt: skip
    return row_of(subject, "part", cells, tuple(range(1, 8)), row.subject)


def _tool(subject: Subject, row: Row) -> Markup:
    cells: list[Child] = [row.subject, _count(row.values.get("out")), _count(row.values.get("back"))]
    return row_of(subject, "tool", cells, (1, 2), row.subject)


def _count(value: Value) -> str:
    return NOT_RECORDED if value is None else f"{value:,}" if isinstance(value, int) else f"{value}"


def _number(value: Value) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _read(value: Value, unit: str, *, fitted: Value = True) -> str:
    if fitted is False:
        return "not fitted"
    if not isinstance(value, Measured):
        return NOT_RECORDED
    return format_interval(value.low, value.high, unit) + ("" if value.fit else " (proves nothing)")
