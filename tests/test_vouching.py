"""What proves nothing: an instrument beyond its kind or range, a person nobody listed, a serial read otherwise."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from faulty_builds import above_advice, judged
from test_laws import outcomes_of
from workshop import METER, Data, clean_record, pack_of, record_of, stick_layout

from packcheck.facts.protection_worn import two_people
from packcheck.files.problems import InputProblems
from packcheck.files.quantities import Dimension
from packcheck.model.record.abilities import ability_of
from packcheck.model.record.model import Instrument
from packcheck.model.record.shelf import plain_serial
from packcheck.rules.findings import Outcome, Verdict

PACK = pack_of(stick_layout(5))
CLEAN = clean_record(PACK)


def with_instruments(**instruments: Any) -> Data:
    return {**CLEAN, "instruments": {**CLEAN["instruments"], **instruments}}


@pytest.mark.parametrize(("kind", "reads", "does_not"), [
    ("click wrench", "TORQUE", "RESISTANCE"), ("torque screwdriver", "TORQUE", "VOLTAGE"),
    ("micro-ohmmeter", "RESISTANCE", "VOLTAGE"), ("tape measure", "LENGTH", "VOLTAGE"),
    ("multimeter", "VOLTAGE", "TORQUE"), ("multimeter", "RESISTANCE", "LENGTH"),
    ("insulation tester", "RESISTANCE", "CAPACITY"), ("battery cycler", "CAPACITY", "TORQUE"),
    ("Bench scales", "MASS", "VOLTAGE"),
])  # fmt: skip
def test_an_instrument_proves_only_what_its_kind_reads(kind: str, reads: str, does_not: str) -> None:
    one = Instrument("X1", kind=kind)
    assert ability_of(one, Dimension[reads]).why_not(Decimal(1)) == ""
    assert kind in ability_of(one, Dimension[does_not]).why_not(Decimal(1))


@pytest.mark.parametrize("dimension", [d for d in Dimension if d is not Dimension.COUNT])
def test_a_kind_that_nobody_knows_may_read_anything(dimension: Dimension) -> None:
    assert ability_of(Instrument("X1", kind="data logger"), dimension).why_not(Decimal(1)) == ""


@pytest.mark.parametrize(("span", "number", "inside"), [
    ("1 V", 190.0, False), ("0 V to 600 V", 190.0, True), ("0 V to 600 V", 600.0, True), ("0 V to 600 V", 600.1, False),
    ("0 V to 600 V", -700.0, False), ("0 mV to 200 mV", 0.19, True), ("0 mV to 200 mV", 0.21, False),
    ("0 Ω to 1 kΩ", 190.0, True),
])  # fmt: skip
def test_a_reading_beyond_the_range_proves_nothing(span: str, number: float, inside: bool) -> None:
    said = ability_of(Instrument("X1", kind="multimeter", range=span), Dimension.VOLTAGE).why_not(Decimal(str(number)))
    assert (said == "") is inside


@pytest.mark.parametrize("meter", [
    {**METER, "range": "1 V"}, {**METER, "kind": "tape measure"}, {**METER, "kind": "click wrench"},
])  # fmt: skip
def test_what_such_an_instrument_read_leaves_the_pack_on_hold(meter: Data) -> None:
    record = record_of(with_instruments(V1=meter), PACK)
    assert above_advice(judged(record_of(with_instruments(V1={**METER, "range": "0 V to 600 V"}), PACK))) == []
    assert outcomes_of(record)["reading-disagrees", "V1"] is Outcome.UNPROVEN
    assert judged(record).verdict is Verdict.HOLD


@pytest.mark.parametrize("accuracy", ["0.000000001 %", "0.00009 %"])
def test_an_accuracy_that_no_meter_has_is_refused(accuracy: str) -> None:
    with pytest.raises(InputProblems, match="%"):
        record_of(with_instruments(V1={**METER, "accuracy": accuracy}), PACK)
    record_of(with_instruments(V1={**METER, "accuracy": "0.0001 %"}), PACK)


def test_people_who_are_not_listed_vouch_for_nothing() -> None:
    told = record_of({**CLEAN, "people": {"XX": "visitor"}}, PACK)
    assert outcomes_of(told)["reading-disagrees", "V1"] is Outcome.UNPROVEN
    assert judged(told).verdict is Verdict.HOLD
    assert above_advice(judged(record_of({**CLEAN, "people": {"m k": "fitter", "to": "second person"}}, PACK))) == []


@pytest.mark.parametrize(("table", "rule", "subject"), [
    ("readings", "reading-disagrees", "V1"), ("joints", "joint-torque-low", "B1/P1"),
    ("modules", "rest-voltage-outside-window", "P1"),
])  # fmt: skip
def test_taking_a_name_away_is_no_better_than_a_name_that_nobody_knows(table: str, rule: str, subject: str) -> None:
    """The first law: leaving out who took a number turns nothing into met."""
    heads = CLEAN[table]["taken"]
    unknown = {**CLEAN, table: {**CLEAN[table], "taken": {**heads, "by": "ZZ"}}}
    unnamed = {**CLEAN, table: {**CLEAN[table], "taken": {key: value for key, value in heads.items() if key != "by"}}}
    for told in (unknown, unnamed):
        record = record_of(told, PACK)
        assert outcomes_of(record)[rule, subject] is Outcome.UNPROVEN
        assert judged(record).verdict is Verdict.HOLD


@pytest.mark.parametrize(("second", "by", "two"), [
    ("MK", "MK", False), ("mk", "MK", False), (" M K ", "MK", False), ("none", "MK", False), ("None", None, False),
    ("TO", "MK", True), ("TO", None, None), (None, "MK", None),
])  # fmt: skip
def test_the_first_person_in_another_spelling_is_no_second(
    second: str | None, by: str | None, two: bool | None
) -> None:
    assert two_people(by, second) is two


@pytest.mark.parametrize(("one", "other", "same"), [
    ("M-1031", "m-1031", True), ("M-1031", "M -1031", True), ("M-1031", "M-1O3l", True), ("M-1031", "M-I03I", True),
    ("M-5810", "M-S8IO", True), ("M-8810", "M-B81O", True), ("M-1031", "M-1032", False), ("M-1031", "N-1031", False),
])  # fmt: skip
def test_serials_that_the_eye_takes_for_one_are_one(one: str, other: str, same: bool) -> None:
    assert (plain_serial(one) == plain_serial(other)) is same
    modules = {**CLEAN["modules"]}
    for name, serial in (("P1", one), ("P3", other)):
        modules[name] = [serial, *modules[name][1:]]
    outcome = outcomes_of(record_of({**CLEAN, "modules": modules}, PACK))["serial-doubled", "P3"]
    assert outcome is (Outcome.BROKEN if same else Outcome.MET)
