"""Contactors of an outlet: each is read past while it is open, and the simulated build and the blank record do so."""

from __future__ import annotations

import random

import pytest
from branches import with_branches
from faulty_builds import Build, above_advice, every_finding, judged
from workshop import pack_of, stick_layout

from packcheck.judging.readings_to_take import asked_readings
from packcheck.model.record.model import Record
from packcheck.rules.findings import Gate, Outcome, Verdict
from packcheck.simulate.drawn import build_as_drawn
from packcheck.simulate.reading_plan import plan_readings

RULE = "outlet-contactor-not-shown-open"
INLET = with_branches(stick_layout(12), ["charge inlet"])


def outcomes(record: Record) -> dict[str, Outcome]:
    return {f.subject: f.outcome for f in every_finding(judged(record, Gate.PLUG_IN)) if f.rule == RULE}


def test_without_a_reading_past_it_each_contactor_of_an_inlet_holds_the_pack() -> None:
    b = Build(INLET, release=True)
    assert judged(b.record(), Gate.RELEASE).verdict is Verdict.NO_RULE_BROKEN
    kept = {name: row for name, row in b.clean["readings"].items() if name not in ("O1", "O2")}
    b.clean["readings"] = kept
    assert judged(b.record(), Gate.PLUG_IN).verdict is Verdict.HOLD
    assert set(outcomes(b.record()).values()) == {Outcome.UNPROVEN}


@pytest.mark.parametrize(("row", "device"), [("O1", "K3"), ("O2", "K4")])
def test_a_welded_contactor_shows_half_of_the_pack_past_it(row: str, device: str) -> None:
    """Six sticks of 7.92 V lie between the disconnect in the middle and either end."""
    b = Build(INLET, release=True)
    plus, minus, _ = b.clean["readings"][row]
    b.clean["readings"] = {**b.clean["readings"], row: [plus, minus, 47.5]}
    assert judged(b.record(), Gate.PLUG_IN).verdict is Verdict.DO_NOT_ENERGIZE
    assert outcomes(b.record()) == {device: Outcome.BROKEN}
    top = [(f.rule, f.subject) for f in above_advice(judged(b.record(), Gate.PLUG_IN))]
    assert top == [("reading-floating", row)], "one mistake, one finding"


def test_a_heater_and_a_converter_behind_a_fuse_ask_for_nothing_more() -> None:
    asked = {(one.plus, one.minus) for one in asked_readings(pack_of(with_branches(stick_layout(12), ["heater"])))}
    assert not {end for pair in asked for end in pair} & {"K5.2"}
    assert outcomes(Build(with_branches(stick_layout(12), ["heater", "converter"])).record()) == {}


def test_the_blank_record_and_the_simulated_team_read_past_each_of_them() -> None:
    pack = pack_of(INLET)
    asked = [{one.plus, one.minus} for one in asked_readings(pack)]
    assert {"K3.2", "SD.2"} in asked
    assert {"SD.1", "K4.2"} in asked
    planned = {
        one.name: {one.plus, one.minus} for one in plan_readings(build_as_drawn(pack, random.Random(1))).readings
    }
    assert "K3.2" in planned["past K3"]
    assert "K4.2" in planned["past K4"]
