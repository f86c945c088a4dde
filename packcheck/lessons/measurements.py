"""The measurements a trainee can name as the next one, and which of them settle a fault."""

from __future__ import annotations

from packcheck.simulate.faults.fault import Fault

MEASUREMENTS = {
    "post volts": "voltage at the posts of a module or block, with its sign",
    "halves and total": "halves, total and mains, with the plug out and in",
    "open switches": "past each open contactor, across each open disconnect",
    "load step": "the blocks again with a load drawn",
    "joint resistance": "resistance of a joint, with four wires",
    "part resistance": "resistance of a bar, fuse, switch or sense lead",
    "torque again": "the joint, tried again at set-point",
    "module test": "capacity, resistance, or voltage after days, of each module",
    "isolation": "both poles to the chassis, per half",
    "count": "parts, bars, modules or tools, counted again",
    "look": "the place, opened or looked at with a lamp",
    "label": "what is printed: serial, type, part number, arrow",
    "read again": "the same reading once more, with a meter that was checked",
    "papers": "certificate, sheet of the day, or who was there",
    "none": "nothing: the record is complete",
}
_WORDS = {
    "post volts": ("posts", "members again", "pins"),
    "halves and total": ("halves", "total", "mains", "inner ends", "the sum"),
    "open switches": ("contactors open", "open isolator", "plug out", "outer end"),
    "load step": ("load", "sag"),
    "joint resistance": ("resistance of the joint", "each joint", "its resistance", "resistance before"),
    "part resistance": ("fuse", "disconnect;", "pin to post", "bar itself", "across the disconnect"),
    "torque again": ("re-check", "set-point", "tried with"),
    "module test": ("discharge", "capacit", "after some days", "day after a charge", "a charge", "one method"),
    "isolation": ("chassis", "isolation"),
    "count": ("count",),
    "look": ("looked", "opened", "searched", "seen from", "thickness", "corners", "warmed", "stand of", "posts and"),
    "label": ("label", "printed", "mark on", "part number", "serial", "scale of the wrench", "setting"),
    "read again": ("again", "known source", "the reading", "the module"),
    "papers": ("papers", "sheet", "who ", "stamp"),
}


def settling(fault: Fault) -> frozenset[str]:
    """Return the measurements that settle a fault, by the words that say what does."""
    found = {name for name, words in _WORDS.items() if any(word in fault.settles for word in words)}
    return frozenset(found or {"look"})
