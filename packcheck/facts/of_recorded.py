"""Facts about the numbers of a record by their kinds: whether each can be what it says.

Held here is what no limit of the layout holds from that side: a resistance that is too small to be one, a warmth that
is a cold, a capacity that is another unit.  Voltages and torques have rules of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import natural_key
from packcheck.files.origin import Origin
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.pack.model import Pack
from packcheck.model.record import plausible as likely
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Record
from packcheck.model.record.plausible import LEAST_SHARE, MOST_SHARE, Likely, likely_in
from packcheck.model.record.taken_tests import name_of
from packcheck.rules.catalogue import Row, Value

_LISTED = 4


class _Told(NamedTuple):
    """One number of a record: of which part, and what is likely of it."""

    part: str
    entry: Entry | None
    band: Likely


def recorded_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each kind of number of which the record holds any."""
    if evidence.record is None:
        return
    for kind, told in _kinds(evidence.pack, evidence.record):
        read = [(one.part, one.entry, one.band) for one in told if one.entry]
        if read:
            yield _row(kind, [(part, entry, band) for part, entry, band in read if not band.has(entry)])


def _row(kind: str, strange: list[tuple[str, Entry, Likely]]) -> Row:
    strange = sorted(strange, key=lambda one: natural_key(one[0]))
    more = f" and {len(strange) - _LISTED} more" if len(strange) > _LISTED else ""
    values: dict[str, Value] = {
        "recorded": kind,
        "likely": not strange,
        "unlikely": ", ".join(f"{part} {entry.written}" for part, entry, _ in strange[:_LISTED]) + more or None,
        "likely_band": strange[0][2].words if strange else None,
    }
    origin: Origin | None = strange[0][1].origin if strange else None
    return Row(kind, values, {}, frozenset(part for part, _, _ in strange), f"the record, {kind}", "", origin)


def _kinds(pack: Pack, record: Record) -> Iterator[tuple[str, Iterable[_Told]]]:
    """Yield each kind of number in words, with all of them."""
    yield from _of_modules(pack, record)
    yield (
        "resistance of joints",
        (_Told(name, joint.resistance_ohm, _of_joint(pack, name)) for name, joint in record.joints.items()),
    )
    yield "resistance of bars and leads", (
        _Told(name, one.resistance_ohm, _beside(pack.conductors[name].resistance_ohm, "Ω"))
        for name, one in record.conductors.items() if name in pack.conductors
    )  # fmt: skip
    yield "load of readings", (_Told(one.name, _plain(one.load_a, "A"), likely.LOAD) for one in record.loaded)
    isolation = record.isolation.values()
    yield (
        "resistor of isolation tests",
        (_Told(one.name, one.resistor_ohm, likely.RESISTOR_PUT_IN) for one in isolation),
    )
    yield "isolation by a tester", (_Told(one.name, one.tester_ohm, likely.TESTER) for one in isolation)
    yield from _of_tests(pack, record)


def _of_modules(pack: Pack, record: Record) -> Iterator[tuple[str, Iterable[_Told]]]:
    kinds = {name: pack.module_type_at(name) for name in record.modules}
    yield (
        "resistance of modules",
        (
            _Told(name, one.resistance_ohm, _beside(kinds[name].resistance_ohm, "Ω"))
            for name, one in record.modules.items()
        ),
    )
    yield (
        "capacity of modules",
        (_Told(name, one.capacity_ah, _beside(kinds[name].capacity_ah, "Ah")) for name, one in record.modules.items()),
    )
    yield (
        "mass of modules",
        (_Told(name, one.mass_g, _beside(kinds[name].mass_g.high, "g")) for name, one in record.modules.items()),
    )


def _of_tests(pack: Pack, record: Record) -> Iterator[tuple[str, Iterable[_Told]]]:
    for test in pack.tests.values():
        taken = [record.tests[name] for point in test.points if (name := name_of(test, point.name)) in record.tests]
        under = likely_in(test, condition=True)
        yield f"test {test.name}", [_Told(one.name, one.value, _of_point(pack, test, one.name)) for one in taken]
        yield f"condition of {test.name}", [_Told(one.name, one.under, under) for one in taken]


def _of_point(pack: Pack, test: AskedTest, name: str) -> Likely:
    part = next(point.part for point in test.points if name_of(test, point.name) == name)
    drawn = pack.module_type_at(part).resistance_ohm if test.kind.curve == "load step" else None
    return _beside(drawn, "Ω") if drawn else likely_in(test)


def _of_joint(pack: Pack, name: str) -> Likely:
    """Return what is likely of a joint: a tenth of the usual is the bar beside it; of too much others tell."""
    kind = pack.joint_types.get(pack.joints[name][1].joint_type) if name in pack.joints else None
    least = (kind.resistance_ohm.aim or 0.0) * LEAST_SHARE if kind else 0.0
    return Likely(f"{format_quantity(least, 'Ω')} or more", least) if least else likely.JOINT


def _plain(value: float, unit: str) -> Entry:
    return Entry(value, value, value, written=format_quantity(value, unit))


def _beside(drawn: float | None, unit: str) -> Likely:
    """Return what is likely beside what is drawn; anything where nothing is drawn."""
    if not drawn:
        return likely.ANYTHING
    least, most = drawn * LEAST_SHARE, drawn * MOST_SHARE
    return Likely(f"{format_quantity(least, unit)} to {format_quantity(most, unit)}", least, most)
