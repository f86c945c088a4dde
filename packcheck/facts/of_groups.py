"""Facts about parallel groups and parallel strings: what would flow when they are joined."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from packcheck.facts.checked_readings import rest_datum
from packcheck.facts.evidence import PATH, Evidence
from packcheck.facts.measured_values import measured, worked_out
from packcheck.facts.without_faults import as_planned
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Device, Pack
from packcheck.model.record.model import Record
from packcheck.physics.parallel_sources import surges_a
from packcheck.rules.catalogue import Datum, Measured, Row, Value, Without

_Beside = Callable[[Sequence[Measured | None]], Mapping[str, Value]]


def signed_interval(record: Record | None, pack: Pack, position: str) -> Measured | None:
    """Return a module's rest voltage from the planned − to the planned +, by the facing recorded."""
    module = record.modules.get(position) if record else None
    if module is None or module.rest_v is None or module.plus is None:
        return None
    entry = module.rest_v
    if module.plus == pack.positions[position].plus:
        return measured(entry)
    return worked_out(-entry.high, -entry.low, [entry])


def group_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per parallel group of two or more modules."""
    pack = evidence.pack
    sizes = [len(members) for members in pack.groups.values()]
    usual = max(set(sizes), key=sizes.count) if sizes else 0
    for group, members in pack.groups.items():
        if len(members) > 1 or usual > 1:
            yield _group_row(evidence, group, members, usual)


def _group_row(evidence: Evidence, group: str, members: tuple[str, ...], usual: int) -> Row:
    pack, record = evidence.pack, evidence.record
    volts = [signed_interval(record, pack, m) for m in members]
    shares = [evidence.current_share.get(m) for m in members]
    joined = sum(abs(s) >= 0.2 for s in shares if s is not None) if evidence.current_share else None
    ohms = [_ohm(evidence, m) for m in members]
    values: dict[str, Value] = {
        "group": group,
        "planned_members": len(members),
        "usual_members": usual,
        "joined_members": joined if record else None,
        "spread_v": _spread(volts),
        "surge_a": _largest(_surges(volts, ohms)),
        "surge_limit_a": _surge_limit(evidence),
    }
    datum = rest_datum(m for m, v in zip(members, volts, strict=True) if v is None)
    missing = {"spread_v": datum, "surge_a": datum, "joined_members": evidence.fitted_datum}
    touches = {group, *members, *([PATH] if joined == 0 else [])}  # no member carries: the path goes elsewhere
    place = f"group {group} ({list_places(members)})"
    without = _without(_as_planned(evidence, [(m,) for m in members]), ohms, lambda volts: {"spread_v": _spread(volts)})
    return Row(group, values, missing, frozenset(touches), place, "", None, frozenset({"surge_a"}), without)


class _Planned(NamedTuple):
    """Sources joined in parallel as they would be if all modules were those drawn: the faulty parts, the voltages."""

    parts: frozenset[str]
    volts: list[Measured | None]


def _as_planned(evidence: Evidence, sources: Sequence[Sequence[str]], unjoined: Iterable[str] = ()) -> _Planned:
    """Return the same of these sources; ``unjoined`` are modules that the build leaves beside the path."""
    found = [as_planned(evidence, source) for source in sources]
    parts = frozenset(name for faulty, _ in found for name in faulty).union(unjoined)
    if not parts:
        return _Planned(parts, [])
    each = zip(sources, found, strict=True)
    return _Planned(parts, [_in_series(evidence, source, volts) for source, (_, volts) in each])


def _without(planned: _Planned, ohms: Sequence[float], beside: _Beside, index: int = -1) -> tuple[Without, ...]:
    """Return what would flow if the modules of every source, joined in parallel with the others, were those drawn.

    ``index`` is the source whose current it is; the largest of all where there is none.
    """
    surges = _surges(planned.volts, ohms) if planned.parts else []
    if not surges:
        return ()
    surge = surges[index] if index >= 0 else _largest(surges)
    return (Without(planned.parts, {"surge_a": surge, **beside(planned.volts)}),)


def _ohm(evidence: Evidence, position: str) -> float:
    return evidence.pack.module_type_at(position).resistance_ohm


def _surge_limit(evidence: Evidence) -> float | None:
    return evidence.pack.surge_limit_a if evidence.pack.surge_limit_a is not None else evidence.adopted.surge_limit_a


def _spread(volts: Sequence[Measured | None]) -> Measured | None:
    known = [v for v in volts if v is not None]
    if len(known) < len(volts) or not known:
        return None
    low = max(0.0, max(v.low for v in known) - min(v.high for v in known))
    return worked_out(low, max(v.high for v in known) - min(v.low for v in known), known)


def _surges(volts: Sequence[Measured | None], ohms: Sequence[float]) -> list[Measured]:
    """Return for each source the current [A] when it is joined onto the others; none while one is unknown."""
    known = [v for v in volts if v is not None]
    if len(known) < len(volts):
        return []
    return [worked_out(low, high, known) for low, high in surges_a([(v.low, v.high) for v in known], ohms)]


def _largest(surges: Sequence[Measured]) -> Measured | None:
    """Return the largest of several currents [A]."""
    return worked_out(max(s.low for s in surges), max(s.high for s in surges), surges) if surges else None


def string_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row per string that is joined in parallel with others."""
    for bank in evidence.pack.parallel_strings:
        members = [
            [
                p
                for series in string
                for group in evidence.pack.strings[series].groups
                for p in evidence.pack.groups[group]
            ]
            for string in bank
        ]
        names = [" + ".join(string) for string in bank]
        joined = [[p for p in m if _is_joined(evidence, p) is not False] for m in members]
        volts = [string_voltage(evidence, m) for m in joined]
        surges = _surges(volts, [_string_ohm(evidence, m) for m in joined]) if all(joined) else []
        unread = _unread(evidence, [p for m in members for p in m])
        fuses = [_own_fuses(evidence, m) for m in members]
        ohms = [_string_ohm(evidence, m) for m in members]
        planned = _as_planned(evidence, members, [p for m in members for p in m if _is_joined(evidence, p) is False])
        for index, name in enumerate(names):
            without = _without(planned, ohms, partial(_apart, index=index), index)
            yield _string_row(evidence, name, index, names, members, volts, surges, unread, fuses, without)


