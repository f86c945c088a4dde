"""What stands around the path of a layout, written out: sensing, covers, clamp, insulation, order of work, plan."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.files.name_lists import list_places
from packcheck.model.pack.asked_tests import AskedTest
from packcheck.model.pack.kinds_of_test import OWN
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import read_order
from packcheck.render.expanded_words import NOT_SAID, band, exact, labelled, listed, stated, write_table
from packcheck.render.page import Page, plural

_NOT_CONNECTORS = ("wire", "fuse", "eyelet")


def write_around(page: Page, pack: Pack) -> None:
    """Write everything that the layout says of what stands around the current path."""
    _harness(page, pack)
    write_table(page, "PROBES", ("probe", "on", "kind"), (
        (name, list_places(map(str, _names(probe["on"]))), stated(probe.get("kind", NOT_SAID)))
        for name, probe in pack.probes.items()
    ))  # fmt: skip
    write_table(page, "VENT LINES", ("vent", "over", "leads to"), (
        (name, list_places(_names(vent["over"])), stated(vent["to"])) for name, vent in pack.vents.items()
    ))  # fmt: skip
    write_table(page, "COVERS", ("cover", "over", "screws"), (
        (cover.name, cover.over, f"{cover.screws} {cover.screw_part}" if cover.screw_part else NOT_SAID)
        for cover in pack.covers.values()
    ))  # fmt: skip
    if pack.clamp:
        page.heading("CLAMP")
        rods = f"{pack.clamp.rods} {pack.clamp.rod_part}" if pack.clamp.rod_part else NOT_SAID
        words = (("length", band(pack.clamp.length_mm, "mm")), ("rods", rods),
                 ("torque", band(pack.clamp.torque_n_m, "N·m")))  # fmt: skip
        for label, text in words:
            page.item(f"{label}: {text}")
    _insulation(page, pack)
    titles = ("test", "kind", "of", "must be", "with", "under", "also", "before", "basis")
    write_table(page, "TESTS ASKED FOR", titles, (
        (test.name, test.kind.name, list_places([point.name for point in test.points]), _must_be(test), test.instrument,
         test.under_written, test.beside, test.gate if test.kind.name == OWN else "", test.basis)
        for test in pack.tests.values()
    ))  # fmt: skip
    _order(page, pack)
    if pack.plan:
        write_table(page, "SERIAL PLAN", ("position", "serial"), pack.plan.items())


def _must_be(test: AskedTest) -> str:
    """Return what a test must find, in words."""
    if test.words:
        return f"{test.words[0]}, not {' or '.join(test.words[1:])}"
    curve = f"as {test.kind.curve} makes it" if test.kind.curve else ""
    return test.written or test.kind.expects or curve or "alike at all points"


def _names(value: object) -> Sequence[str]:
    return tuple(map(str, value)) if isinstance(value, (list, tuple)) else (str(value),)


def _harness(page: Page, pack: Pack) -> None:
    if not pack.harness:
        return
    page.heading("SENSE HARNESS")
    for label in _NOT_CONNECTORS:
        page.item(f"{label}: {stated(pack.harness.get(label, NOT_SAID))}")
    if pack.sense_limit_a is not None:
        page.item(f"a sense wire carries {exact(pack.sense_limit_a, 'A')} before its fuse opens or it melts")
    pins: dict[str, list[str]] = {}
    for tap in sorted(pack.taps.values(), key=lambda tap: tap.pin):
        if tap.connector:
            pins.setdefault(tap.connector, []).append(tap.name)
    for connector in pack.harness:
        if connector not in _NOT_CONNECTORS:
            page.item(f"connector {connector}, pins in this order: {', '.join(pins.get(connector, ()))}")


def _insulation(page: Page, pack: Pack) -> None:
    asked = pack.insulation
    isolation = listed(
        labelled("at least", asked.least_ohm_per_v, "Ω/V"), labelled("workshop floor", asked.floor_ohm, "Ω")
    )
    impulse = None if asked.impulse_kv is None else asked.impulse_kv * 1000
    creepage = listed(
        f"pollution degree {asked.pollution_degree}" if asked.pollution_degree is not None else "",
        f"material group {asked.material_group}" if asked.material_group else "",
        labelled("shortest distance", asked.creepage_mm, "mm"), labelled("impulse", impulse, "V"),
        labelled("altitude", asked.altitude_m, "m"),
    )  # fmt: skip
    surge = labelled("at most", pack.surge_limit_a, "A")
    rows = [(what, words) for what, words in (("isolation", isolation), ("creepage and clearance", creepage),
                                               ("surge when parallel parts are joined", surge)) if words]  # fmt: skip
    if rows:
        page.heading("INSULATION AND SURGE")
    for what, words in rows:
        page.item(f"{what}: {words}")


def _order(page: Page, pack: Pack) -> None:
    """Write the order of work: each step as the layout has it, and under it what its words come to."""
    if not pack.order:
        return
    page.heading(f"ORDER OF WORK ({plural(len(pack.order), 'step')})")
    stages = read_order(pack).stages
    for number, step in enumerate(pack.order, 1):
        page.item(", ".join(step), f"{number}.", 2)
        for stage in stages:
            mine = stage.step == str(number) and not stage.unnamed
            if mine and list_places(stage.items) not in ", ".join(step) and set(stage.items) - set(step):
                page.say(f"{stage.kind}: {list_places(stage.items)}", 6)
    for stage in stages:
        if stage.unnamed:
            page.item(f"the order does not say when: {stage.kind} {list_places(stage.items)}")
