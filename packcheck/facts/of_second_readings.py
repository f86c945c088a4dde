"""Facts about first readings that later ones stand in for: what they showed stays judged, whatever was read later.

And about second readings and looks of which nobody wrote down when the first was: they may stand the wrong way round.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime

from packcheck.facts import order_of_trade as order
from packcheck.facts.checked_readings import Checked, fitted_type
from packcheck.facts.evidence import Evidence
from packcheck.facts.measured_values import half_of_difference, worked_out
from packcheck.facts.of_joints import band_of
from packcheck.facts.of_times import written
from packcheck.facts.slips_of_the_pen import torque_slip, voltage_slip
from packcheck.files.name_lists import list_places
from packcheck.files.names import names_within
from packcheck.files.quantities import format_quantity
from packcheck.model.record.abilities import plain_name
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Superseded
from packcheck.model.record.second_readings import UNITS
from packcheck.model.record.shelf import plain_serial
from packcheck.physics.cells import chemistry_named
from packcheck.rules.catalogue import Datum, Measured, Row, Value

AGREES = 0.02
"""Share by which two readings of one voltage may differ and still confirm each other, beside what their meters leave
open; common practice, no source."""


def again_rows(evidence: Evidence, checked: Sequence[Checked]) -> Iterator[Row]:
    """Yield one row per first reading that a later one stands in for."""
    chains: dict[tuple[str, str], list[Superseded]] = defaultdict(list)
    for one in evidence.record.superseded if evidence.record else ():
        if one.first is not None:
            chains[one.column, one.subject].append(one)
    by_name = {one.reading.name: one for one in checked}
    for chain in chains.values():
        for number in range(len(chain)):
            yield _row(evidence, chain[number:], number, by_name)


def _row(evidence: Evidence, chain: Sequence[Superseded], number: int, checked: dict[str, Checked]) -> Row:
    one, last = chain[0], chain[-1].later
    first = one.first
    assert first is not None
    unit = UNITS[one.column]
    where = _positions_of(evidence, one, checked)
    about = f"{one.column} of {one.subject}" + (f", reading {number + 1}" if number else "")
    values: dict[str, Value] = {
        "about": about,
        "what": one.column,
        "first": format_quantity(first.value, unit),
        "later": format_quantity(last.value, unit),
        "gap_h": _hours(first.at, last.at),
        "replaced": _was_replaced(evidence, chain, where),
    }
    if one.column == "torque":
        values |= _of_torque(evidence, one.subject, first)
    elif one.column == "rest":
        values |= _of_rest(evidence, one.subject, first) | {"lost_v": _lost(first, last)}
    if unit == "V":
        values |= _against_later(first, [later.later for later in chain])
        values |= _cells(evidence, one, checked)
    touches = frozenset(names_within(one.subject)) - {""}
    missing = {"replaced": Datum("serial of the module put in, under again", list_places(where), "eyes")}
    return Row(about, values, missing, touches, f"the first {about}", "", last.origin)


def _positions_of(evidence: Evidence, one: Superseded, checked: dict[str, Checked]) -> list[str]:
    """Return the positions whose modules a reading is of."""
    if one.subject in evidence.pack.positions:
        return [one.subject]
    if one.subject in checked:
        return [edge.part for edge in checked[one.subject].modules]
    drawn = evidence.pack.joints.get(one.subject)
    part = evidence.pack.part_at(drawn[1].node) if drawn else ""
    return [part] if part in evidence.pack.positions else []


def _was_replaced(evidence: Evidence, chain: Sequence[Superseded], where: Sequence[str]) -> bool | None:
    """Return whether something new was put in between two readings; open for a module that kept its serial."""
    words = {one.replaced for one in chain}
    if "module" not in words:
        return "fastener" in words
    looks = evidence.record.amended if evidence.record else ()
    serials = [one for one in looks if one.column == "serial" and one.subject in where]
    return True if any(plain_serial(one.first) != plain_serial(one.later) for one in serials) else None


def _as_written(entry: Entry, scale: float = 1.0) -> Measured:
    """Return what an entry may have been, over ``scale``: an instrument that proves nothing met still raises doubt."""
    return Measured(entry.low / scale, entry.high / scale)


def _hours(first: datetime | None, last: datetime | None) -> float | None:
    return (last - first).total_seconds() / 3600 if first and last else None


def _of_torque(evidence: Evidence, joint: str, first: Entry) -> dict[str, Value]:
    drawn = evidence.pack.joints.get(joint)
    kind = evidence.pack.joint_types.get(drawn[1].joint_type) if drawn else None
    if kind is None:
        return {"torque_n_m": _as_written(first), "torque_slipped": False}
    band, _ = band_of(evidence, kind)
    tool = evidence.record.instruments.get(first.instrument) if evidence.record else None
    can = tool is not None and tool.high is not None and (tool.low or 0.0) <= first.value <= tool.high
    # A torque that the tool has, it may have given.
    slipped = not can and bool(torque_slip(first.value, band.low, band.high))
    return {"torque_n_m": _as_written(first), "torque_high_n_m": band.high, "torque_slipped": slipped}


def _of_rest(evidence: Evidence, position: str, first: Entry) -> dict[str, Value]:
    fitted, planned = fitted_type(evidence, position), evidence.pack.module_type_at(position)
    chemistries = [known for kind in (fitted, planned) if (known := chemistry_named(kind.chemistry))]
    return {
        "rest_cell_v": _as_written(first, fitted.cells),
        "rest_slipped": bool(voltage_slip(first.value, planned.rest_v.low, planned.rest_v.high)),
        "copper_at_risk": any(chemistry.copper for chemistry in chemistries),
    }


def _cells(evidence: Evidence, one: Superseded, checked: dict[str, Checked]) -> dict[str, Value]:
    """Return how many cells in series a voltage lies over, and the rest voltage of one of them."""
    if one.column == "rest":
        kinds = [fitted_type(evidence, one.subject)]
    else:
        kinds = [fitted_type(evidence, edge.part) for edge in checked[one.subject].modules]
    cells = sum(kind.cells for kind in kinds)
    return {"cells": cells, "cell_v": sum(kind.rest_middle_v for kind in kinds) / cells if cells else 0.0}


def _against_later(first: Entry, later: Sequence[Entry]) -> dict[str, Value]:
    """Return how far a first voltage is from the last one, and whether two more readings stand against it."""
    last = later[-1]
    low, high = first.low - last.high, first.high - last.low
    far, near = max(abs(low), abs(high)), max(0.0, low, -high)
    return {
        "apart_v": Measured(near, far, last.fit, last.unfit_because, last.instrument),
        "turned": _sign(first) * _sign(last) < 0,
        "confirmed": any(_confirms(one, last) for one in later[:-1]),
    }


def _lost(first: Entry, last: Entry) -> Measured:
    """Return how much lower a voltage was read the second time [V]; the scale error of one meter counts once."""
    lost, half = first.value - last.value, half_of_difference([(1.0, first), (-1.0, last)])
    return worked_out(lost - half, lost + half, (first, last))


def _sign(entry: Entry) -> int:
    """Return the sign that a reading surely has, 0 where its instrument leaves it open."""
    return 1 if entry.low > 0 else -1 if entry.high < 0 else 0


def _confirms(one: Entry, other: Entry) -> bool:
    """Return whether two readings agree that were taken by two people, or with two instruments."""
    two = _differ(one.instrument, other.instrument) or _differ(plain_name(one.by), plain_name(other.by))
    allowed = one.own_half + other.own_half + AGREES * max(abs(one.value), abs(other.value))
    return two and one.fit and other.fit and abs(one.value - other.value) <= allowed


def _differ(one: str, other: str) -> bool:
    return bool(one and other) and one != other


def untimed_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield a row, as of the table of sequences, for each second reading or look whose first has no time."""
    record = evidence.record
    if record is None:
        return
    found = [(one.subject, order.LOOK_AGAIN, one.at, one.origin) for one in record.amended if not one.first_at]
    found += [
        (one.subject, order.FIRST_AGAIN, one.later.at, one.later.origin)
        for one in record.superseded
        if one.first and not one.first.at
    ]
    for subject, rule, at, origin in {one[:2]: one for one in found}.values():
        pair = f"{subject}, {rule.later} after {rule.earlier}"
        values: dict[str, Value] = {
            "pair": pair,
            "about": subject,
            "first": rule.earlier,
            "first_at": "not recorded",
            "second": rule.later,
            "second_at": written(at) if at else "not recorded",
            "reason": rule.reason,
        }
        missing = {"gap_h": Datum(f"when {rule.earlier} was", subject, "clock")}
        yield Row(pair, values, missing, frozenset({subject}), subject, "", origin)
