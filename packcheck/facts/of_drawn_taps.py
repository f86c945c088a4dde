"""Facts about the sensing as drawn: the order of the pins along the string, what no tap sees, the fuse of its wires."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from packcheck.facts.drawn import Drawn
from packcheck.files.name_lists import list_places
from packcheck.files.quantities import Dimension, parse_quantity
from packcheck.model.pack.model import Pack, Tap
from packcheck.model.pack.order import places_under
from packcheck.model.pack.wiring import wire_diameter_mm
from packcheck.physics.conductors import fusing_current_a
from packcheck.rules.catalogue import Row, Value

SAME_V = 1e-6
"""Taps nearer in voltage than this lie on one conductor [V]."""


def drawn_tap_rows(drawn: Drawn) -> Iterator[Row]:
    """Yield one row per sense tap of the layout."""
    pack, volts = drawn.pack, _volts(drawn)
    against = _against(pack, volts)
    beside: dict[tuple[str, str], list[str]] = {}
    for tap in pack.taps.values():
        beside.setdefault((tap.connector, tap.node), []).append(tap.name)
    for tap in pack.taps.values():
        twins = [name for name in beside[tap.connector, tap.node] if name != tap.name]
        before = against.get(tap.name)
        values: dict[str, Value] = {
            "tap": tap.name, "on": tap.node, "connector": tap.connector or "no connector",
            "twins": len(twins), "twin_names": list_places(twins) if twins else "none",
            "in_order": before is None, "neighbour": before or "",
        }  # fmt: skip
        at = f"tap {tap.name} on {tap.node}" + (f", pin {tap.pin} of {tap.connector}" if tap.connector else "")
        yield Row(tap.name, values, {}, frozenset((tap.name,)), at, "", pack.origins.get(tap.name))


def unsensed(drawn: Drawn) -> tuple[str, ...]:
    """Return the modules that lie beyond the first or the last tap of their string; none where it has no two taps."""
    pack, volts, strings = drawn.pack, _volts(drawn), _strings(drawn.pack)
    span: dict[int, tuple[float, float]] = {}
    for tap in pack.taps.values():
        string, height = _string_of(pack, tap, strings), volts.get(tap.name)
        if height is not None and string is not None:
            low, high = span.get(string, (height, height))
            span[string] = min(low, height), max(high, height)
    return tuple(
        position.name for position in pack.positions.values()
        for low, high in [span.get(strings.get(position.name, 0), (0.0, 0.0))]
        if low < high and not _lies_in(drawn, position.minus_place, position.plus_place, low, high)
    )  # fmt: skip


def _lies_in(drawn: Drawn, minus: str, plus: str, low: float, high: float) -> bool:
    ends = drawn.solution.voltage_v(minus, drawn.minus), drawn.solution.voltage_v(plus, drawn.minus)
    return None in ends or all(end is not None and low - 0.05 <= end <= high + 0.05 for end in ends)


def _volts(drawn: Drawn) -> dict[str, float]:
    """Return the voltage [V] of each tap against main −, everything closed."""
    found = {tap.name: drawn.solution.voltage_v(tap.node, drawn.minus) for tap in drawn.pack.taps.values()}
    return {name: volts for name, volts in found.items() if volts is not None}


def _strings(pack: Pack) -> dict[str, int]:
    """Return the number of the parallel string that each position lies in; in a pack of one string there is none."""
    strings = (string for bank in pack.parallel_strings for string in bank)
    return {position: number for number, string in enumerate(strings, 1) for position in string}


def _string_of(pack: Pack, tap: Tap, strings: Mapping[str, int]) -> int | None:
    """Return the string that a tap lies in, 0 in a pack of one; None where it lies on no module."""
    place = next(iter(places_under(pack, tap.node)), None)
    return None if place is None else strings.get(pack.part_at(place), 0)


def connector_rows(drawn: Drawn) -> Iterator[Row]:
    """Yield one row per sense connector: whether its pins climb the string, and how those of most connectors run.

    Where as many climb as fall, those that climb are taken for right: the first pin at the negative end.
    """
    pack, volts = drawn.pack, _volts(drawn)
    climbing = {connector: sum(steps) for connector, steps in _steps_by_connector(pack, volts).items()}
    running = [climb for climb in climbing.values() if climb]
    most_climb = sum(climb > 0 for climb in running) * 2 >= len(running)
    for connector, climb in climbing.items():
        others = [name for name, other in climbing.items() if name != connector and other and (other > 0) == most_climb]
        values: dict[str, Value] = {
            "connector": connector,
            "taps": sum(tap.connector == connector for tap in pack.taps.values()),
            "others": len(others),
            "other_names": list_places(others) if others else "none",
            "with_others": climb == 0 or (climb > 0) == most_climb,
        }
        yield Row(connector, values, {}, frozenset((connector,)), f"connector {connector}", "",
                  pack.origins.get(connector))  # fmt: skip


def _steps_by_connector(pack: Pack, volts: Mapping[str, float]) -> dict[str, list[int]]:
    """Return for each connector how its voltage goes from pin to pin of one string: 1 up, -1 down, 0 neither."""
    found: dict[str, list[int]] = {tap.connector: [] for tap in pack.taps.values() if tap.connector}
    for (connector, _), taps in _runs(pack, volts).items():
        for a, b in pairwise(taps):
            step = volts[b.name] - volts[a.name]
            found[connector].append((step > SAME_V) - (step < -SAME_V))
    return found


def _runs(pack: Pack, volts: Mapping[str, float]) -> dict[tuple[str, int | None], list[Tap]]:
    """Return the taps of each connector by string, in the order of their pins."""
    strings = _strings(pack)
    runs: dict[tuple[str, int | None], list[Tap]] = {}
    for tap in sorted(pack.taps.values(), key=lambda tap: (tap.connector, tap.pin)):
        if tap.connector and tap.name in volts:
            runs.setdefault((tap.connector, _string_of(pack, tap, strings)), []).append(tap)
    return runs


def _against(pack: Pack, volts: Mapping[str, float]) -> dict[str, str]:
    """Return the taps whose pin runs against the others of its connector and string, each with the pin before it."""
    found: dict[str, str] = {}
    for taps in _runs(pack, volts).values():
        steps = [(a, b, volts[b.name] - volts[a.name]) for a, b in pairwise(taps)]
        climbing = sum(step > SAME_V for _, _, step in steps) - sum(step < -SAME_V for _, _, step in steps)
        sign = 1 if climbing >= 0 else -1
        found.update({b.name: a.name for a, b, step in steps if sign * step < -SAME_V})
    return found


def harnessed(pack: Pack) -> dict[str, Value]:
    """Return what the layout says of its sense harness."""
    fuse, wire = pack.harness.get("fuse"), pack.harness.get("wire")
    diameter = wire_diameter_mm(str(wire)) if wire is not None else None
    return {
        "has_harness": any(tap.connector for tap in pack.taps.values()),
        "harness_fused": fuse is not None,
        "harness_wire_stated": fuse is not None and diameter is not None,
        "harness_fuse_a": None if fuse is None else float(parse_quantity(fuse, Dimension.CURRENT)),
        "harness_wire": "" if wire is None else str(wire),
        "harness_wire_melts_a": None if diameter is None else fusing_current_a(diameter),
    }
