"""Facts about modules: one row per position, with what a test bench said of each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import datetime
from statistics import median

from packcheck.facts.checked_readings import fitted_type
from packcheck.facts.confirmed_by_readings import Confirmed
from packcheck.facts.evidence import PATH, Evidence
from packcheck.facts.measured_values import measured
from packcheck.facts.peers import Peers, cells_missing, peers_of
from packcheck.facts.slips_of_the_pen import is_sign_turned, voltage_slip
from packcheck.facts.without_faults import without_other_type
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Position
from packcheck.model.pack.types import Bounds
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedModule, Record
from packcheck.model.record.remarks import LEAST_PEERS
from packcheck.model.record.shelf import plain_serial
from packcheck.physics.cells import chemistry_named
from packcheck.rules.catalogue import Datum, Row, Value

_RECKONED = frozenset({"rest_v", "rest_cell_v", "rest_slipped"})


def module_rows(evidence: Evidence, confirmed: Confirmed) -> Iterator[Row]:
    """Yield one row per position."""
    record = evidence.record
    serial_at: dict[str, list[str]] = {}
    for module in record.modules.values() if record else ():
        if module.serial is not None:
            serial_at.setdefault(plain_serial(module.serial), []).append(module.position)
    peers, bench, last = _peers_by_kind(evidence), _bench_tested(evidence), _last_reading(record)
    for position in evidence.pack.positions.values():
        module = (record and record.modules.get(position.name)) or FittedModule(position.name)
        like = {**_against_like(evidence, module, peers), **bench[position.name], **_age(module, last)}
        same = serial_at.get(plain_serial(module.serial or ""), [])
        yield _module_row(evidence, position, module, confirmed, same, like)


def _last_reading(record: Record | None) -> datetime | None:
    """Return when the pack was read last."""
    return max((one.value_v.at for one in (record.readings if record else ()) if one.value_v.at), default=None)


def _age(module: FittedModule, last: datetime | None) -> Mapping[str, Value]:
    """Return how long before the last reading of the pack a module was read at rest [h]."""
    at = module.rest_v.at if module.rest_v else None
    if at is None or last is None:
        return {"rest_age_known": False}
    return {"rest_age_known": True, "rest_age_h": (last - at).total_seconds() / 3600}


def _peers_by_kind(evidence: Evidence) -> dict[tuple[str, str], Peers]:
    """Return the middle and the scatter of the rest voltages [V] by string and module type."""
    read: dict[tuple[str, str], list[float | None]] = defaultdict(list)
    modules = evidence.record.modules if evidence.record else {}
    for position in evidence.pack.positions:
        module = modules.get(position)
        if module is None or module.fitted is not False:
            read[_kind(evidence, position)].append(module.rest_v.value if module and module.rest_v else None)
    return {kind: peers_of(values) for kind, values in read.items()}


def _kind(evidence: Evidence, position: str) -> tuple[str, str]:
    group = evidence.pack.positions[position].group
    return evidence.drawn.string_of_group.get(group, ""), fitted_type(evidence, position).name


def _against_like(
    evidence: Evidence, module: FittedModule, peers: Mapping[tuple[str, str], Peers]
) -> Mapping[str, Value]:
    """Return how far a module's rest voltage stands from the middle of its type in its string."""
    kind, entry = fitted_type(evidence, module.position), module.rest_v
    like = peers.get(_kind(evidence, module.position))
    if like is None or like.middle is None or like.number * 2 <= like.asked:
        return {"peers": 0, "cells": kind.cells}
    values: dict[str, Value] = {
        "peers": like.number,
        "cells": kind.cells,
        "peer_median_v": like.middle,
        "peer_scatter_v": like.scatter,
    }
    if entry is None:
        return values
    short = like.middle - entry.value
    return values | {
        "unlike_v": like.distance(entry),
        "cells_missing": cells_missing(short, kind.rest_middle_v / kind.cells) if kind.cells > 1 else "",
    }


def _of_shelf(evidence: Evidence, module: FittedModule) -> Mapping[str, Value]:
    """Return what the shelf says of the module that is fitted here."""
    told = evidence.record is not None and bool(evidence.record.shelf)
    one = module.shelf
    stood = one is not None and one.lost_v is not None
    return {
        "shelf_told": told,
        "set_aside": None if told and module.serial is None else one.set_aside if one else "",
        "stand_told": stood,
        "stand_lost_v": measured(one.lost_v) if one else None,
        "stood_h": one.stood_h if one else None,
    }


