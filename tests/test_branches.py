"""Branches beside the main path: legitimate in every shape of pack, and each mistake in them found at its place."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from branches import BRANCHES, with_branches
from faulty_builds import TABLES, Build, above_advice, every_finding, judged, shipped_rules
from oracle.algebra import Circuit
from oracle.drawing import Part, parts
from workshop import Data, grouped_layout, pack_of, rack_layout, stick_layout, to_yaml, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.facts.drawn import Drawn
from packcheck.judging.judge import judge
from packcheck.rules.findings import Finding, Gate, Outcome

SHAPES = {
    "stick": lambda: stick_layout(12),
    "groups": lambda: grouped_layout(6, 2),
    "trays": lambda: trayed_layout(4),
    "rack": lambda: rack_layout([6, 6]),
}
MOST = [name for name in BRANCHES if name != "earthed middle"]  # a bond and a monitor do not go together
SETS = [[name] for name in BRANCHES] + [MOST, [name for name in BRANCHES if name != "isolation monitor"]]


def findings_in(layout: Data) -> list[tuple[str, str]]:
    """Return the rules that the drawing breaks, advice too, each with its subject."""
    return [(found.rule, found.subject) for found in _judged(layout) if found.outcome is Outcome.BROKEN]


def _judged(layout: Data) -> Iterator[Finding]:
    yield from every_finding(judge(shipped_rules(), build_facts(pack_of(layout)), TABLES, gate=Gate.RELEASE))


def changed(layout: Data, section: str, name: str, **values: object) -> Data:
    """Return a layout with one part otherwise; None takes a key out."""
    part = {**layout[section].get(name, {}), **{key.replace("_", " "): value for key, value in values.items()}}
    part = {key: value for key, value in part.items() if value is not None}
    return {**layout, section: {**layout[section], name: part}}


def without(layout: Data, section: str, name: str) -> Data:
    return {**layout, section: {key: value for key, value in layout[section].items() if key != name}}


@pytest.fixture(scope="module")
def drawing() -> Data:
    return with_branches(stick_layout(12), MOST)


# clean builds


@pytest.mark.parametrize("names", SETS, ids=lambda names: names[0] if len(names) == 1 else f"{len(names)} branches")
@pytest.mark.parametrize("shape", SHAPES)
def test_a_clean_build_with_branches_is_clean(shape: str, names: list[str]) -> None:
    build = Build(with_branches(SHAPES[shape](), names), release=True)
    assert [(f.rule, f.subject) for f in above_advice(judged(build.record(), Gate.RELEASE))] == []


@pytest.mark.parametrize("shape", SHAPES)
def test_a_branch_lead_that_is_moved_or_missing_is_found(shape: str) -> None:
    build = Build(with_branches(SHAPES[shape](), MOST), release=True)
    lead = "WI2"
    missing = judged(build.record({"leads": {lead: "not fitted"}}), Gate.RELEASE)
    assert ("conductor-not-fitted", lead) in {(f.rule, f.subject) for f in missing.findings}
    folded = {(f.rule, f.subject) for f in every_finding(missing)}
    assert not any(rule == "branch-conductor-off" and subject.startswith("WC") for rule, subject in folded)
    moved = judged(build.record({"leads": {lead: {"lands": ["F3.2", "K4.1"]}}}), Gate.RELEASE)
    assert ("conductor-moved", lead) in {(f.rule, f.subject) for f in every_finding(moved)}


# mistakes in the drawing


def test_a_fuse_is_asked_for_the_voltage_that_can_lie_across_it(drawing: Data) -> None:
    """A converter's fuse sees the whole string, 12 · 8.7 V; that of a centre tap the half that a short puts on it."""
    assert ("fuse-voltage-low", "F2") in findings_in(changed(drawing, "devices", "F2", volts="32 V"))
    assert ("fuse-voltage-low", "F2") in findings_in(changed(drawing, "devices", "F2", volts="104.3 V"))
    assert findings_in(changed(drawing, "devices", "F2", volts="104.4 V")) == findings_in(drawing)
    assert ("fuse-voltage-low", "F5") in findings_in(changed(drawing, "devices", "F5", volts="52.1 V"))
    assert findings_in(changed(drawing, "devices", "F5", volts="52.2 V")) == findings_in(drawing)


