"""Facts about disconnects, fuses, contactors, shunts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packcheck.facts.checked_readings import Checked
from packcheck.facts.drawn import Drawn
from packcheck.facts.evidence import PATH, Evidence
from packcheck.facts.open_switches import CONTACTOR, DISCONNECTS, Past, past_switch
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import CHASSIS, Device, Pack
from packcheck.model.pack.wiring import stands
from packcheck.model.record.model import FittedDevice
from packcheck.rules.catalogue import Row, Value, Without

SWITCHES = (*DISCONNECTS, CONTACTOR)
"""Kinds of device that part the pack's current path when they are open."""
PARTING = (*DISCONNECTS, "fuse")
"""Kinds of device that nothing may lead past, no resistor either; past a contactor a precharge resistor does."""


def device_rows(evidence: Evidence, checked: Sequence[Checked] = ()) -> Iterator[Row]:
    """Yield one row per device of the layout."""
    for device in evidence.pack.devices.values():
        yield _device_row(evidence, device, checked)


def _device_row(evidence: Evidence, device: Device, checked: Sequence[Checked]) -> Row:
    pack, record, name = evidence.pack, evidence.record, device.name
    fitted = record.devices.get(name) if record else None
    interrupts = _interrupts(evidence, device)
    drawn, past = evidence.drawn, past_switch(evidence, device, checked)
    fuse_a = drawn.stress.fuse_a(name, fuse_ratings(pack))
    values: dict[str, Value] = {
        "device": name,
        "kind": device.kind,
        "fitted": fitted.fitted if fitted else None,
        "seen": fitted.seen if fitted else "",
        "stands": stands(pack, device),
        "directed": bool(device.current),
        "directed_in_path": bool(device.current) and device.name in drawn.forwards,
        "direction_fits_path": drawn.forwards.get(name) is (device.current == "1 to 2"),
        "direction_as_drawn": None if fitted is None or fitted.current is None else fitted.current == device.current,
        "interrupts": interrupts if record else None,
        "acts_in_layout": drawn.acts_in_path(device),
        "acts_in_branch": drawn.acts_in_branch(device),
        "interrupts_in_layout": not drawn.switches_open.joined(*device.ends),
        "shunted_by": list_places(drawn.past_loads.past(name, device.ends)) if device.kind in PARTING else "",
        "bypassed_by": list_places(evidence.bypassed_by(device)),
        **_load(drawn, device),
        "volts_v": device.volts_v,
        "rating_a": device.rating_a,
        "resistance_ohm": device.resistance_ohm,
        "breaks_a": device.breaks_a,
        "highest_v": _highest_v(drawn, device),
        "prospective_a": drawn.stress.prospective_a(name),
        "switches": device.kind in SWITCHES and device.volts_v is not None,
        "current_stated": device.rating_a is not None and device.kind != "fuse" and fuse_a is not None,
        "fuse_a": fuse_a,
        "planned_part": device.part,
        **_printed(fitted),
        **past.values,
    }
    in_doubt = interrupts is not True or not (fitted and fitted.fitted) or past.otherwise
    touches = {name, PATH, *past.told_by} if in_doubt else {name, *past.told_by}
    missing = {"interrupts": evidence.fitted_datum} if not evidence.built.is_certain else {}
    missing |= dict.fromkeys(("open_read_v", "open_bridged_v"), past.missing) if past.missing else {}
    return Row(
        name,
        values,
        missing,
        frozenset(touches),
        f"{device.kind} {name}",
        "",
        (fitted.origin if fitted else None) or pack.origins.get(name),
        *_by_itself(past),
    )


def _by_itself(past: Past) -> tuple[frozenset[str], tuple[Without, ...]]:
    """Return what is reckoned: where the record joins nothing to show a voltage past a switch, its readings alone."""
    if past.otherwise or not past.told_by:
        return frozenset(), ()
    return frozenset({"open_read_v"}), (Without(frozenset(past.told_by), {"open_read_v": 0.0}),)


def _printed(fitted: FittedDevice | None) -> dict[str, Value]:
    """Return what is printed on the device that is fitted."""
    if fitted is None:
        return {}
    return {
        "part": fitted.part,
        "fitted_volts_v": fitted.volts_v,
        "fitted_rating_a": fitted.rating_a,
        "fitted_breaks_a": fitted.breaks_a,
    }


def _interrupts(evidence: Evidence, device: Device) -> bool | None:
    """Return whether nothing joins the two ends of a device with every switch open.

    A conductor of which nobody recorded where it lands may lie anywhere, across the device too; a module that nobody
    recorded may stand where it joins them.
    """
    surely, possibly = evidence.joined_with(frozenset())
    if surely.joined(*device.ends):
        return False
    if possibly.joined(*device.ends):
        return None
    return None if any(name in evidence.pack.conductors for name in evidence.built.unrecorded) else True


def _load(drawn: Drawn, device: Device) -> dict[str, Value]:
    """Return what a heater takes and when; and whether an isolation monitor looks at the chassis."""
    if device.kind == "heater":
        volts, ohm = drawn.solution.voltage_v(*device.ends), device.resistance_ohm
        plugs = frozenset(d.name for d in drawn.pack.devices.values() if d.kind in DISCONNECTS)
        short = drawn.stress.between(*device.ends)
        return {
            "load_a": abs(volts) / ohm if volts is not None and ohm else None,
            "load_fuse_a": short.smallest_fuse_a(fuse_ratings(drawn.pack)) if short else None,
            "on_with_plug_in": bool(drawn.highest_with(plugs).voltage_v(*device.ends)),
        }
    if device.kind == "isolation monitor":
        plain = drawn.conductors
        at_chassis = [plain.joined(end, CHASSIS) for end in device.ends]
        modules = [drawn.forest.joined(end, drawn.minus) for end in device.ends]
        return {"watches_chassis": sorted(zip(at_chassis, modules, strict=True)) == [(False, True), (True, False)]}
    return {}


def fuse_ratings(pack: Pack) -> dict[str, float]:
    """Return the rating [A] of every fuse of a layout that states one."""
    return {d.name: d.rating_a for d in pack.devices.values() if d.kind == "fuse" and d.rating_a is not None}


def _highest_v(drawn: Drawn, device: Device) -> float | None:
    """Return the largest voltage that can lie across a device once it is open [V].

    Across a resistor of the precharge stands the whole pack, as its contactor is open and what it charges still empty.
    """
    if device.kind == "precharge resistor":
        return drawn.highest_v
    if device.is_load:
        return drawn.solution.voltage_v(*device.ends)
    volts = drawn.stress.open_v(device.name)
    return drawn.highest_v if volts is None else round(volts, 6)
