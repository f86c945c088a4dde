"""The modules there are to choose from: what was tested of each, and which of them nobody should fit, and why."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median

from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import ModuleType
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedModule, Record
from packcheck.model.record.shelf import plain_serial
from packcheck.model.record.test_results import ShelfModule

DRAWN_LEAST, PEERS_LEAST = 0.8, 0.85
"""Least share of the drawn capacity, and of the middle of its like, as the rule module-capacity-low has them."""
DRAWN_MOST, PEERS_MOST = 2.0, 1.5
"""Most of the drawn resistance, and of the middle of its like, as the rule module-resistance-high has them."""
SETTLES_CELL_V, DAY_CELL_V, FLOOR_V = 0.01, 0.002, 0.01
"""What a sound cell may lose at once and in a day [V], and digits rounded away, as the rule module-lost-on-shelf."""
_NUMBERS = {"capacity_ah": "capacity", "resistance_ohm": "resistance"}


@dataclass(frozen=True)
class Tested:
    """One module there is: its type, what was tested of it, its lot, and why it was set aside.

    ``at`` is the position in which the record has it now, "" for one on the shelf.
    """

    serial: str
    kind: str
    capacity_ah: Entry | None = None
    resistance_ohm: Entry | None = None
    rest_v: Entry | None = None
    lost_v: Entry | None = None
    stood_h: float | None = None
    lot: str = ""
    set_aside: str = ""
    at: str = ""


@dataclass(frozen=True)
class LeftOut:
    """A module that is not to be fitted, and why."""

    serial: str
    why: str


def pool_of(record: Record) -> tuple[Tested, ...]:
    """Return every module of the record that has a serial, on the shelf or in a position."""
    pack, found = record.pack, {}
    for serial, one in record.shelf.items():
        found[plain_serial(serial)] = _from_shelf(one, next(iter(pack.module_types)))
    for module in record.modules.values():
        if module.serial:
            found[plain_serial(module.serial)] = _from_position(module, pack)
    return tuple(found.values())


def sort_out(pool: Iterable[Tested], pack: Pack) -> tuple[tuple[Tested, ...], tuple[LeftOut, ...]]:
    """Return the modules that may be fitted and those that may not, by type held against their like.

    A number that most of a type have and one lacks leaves it out: what was not measured is no pass.
    """
    by_kind: dict[str, list[Tested]] = defaultdict(list)
    for one in pool:
        by_kind[one.kind].append(one)
    kept: list[Tested] = []
    out: list[LeftOut] = []
    for kind, members in by_kind.items():
        sound = [one for one in members if not one.set_aside]
        middles = {name: _middle(sound, name) for name in _NUMBERS}
        for one in members:
            why = one.set_aside or _against(one, pack.module_types[kind], middles)
            if why:
                out.append(LeftOut(one.serial, why))
            else:
                kept.append(one)
    return tuple(kept), tuple(out)


def _from_shelf(one: ShelfModule, usual: str) -> Tested:
    return Tested(one.serial, one.type or usual, one.capacity_ah, one.resistance_ohm, None, one.lost_v, one.stood_h,
                  one.lot, one.set_aside)  # fmt: skip


def _from_position(module: FittedModule, pack: Pack) -> Tested:
    shelf = module.shelf or ShelfModule("")
    kind = module.type if module.type in pack.module_types else pack.positions[module.position].module_type
    return Tested(module.serial or "", kind or "", module.capacity_ah, module.resistance_ohm, module.rest_v,
                  shelf.lost_v, shelf.stood_h, shelf.lot, shelf.set_aside, module.position)  # fmt: skip


def _middle(members: Iterable[Tested], name: str) -> float | None:
    """Return the middle of a number [its unit] if more than half of the modules have it."""
    members = list(members)
    values = [entry.value for one in members if (entry := getattr(one, name))]
    return median(values) if 2 * len(values) > len(members) else None


def _against(one: Tested, kind: ModuleType, middles: Mapping[str, float | None]) -> str:
    """Return what speaks against fitting a module, or ""."""
    for name, word in _NUMBERS.items():
        entry: Entry | None = getattr(one, name)
        if entry is None and middles[name] is not None:
            return f"its {word} was not measured"
        if entry is not None and not entry.fit:
            return f"its {word} proves nothing: {entry.unfit_because}"
    least = max(DRAWN_LEAST * (kind.capacity_ah or 0.0), PEERS_LEAST * (middles["capacity_ah"] or 0.0))
    if one.capacity_ah and one.capacity_ah.low < least:
        return f"it holds {one.capacity_ah.value:.4g} Ah; {least:.4g} Ah is the least"
    most = min(DRAWN_MOST * kind.resistance_ohm or float("inf"),
               PEERS_MOST * (middles["resistance_ohm"] or float("inf")))  # fmt: skip
    if one.resistance_ohm and one.resistance_ohm.high > most:
        return f"it has {one.resistance_ohm.value * 1e3:.4g} mΩ; {most * 1e3:.4g} mΩ is the most"
    window = kind.rest_v
    if one.rest_v and not (window.low or 0.0) <= one.rest_v.value <= (window.high or float("inf")):
        return f"it rests at {one.rest_v.value:.4g} V, outside its window"
    return _loss(one, kind)


def _loss(one: Tested, kind: ModuleType) -> str:
    if one.lost_v is None:
        return ""
    if one.stood_h is None:
        return "nobody wrote down how long it stood"
    most = (SETTLES_CELL_V + DAY_CELL_V * one.stood_h / 24) * kind.cells + FLOOR_V
    return f"it lost {one.lost_v.value * 1e3:.4g} mV in {one.stood_h:g} h" if one.lost_v.high > most else ""