MISTAKES = {
    "an outlet before every fuse": (
        lambda d: changed(d, "outlets", "converter", plus="P12.B"), "outlet-without-fuse", "converter"),
    "an outlet behind the main fuse alone": (
        lambda d: changed(d, "outlets", "converter", plus="K1.1"), "outlet-fuse-above-rating", "converter"),
    "the poles of the inlet exchanged": (
        lambda d: changed(d, "outlets", "inlet", plus="K4.2", minus="K3.2"), "outlet-poles-swapped", "inlet"),
    "a lead of the inlet forgotten": (lambda d: without(d, "leads", "WI2"), "outlet-joined-to-nothing", "inlet"),
    "a wire of the interlock on a post": (
        lambda d: changed(d, "leads", "WL1", lands=["I1.2", "P03.A"]), "outlet-signal-live", "interlock"),
    "a heater of tenths of an ohm": (
        lambda d: changed(d, "devices", "H1", resistance="0.8 Ω"), "load-above-fuse", "H1"),
    "a heater without its contactor": (
        lambda d: changed(d, "leads", "WH3", lands=["K5.1", "H1.1"]), "load-without-switch", "H1"),
    "a contactor with a lead past it": (
        lambda d: changed(d, "leads", "WH3", lands=["K5.1", "H1.1", "K5.2"]), "device-off-path-as-drawn", "K5"),
    "a monitor between two poles": (
        lambda d: changed(d, "leads", "WM2", lands=["IM.2", "K1.1"]), "monitor-off-chassis", "IM"),
    "the precharge of next to nothing": (
        lambda d: changed(d, "devices", "RP", resistance="0.03 Ω"), "precharge-resistance-low", "RP"),
    "the main contactor closed in precharge": (
        lambda d: changed(d, "states", "precharge", closed=["SD", "K1", "K2", "KP"]),
        "layout-precharge-bypassed", "precharge"),
    "a fuse behind which nothing is drawn": (
        lambda d: without(d, "outlets", "centre"), "layout-conductor-idle", "generated"),
    "a branch that shorts modules": (
        lambda d: changed(d, "leads", "WX", lands=["P04.B", "P02.B"]), "layout-loop",
        "loop of P03, P04 closed by B02, B03, WX"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_in_a_branch_is_found_at_its_place(drawing: Data, mistake: str) -> None:
    change, rule, subject = MISTAKES[mistake]
    assert (rule, subject) not in findings_in(drawing)
    assert (rule, subject) in findings_in(change(drawing))


def test_a_contactor_closed_with_the_plug_out_is_found_where_it_makes_an_outlet_live() -> None:
    layout = with_branches(stick_layout(30), ["charge inlet", "centre tap"])
    closed = changed(layout, "states", "plug out", closed=["K4"])
    assert ("layout-state-out-feeds", "inlet") not in findings_in(layout)
    assert ("layout-state-out-feeds", "inlet") in findings_in(closed)  # the lower half: 15 · 8.7 V = 130.5 V


def test_a_tap_into_a_half_is_told_to_be_live_with_every_switch_open() -> None:
    """Fifteen modules of at most 8.7 V stand between a centre tap and what else is joined to that half."""
    layout = with_branches(stick_layout(30), ["converter", "centre tap"])
    facts = {row.subject: row.values for row in build_facts(pack_of(layout))["outlet"]}
    assert facts["centre"]["open_v"] == pytest.approx(15 * 8.7)
    assert ("outlet-live-plug-out", "centre") in findings_in(layout)


def test_a_bond_and_isolation_contradict_each_other() -> None:
    bonded = with_branches(stick_layout(12), ["earthed middle"])
    asked = {**bonded, "isolation": {"at least": "500 Ω/V"}}
    assert ("layout-chassis-bonded", "generated") in findings_in(asked)
    assert ("layout-chassis-bonded", "generated") not in findings_in(bonded)


def test_a_second_bond_is_a_short_through_the_chassis() -> None:
    """From the middle of the string to its negative end: six modules, 6 · 7.95 V = 47.7 V."""
    layout = with_branches(stick_layout(12), ["earthed middle"])
    layout = changed(layout, "devices", "EX", kind="bond")
    layout = changed(changed(layout, "leads", "WX1", lands=["K2.2", "EX.1"]), "leads", "WX2", lands=["EX.2", "chassis"])
    loops = build_facts(pack_of(layout))["drawn_loop"]
    assert [round(float(row.values["driving_v"]), 6) for row in loops] == [47.7]  # type: ignore[arg-type]
    assert any(rule == "layout-loop" for rule, _ in findings_in(layout))


# numbers


def _short(layout: Data, record: Data, closed: list[str], a: str, b: str, left_out: str = "") -> Circuit:
    """Return the circuit at the highest voltages with a short between two nodes, perhaps without one part."""
    kept = [part for part in parts(layout, record, closed) if part.name != left_out and part.ohm < 1]
    return Circuit([*kept, Part("short", a, b, 1e-6)])


def test_what_a_fuse_must_break_is_what_stands_across_it_when_it_is_gone() -> None:
    """Two strings of six modules of 8.7 V behind a fuse each; gaps and shorts solved by the oracle."""
    layout = rack_layout([6, 6])
    layout["devices"] = {name: {"kind": "fuse", "rating": "80 A"} if name.startswith("DS") else device
                         for name, device in layout["devices"].items()}  # fmt: skip
    layout["states"] = {"plug out": {"closed": []}, "live": {"closed": ["K1", "K2"]}}
    layout = with_branches(layout, ["converter"])
    build = Build({**layout, "states": {**layout["states"], "plug in": {"closed": []}}})
    full = {name: [*row[:3], 8.7] if name not in ("columns", "taken") else row
            for name, row in build.clean["modules"].items()}  # fmt: skip
    plain = {key: value for key, value in build.clean.items() if key != "joints"} | {"modules": full}
    stress = Drawn(pack_of(layout)).stress
    for device in ("DS1", "F1", "F2"):
        worst = 0.0
        for pair in (("K1.2", "K2.1"), ("F2.2", "K2.2")):
            circuit = _short(layout, plain, ["K1", "K2"], *pair, left_out=device)
            worst = max(worst, abs(circuit.volts(f"{device}.1", f"{device}.2") or 0.0))
        assert stress.open_v(device) == pytest.approx(worst, rel=2e-3), device


def test_what_a_heater_takes_is_the_voltage_over_its_resistance(drawing: Data) -> None:
    rows = {row.subject: row.values for row in build_facts(pack_of(drawing))["device"]}
    assert rows["H1"]["load_a"] == pytest.approx(12 * 8.7 / 80)
    assert rows["H1"]["load_fuse_a"] == 16
    assert rows["IM"]["watches_chassis"] is True


def test_insulated_bars_make_no_gap_but_at_their_landings() -> None:
    bare, covered = (build_facts(pack_of(with_branches(stick_layout(8), names)))["gap"]
                     for names in ([], ["insulated bars"]))  # fmt: skip
    assert {"B1 to B3"} <= {name for row in bare for name in str(row.values["pairs"]).split(", ")}
    assert not any("B1" in str(row.values["pairs"]) for row in covered)
    assert any("P2.A" in str(row.values["pairs"]) for row in covered)


def test_a_heater_and_a_resistor_need_their_resistance() -> None:
    layout = with_branches(stick_layout(6), ["heater"])
    assert "resistance" in to_yaml(layout)
    with pytest.raises(Exception, match="a heater without its resistance"):
        pack_of(changed(layout, "devices", "H1", resistance=None))