def _own_fuses(evidence: Evidence, positions: Sequence[str]) -> list[Device]:
    """Return the fuses that a string alone runs through: without one of them its modules leave the path, as drawn."""
    position, without = evidence.pack.positions[positions[0]], evidence.drawn.between_without_fuse
    places = {position.plus_place, position.minus_place}
    return [evidence.pack.devices[name] for name, left in without.items() if left and not places <= left]


def _rating(fuses: Sequence[Device]) -> float | None:
    return min((fuse.rating_a for fuse in fuses if fuse.rating_a), default=None)


def _main_fuse(evidence: Evidence, own: Sequence[Device]) -> dict[str, Value]:
    """Return the fuse of the smallest rating without which nothing joins the mains: all strings share it."""
    devices, without = evidence.pack.devices, evidence.drawn.between_without_fuse
    rated = {name: amperes for name, left in without.items() if not left and (amperes := devices[name].rating_a)}
    main = min(rated, key=rated.__getitem__, default="")
    return {
        "main_fuse_stated": bool(main) and _rating(own) is not None,
        "main_fuse": main,
        "main_fuse_a": rated.get(main),
    }


def _unread(evidence: Evidence, positions: Sequence[str]) -> Datum:
    """Return what must be recorded before strings can be compared: what was read is not asked for again."""
    lacking = [p for p in positions if signed_interval(evidence.record, evidence.pack, p) is None]
    return rest_datum(lacking) if lacking else evidence.fitted_datum


def _is_joined(evidence: Evidence, position: str) -> bool | None:
    """Return whether a module lies between the mains as built; a lead one module lower leaves that module out."""
    return evidence.lies_between(*(f"{position}.{post}" for post in evidence.pack.module_type_at(position).posts))


def _string_ohm(evidence: Evidence, positions: Sequence[str]) -> float:
    """Return the resistance of a string [ohm]: its groups in series, the members of each in parallel."""
    pack = evidence.pack
    return sum(_ohm(evidence, p) / len(pack.groups[pack.positions[p].group]) for p in positions)


def string_voltage(evidence: Evidence, positions: Sequence[str]) -> Measured | None:
    """Return the sum of the rest voltages of a string's groups, each the mean of its members'."""
    return _in_series(evidence, positions, [signed_interval(evidence.record, evidence.pack, p) for p in positions])


def _in_series(evidence: Evidence, positions: Sequence[str], each: Sequence[Measured | None]) -> Measured | None:
    """Return the sum of the voltages of a string's groups; that of one module alone is its own."""
    pack, low, high = evidence.pack, 0.0, 0.0
    if len(positions) == 1:
        return each[0]
    used: list[Measured] = []
    for position, volts in zip(positions, each, strict=True):
        if volts is None:
            return None
        members = len(pack.groups[pack.positions[position].group])
        low, high = low + volts.low / members, high + volts.high / members
        used.append(volts)
    return worked_out(low, high, used)


def _string_row(
    evidence: Evidence,
    name: str,
    index: int,
    names: list[str],
    members: list[list[str]],
    volts: list[Measured | None],
    surges: list[Measured],
    unread: Datum,
    fuses: list[list[Device]],
    without: tuple[Without, ...],
) -> Row:
    mine, record = members[index], evidence.record
    others = [i for i in range(len(names)) if i != index]
    inside = [_is_joined(evidence, p) for p in mine]
    values: dict[str, Value] = {
        "string": name,
        "peers": list_places(names[i] for i in others),
        "fuses": len(fuses[index]),
        "fuses_stated": all(_rating(own) is not None for own in fuses),
        "fuse_a": _rating(fuses[index]),
        "peer_fuse_a": min((a for i in others if (a := _rating(fuses[i]))), default=None),
        **_main_fuse(evidence, fuses[index]),
        "modules": len(mine),
        "peer_modules": max(len(members[i]) for i in others),
        "joined_modules": None if record is None or None in inside else sum(map(bool, inside)),
        "voltage_v": volts[index],
        **_apart(volts, index),
        "surge_a": surges[index] if surges else None,
        "surge_limit_a": _surge_limit(evidence),
    }
    missing = dict.fromkeys(("voltage_v", "difference_v", "surge_a"), unread)
    missing["joined_modules"] = evidence.fitted_datum
    alike = len({len(m) for m in members}) == 1  # strings drawn unequal differ by what the drawing says
    return Row(name, values, missing, frozenset((*mine, PATH)), f"string {name}", "", None,
               frozenset({"surge_a"} if alike else ()), without)  # fmt: skip


def _apart(volts: Sequence[Measured | None], index: int) -> dict[str, Value]:
    """Return the largest difference of one string from the others."""
    pairs = [_spread([volts[index], other]) for i, other in enumerate(volts) if i != index]
    known = [pair for pair in pairs if pair is not None]
    if len(known) < len(pairs):
        return {"difference_v": None}
    return {"difference_v": worked_out(max(p.low for p in known), max(p.high for p in known), known)}