def _module_row(
    evidence: Evidence,
    position: Position,
    module: FittedModule,
    confirmed: Confirmed,
    same_serial: list[str],
    like: Mapping[str, Value],
) -> Row:
    pack, name = evidence.pack, position.name
    kind = pack.module_types[position.module_type]
    fitted_kind = pack.module_types.get(module.type or "")
    fitted = module.fitted is True
    chemistries = [known for k in (kind, fitted_kind) if k and (known := chemistry_named(k.chemistry))]
    between = evidence.lies_between(position.plus_place, position.minus_place) if fitted else None
    order_built = evidence.order_built.get(name, 0 if fitted and evidence.order_built else None)
    share = evidence.current_share.get(name)
    order_planned = evidence.drawn.order.get(name)
    rest = measured(module.rest_v)
    slip = voltage_slip(module.rest_v.value, kind.rest_v.low, kind.rest_v.high) if module.rest_v else ""
    read_plus = confirmed.plus_of(position)
    off_path = between is not True or order_built != order_planned or (share is not None and abs(share - 1) > 0.2)
    values: dict[str, Value] = {
        "position": name,
        "group": position.group,
        "fitted": module.fitted,
        "planned_type": kind.name,
        "type": module.type,
        "planned_chemistry": kind.chemistry,
        "copper_at_risk": any(chemistry.copper for chemistry in chemistries),
        "lead_acid": any(chemistry.name == "lead-acid" for chemistry in chemistries),
        "type_in_layout": module.type is None or fitted_kind is not None,
        "chemistry_as_planned": None if fitted_kind is None else fitted_kind.chemistry == kind.chemistry,
        "planned_plus": position.plus,
        "plus": module.plus,
        "facing_as_planned": None if module.plus is None else module.plus == position.plus,
        "read_plus": read_plus or "",
        "reading_agrees_with_facing": None if read_plus is None or module.plus is None else read_plus == module.plus,
        "facing_confirmed": confirmed.module(name),
        "in_current_path": between,
        "current_share": share,
        "order_planned": order_planned,
        "order_built": order_built,
        "rest_v": rest,
        "rest_low_v": kind.rest_v.low,
        "rest_high_v": kind.rest_v.high,
        "rest_cell_v": measured(_upright(module.rest_v, kind.rest_v), (fitted_kind or kind).cells),
        **like,
        "rest_slip": slip,
        "rest_slipped": None if module.rest_v is None else bool(slip),
        "serial": module.serial,
        "serial_once": None if module.serial is None else len(same_serial) == 1,
        "serial_also_at": list_places(p for p in same_serial if p != name),
        **_of_shelf(evidence, module),
        "planned_serial": pack.plan.get(name, ""),
        "serial_as_planned": None
        if module.serial is None or name not in pack.plan
        else plain_serial(module.serial) == plain_serial(pack.plan[name]),
    }
    missing = {}
    if not evidence.built.is_certain:
        missing = dict.fromkeys(("in_current_path", "current_share", "order_built"), evidence.fitted_datum)
    face = kind.posts[position.plus].face
    across = Datum("voltage across it, with its sign", name, "multimeter", face)
    missing |= {"facing_confirmed": confirmed.datum(name, across)}
    missing |= dict.fromkeys(("reading_agrees_with_facing", "read_plus"), across)
    touches = frozenset((name, *([PATH] if off_path else []), *confirmed.unfit_across(name)))
    return Row(
        name,
        values,
        missing,
        touches,
        f"position {name}, + planned at {position.plus_place}",
        face,
        module.origin,
        _RECKONED if fitted_kind else frozenset(),
        without_other_type(name, kind, fitted_kind),
    )


def _upright(rest: Entry | None, window: Bounds) -> Entry | None:
    """Return a rest voltage with its sign put right, where that alone keeps it out of the window of its type."""
    if rest is None or not is_sign_turned(rest.value, window.low, window.high):
        return rest
    return rest._replace(value=-rest.value, low=-rest.high, high=-rest.low)


def _bench_tested(evidence: Evidence) -> Mapping[str, Mapping[str, Value]]:
    """Return by position what a module's capacity and resistance were, and what they are held against.

    A number is asked for where its row has a cell for it, or where most modules have theirs.  What the drawing leaves
    out stands for itself by the middle of at least five modules alike, and the other way round.
    """
    modules = evidence.record.modules if evidence.record else {}
    capacity = {name: m.capacity_ah for name, m in modules.items() if m.capacity_ah}
    resistance = {name: m.resistance_ohm for name, m in modules.items() if m.resistance_ohm}
    capacities, resistances = _middles(evidence, capacity), _middles(evidence, resistance)
    half = len(evidence.pack.positions) / 2
    found: dict[str, dict[str, Value]] = {}
    for name in evidence.pack.positions:
        module, kind = modules.get(name) or FittedModule(name), fitted_type(evidence, name)
        drawn_ah, drawn_ohm = kind.capacity_ah, kind.resistance_ohm
        peers_ah, peers_ohm = capacities.get(kind.name, drawn_ah), resistances.get(kind.name, drawn_ohm)
        comparable = drawn_ah is not None or peers_ah is not None
        found[name] = {
            "capacity_asked": comparable and ("capacity" in module.told or len(capacity) > half),
            "capacity_ah": measured(module.capacity_ah),
            "drawn_capacity_ah": peers_ah if drawn_ah is None else drawn_ah,
            "peer_capacity_ah": peers_ah,
            "resistance_asked": "resistance" in module.told or len(resistance) > half,
            "resistance_ohm": measured(module.resistance_ohm),
            "drawn_resistance_ohm": drawn_ohm,
            "peer_resistance_ohm": peers_ohm,
        }
    return found


def _middles(evidence: Evidence, read: Mapping[str, Entry]) -> Mapping[str, float]:
    """Return the middle of what was read, by module type; only of types of which enough were read."""
    by_kind: dict[str, list[float]] = defaultdict(list)
    for name, entry in read.items():
        by_kind[fitted_type(evidence, name).name].append(entry.value)
    return {kind: float(median(values)) for kind, values in by_kind.items() if len(values) >= LEAST_PEERS}
