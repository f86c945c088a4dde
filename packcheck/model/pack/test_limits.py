"""The limits of a test point by point: as the layout writes them, or as physics makes them; the words for probes."""

from __future__ import annotations

import re

from packcheck.files.fields import Fields
from packcheck.files.quantities import Dimension, QuantityProblem, parse_quantity
from packcheck.model.pack.asked_tests import AskedTest, Point, time_of
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import Bounds
from packcheck.physics.charging import band_v, time_constant_h
from packcheck.physics.probes import Probe, probe_band_ohm, probe_ohm

BY_CONDITION = frozenset({"probe", "precharge"})
"""Curves whose limit depends on the condition in which the test is taken."""
LEAST_SHARE = 0.8
"""What a good lead-acid battery has of the conductance of a new one, at least; common practice, no source."""
MOST_SHARE = 1.5
"""Beyond this share it is another battery, or a slip of the point or of the reference; common practice, no source."""
APART_SHARE = 0.02
"""How far two readings of one source may lie apart, as a share of it; common practice, no source."""
MOST_TIMES = 1.3
"""How many times the resistance that is drawn a module may have, taken under load; common practice, no source."""
B_BETWEEN_K = (3000.0, 4500.0)
"""Where B lies of a thermistor of which it is not stated; common practice, no source."""
_THERMISTOR = re.compile(r"NTC (?P<ohm>\S.*?), B (?P<b>\d+(?:\.\d+)?) ?K$")
_PLATINUM = re.compile(r"Pt(?P<ohm>100|500|1000)$")


def check_curves(fields: Fields, pack: Pack) -> None:
    """Note tests whose limit is reckoned from what the layout does not say of its parts."""
    for name, test in pack.tests.items():
        lacking = ((point.part, _lacking(pack, test, point.part)) for point in test.points)
        part, said = next(((part, said) for part, said in lacking if said), ("", None))
        if said:
            fields.wrong(("tests", name), found=f"{part}, {said[0]}", key=True, do=said[1],
                         needed=f"what a test of kind '{test.kind.name}' is reckoned from")  # fmt: skip


def _lacking(pack: Pack, test: AskedTest, part: str) -> tuple[str, str] | None:
    """Return what a part lacks for the limit of a test to be reckoned, and what to do about it."""
    curve = "" if test.written else test.kind.curve
    if curve == "probe" and probe_named(str(pack.probes[part].get("kind", ""))) is None:
        return "a probe without its curve", "write kind: NTC 10 kΩ, B 3435 K, or kind: Pt100, with the probe"
    if curve in ("device", "precharge") and pack.devices[part].resistance_ohm is None:
        return "a device without its resistance", "add resistance: to it under devices:, or limit: to the test"
    if curve == "mass" and pack.module_type_at(part).mass_g == Bounds():
        return "a module without its mass", "add mass: to its module type, or limit: to the test"
    if curve == "harness fuse" and not pack.harness.get("fuse"):
        return "a tap of a harness without its fuse", "add fuse: to the harness, or limit: to the test"
    return None


def limit_of(pack: Pack, test: AskedTest, point: Point, under: float | None) -> Bounds | None:
    """Return what a point has to be, in the unit of its quantity; None where its condition was not recorded.

    Parameters
    ----------
    pack, test, point : what is asked.
    under : the condition in which it was taken, in its own unit: °C for a probe, V for a precharge.
    """
    if test.written:
        return test.limit
    curve, part = test.kind.curve, point.part
    if curve in BY_CONDITION:
        return None if under is None else _by_condition(pack, test, point, under)
    if curve == "device":
        middle, share = pack.devices[part].resistance_ohm or 0.0, test.tolerance
        return Bounds(middle * (1 - share), middle * (1 + share), middle)
    if curve == "load step":
        return Bounds(None, (pack.module_type_at(part).resistance_ohm or 0.0) * MOST_TIMES)
    if curve == "mass":
        return pack.module_type_at(part).mass_g
    if curve == "harness fuse":
        amperes = float(parse_quantity(pack.harness.get("fuse"), Dimension.CURRENT))
        return Bounds(amperes, amperes, amperes)
    return test.limit


def due_at(pack: Pack, test: AskedTest, point: Point, under: float) -> float:
    """Return what a reading is in proportion to as its condition changes, in its unit: ohms, or the volts put on."""
    probe = probe_named(str(pack.probes[point.part].get("kind", ""))) if test.kind.curve == "probe" else None
    return probe_ohm(probe, under) if probe else under


def _by_condition(pack: Pack, test: AskedTest, point: Point, under: float) -> Bounds | None:
    if test.kind.curve == "probe":
        probe = probe_named(str(pack.probes[point.part].get("kind", "")))
        return probe and Bounds(*probe_band_ohm(probe, under - test.tolerance, under + test.tolerance))
    time_h, ohm = time_of(point), pack.devices[point.part].resistance_ohm
    if time_h is None or ohm is None or test.capacitance_uf is None:
        return None
    constant_h = time_constant_h(ohm, test.capacitance_uf)
    low, high = band_v(max(0.0, under), time_h, constant_h, test.tolerance)
    return Bounds(low - APART_SHARE * abs(under), high + APART_SHARE * abs(under))


def probes_named(words: str) -> tuple[Probe, ...]:
    """Return the probe that words mean, or the two between which it lies where they leave B open; none else.

    >>> probes_named("NTC 10 kΩ")
    (Probe(reference_ohm=10000.0, b_k=3000.0), Probe(reference_ohm=10000.0, b_k=4500.0))
    """
    found = [probe_named(words)]
    if found == [None] and words.startswith("NTC"):
        found = [probe_named(f"{words.strip()}, B {b:g} K") for b in B_BETWEEN_K]
    return tuple(probe for probe in found if probe)


def probe_named(words: str) -> Probe | None:
    """Return the probe that words mean; None where they do not tell enough of it.

    >>> probe_named("NTC 10 kΩ, B 3435 K")
    Probe(reference_ohm=10000.0, b_k=3435.0)
    >>> probe_named("Pt100"), probe_named("NTC 10 kΩ")
    (Probe(reference_ohm=100.0, b_k=0.0), None)
    """
    if match := _PLATINUM.match(words):
        return Probe(float(match["ohm"]))
    match = _THERMISTOR.match(words)
    if match is None or float(match["b"]) <= 0:
        return None
    try:
        ohm = float(parse_quantity(match["ohm"], Dimension.RESISTANCE))
    except QuantityProblem:
        return None
    return Probe(ohm, float(match["b"])) if ohm > 0 else None
