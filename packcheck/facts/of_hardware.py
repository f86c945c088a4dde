"""Facts about loose parts, tools, covers, caps and taps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from packcheck.facts.evidence import Evidence, with_sign
from packcheck.facts.of_gaps import Gap
from packcheck.files.frozen import dataclass
from packcheck.files.quantities import format_quantity
from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.model.record.model import Count, Record
from packcheck.network.graph import as_built, beyond_layout, same_landings
from packcheck.rules.catalogue import Datum, Row, Value


def part_rows(evidence: Evidence, gaps: list[Gap]) -> Iterator[Row]:
    """Yield one row per kind of loose part: those the layout needs, then those only the ledger names."""
    record = evidence.record
    if record is None:
        return
    needed, changes = needed_parts(evidence.pack), _Changes.of(record)
    for part in dict.fromkeys((*needed, *record.parts)):
        count = record.parts.get(part, Count())
        yield _part_row(evidence, part, needed.get(part, 0), count, gaps, changes)


@dataclass(frozen=True)
class _Changes:
    """What the build has otherwise than the layout, and how many parts it needs for that."""

    needed: Mapping[str, int]
    least: Mapping[str, int]
    causes: frozenset[str]

    def explain(self, part: str, fitted: int | None) -> bool:
        """Return whether the build explains a count; the stack on a post with nothing but a tap may be on or off."""
        return fitted is not None and self.least.get(part, 0) <= fitted <= self.needed.get(part, 0)

    @classmethod
    def of(cls, record: Record) -> _Changes:
        pack, built, causes = record.pack, [], set()
        for conductor in pack.conductors.values():
            fitted = record.conductors.get(conductor.name)
            if fitted is None or fitted.fitted is not False:
                built.append(as_built(conductor, fitted))
            other_part = fitted is not None and fitted.part not in (None, conductor.part)
            if fitted and (fitted.fitted is False or other_part or not same_landings(conductor, fitted)):
                causes.add(conductor.name)
        for name, fitted in record.conductors.items():
            if name not in pack.conductors and fitted.fitted and fitted.lands:
                built.append(beyond_layout(pack, fitted))
                causes.add(name)
        uncapped = {place for place, capped in record.caps.items() if not capped}
        screws = {
            name: cover.screws if cover.fitted else 0
            for name, cover in record.covers.items()
            if cover.fitted is False or cover.screws is not None
        }
        causes |= uncapped | {name for name, number in screws.items() if number != pack.covers[name].screws}
        counts = {name: number for name, number in screws.items() if number is not None}
        tapped = list(record.taps.values())
        needed, least = (needed_parts(pack, built, uncapped, counts, taps) for taps in (tapped, ()))
        return cls(needed, least, frozenset(causes))


def _part_row(evidence: Evidence, part: str, needed: int, count: Count, gaps: list[Gap], changes: _Changes) -> Row:
    size = evidence.pack.parts.get(part)
    counted = (count.issued, count.fitted, count.returned, count.scrapped)
    balance = None
    if None not in counted:
        issued, *gone = (number or 0 for number in counted)
        balance = issued - sum(gone)
    largest = size.largest_mm if size else None
    conducts = size.conducts if size else None
    values: dict[str, Value] = {
        "part": part,
        "in_layout": needed > 0,
        "needed": needed,
        "issued": count.issued,
        "fitted": count.fitted,
        "returned": count.returned,
        "scrapped": count.scrapped,
        "unaccounted": balance,
        "largest_mm": largest,
        "conducts": conducts,
        "could_bridge": could_bridge(largest, conducts, gaps),
    }
    names = ("issued", "fitted", "returned", "scrapped")
    lacking = [name for name, number in zip(names, counted, strict=True) if number is None]
    missing = {"unaccounted": Datum("numbers " + ", ".join(lacking), part, "count")} if lacking else {}
    explained = count.fitted != needed and changes.explain(part, count.fitted)
    touches = frozenset((part, *changes.causes)) if explained else frozenset((part,))
    return Row(part, values, missing, touches, f"part {part}", "", count.origin)


def could_bridge(largest_mm: float | None, conducts: bool | None, gaps: list[Gap]) -> str:
    """Return in words where a missing part of a size could lie between two bare conductors."""
    if conducts is False:
        return "it does not conduct"
    if largest_mm is None:
        return "its size is not in the layout, so where it could lie between two conductors is not known"
    reached = sorted((gap for gap in gaps if gap.gap_mm <= largest_mm), key=lambda gap: -gap.voltage_v)
    if not reached:
        return f"its {format_quantity(largest_mm, 'mm')} span none of the gaps between bare conductors"
    worst = reached[0]
    more = f", and {len(reached) - 1} more kinds of gap" if len(reached) > 1 else ""
    return (
        f"its {format_quantity(largest_mm, 'mm')} span the gap {worst.name} on face {worst.face} "
        f"({format_quantity(worst.voltage_v, 'V', digits=3)} at most){more}"
    )


def tool_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per tool that the record names."""
    for name, tool in evidence.record.tools.items() if evidence.record else ():
        values: dict[str, Value] = {"tool": name, "out": tool.out, "back": tool.back}
        yield Row(name, values, {}, frozenset((name,)), f"tool {name}", "", tool.origin)


def cover_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per cover of the layout."""
    record = evidence.record
    for cover in evidence.pack.covers.values() if record else ():
        fitted = record.covers.get(cover.name) if record else None
        values: dict[str, Value] = {
            "cover": cover.name,
            "over": cover.over,
            "fitted": fitted.fitted if fitted else None,
            "screws_planned": cover.screws,
            "screws": fitted.screws if fitted else None,
        }
        yield Row(
            cover.name,
            values,
            {},
            frozenset((cover.name,)),
            f"cover {cover.name} over {cover.over}",
            "",
            (fitted.origin if fitted else None) or evidence.pack.origins.get(cover.name),
        )


def cap_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per place whose joint's stack ends in a cap."""
    pack, record = evidence.pack, evidence.record
    for place in capped_places(pack) if record else ():
        values: dict[str, Value] = {"place": place, "capped": record.caps.get(place) if record else None}
        yield Row(
            place, values, {}, frozenset((place, pack.part_at(place))), with_sign(pack, place), pack.face_of(place)
        )


def tap_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per sense tap."""
    record = evidence.record
    for tap in evidence.pack.taps.values() if record else ():
        on = record.taps.get(tap.name) if record else None
        values: dict[str, Value] = {
            "tap": tap.name,
            "planned_on": tap.node,
            "on": on,
            "as_drawn": None if on is None else on == tap.node,
        }
        pin = f", pin {tap.pin} of {tap.connector}" if tap.connector else ""
        yield Row(
            tap.name,
            values,
            {},
            frozenset((tap.name,)),
            f"tap {tap.name} on {tap.node}{pin}",
            evidence.pack.face_of(tap.node),
        )
