"""Facts about disconnects, fuses, contactors, shunts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from packcheck.facts.common import layout_source, source_of
from packcheck.facts.evidence import PATH, Evidence
from packcheck.facts.of_open_switches import outer_end_datum, past_contactor
from packcheck.facts.of_readings import Checked
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Device
from packcheck.rules.catalogue import Row, Value

SWITCHES = ("service disconnect", "isolator", "main contactor")
"""Kinds of device that part the pack's current path when they are open."""


def device_rows(evidence: Evidence, checked: Sequence[Checked] = ()) -> Iterator[Row]:
    """Yield one row per device of the layout."""
    for device in evidence.pack.devices.values():
        yield _device_row(evidence, device, checked)


def _device_row(evidence: Evidence, device: Device, checked: Sequence[Checked]) -> Row:
    pack, record, name = evidence.pack, evidence.record, device.name
    fitted = record.devices.get(name) if record else None
    interrupts = _interrupts(evidence, device)
    fuse_a = _fuse_rating(evidence, device)
    values: dict[str, Value] = {
        "device": name,
        "kind": device.kind,
        "fitted": fitted.fitted if fitted else None,
        "seen": fitted.seen if fitted else "",
        "directed": bool(device.current),
        "directed_in_path": bool(device.current) and device.name in evidence.drawn.forwards,
        "direction_fits_path": evidence.drawn.forwards.get(name) is (device.current == "1 to 2"),
        "direction_as_drawn": None if fitted is None or fitted.current is None else fitted.current == device.current,
        "interrupts": interrupts if record else None,
        "acts_in_layout": evidence.drawn.acts_in_path(device),
        "interrupts_in_layout": not evidence.drawn.switches_open.joined(*device.ends),
        "bypassed_by": list_places(evidence.bypassed_by(device)),
        "volts_v": device.volts_v,
        "rating_a": device.rating_a,
        "resistance_ohm": device.resistance_ohm,
        "breaks_a": device.breaks_a,
        "highest_v": evidence.drawn.highest_v,
        "prospective_a": _through(evidence, name),
        "switches": device.kind in SWITCHES and device.volts_v is not None,
        "current_stated": device.rating_a is not None and device.kind != "fuse" and fuse_a is not None,
        "fuse_a": fuse_a,
        "planned_part": device.part,
        "part": fitted.part if fitted else None,
        "fitted_volts_v": fitted.volts_v if fitted else None,
        "fitted_rating_a": fitted.rating_a if fitted else None,
        "fitted_breaks_a": fitted.breaks_a if fitted else None,
        **past_contactor(evidence, device, checked),
    }
    touches = {name, PATH} if interrupts is not True or not (fitted and fitted.fitted) else {name}
    missing = {"interrupts": evidence.fitted_datum} if not evidence.built.is_certain else {}
    if values["parts_mains"]:
        missing["open_read_v"] = missing["open_bridged_v"] = outer_end_datum(evidence, device)
    return Row(
        name,
        values,
        missing,
        frozenset(touches),
        f"{device.kind} {name}",
        "",
        source_of(evidence, fitted.line if fitted else 0) or layout_source(pack, name),
    )


def _interrupts(evidence: Evidence, device: Device) -> bool | None:
    """Return whether nothing joins the two ends of a device with every switch open.

    A conductor of which nobody recorded where it lands may lie anywhere, across the device too; a module that nobody
    recorded may stand where it joins them.
    """
    surely, possibly = evidence.switches_open
    if surely.joined(*device.ends):
        return False
    if possibly.joined(*device.ends):
        return None
    return None if any(name in evidence.pack.conductors for name in evidence.built.unrecorded) else True


def _fuse_rating(evidence: Evidence, device: Device) -> float | None:
    """Return the smallest rating [A] of the fuses that carry all of a device's current; None where none does.

    Told by the currents of a short between the mains: a fuse that carries as much or more lies in series with it.
    """
    currents = evidence.drawn.short_currents
    mine = currents.get(device.name, 0.0)
    if mine <= 0 or device.across:
        return None
    fuses = [d for d in evidence.pack.devices.values() if d.kind == "fuse" and d.rating_a is not None]
    return min((d.rating_a for d in fuses if currents.get(d.name, 0.0) > 0.999 * mine and d.rating_a), default=None)


def _through(evidence: Evidence, name: str) -> float | None:
    """Return the largest short-circuit current through a device [A]: of a short outside, or inside its own string."""
    currents = evidence.drawn.short_currents
    if name not in currents:
        return None
    through, total = currents[name], currents[""]
    return total if through > 0.999 * total else max(through, total - through)
