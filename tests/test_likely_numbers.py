"""Numbers that a record holds and that their kind hardly ever has, or cannot have: refused, or held until read again.

The ends are common practice, no source, but for absolute zero (-273.15 °C, the SI brochure, 9th edition, 2.3.1) and
the 100 % that a relative humidity of air in balance with water cannot pass.
"""

from __future__ import annotations

import re

import pytest
from test_catalogue import findings_in
from test_outcomes_from_files import file_named

from packcheck.facts.build import build_tables
from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.abilities import is_of_kind
from packcheck.model.record.from_document import read_record
from packcheck.rules.findings import Gate, Outcome

TEXT = file_named("godwit-8-clean.yaml").read_text("utf-8")


def with_cell(point: str, key: str, number: str) -> dict[str, str]:
    """Return the change of the clean record that writes another number into one cell of a test."""
    row = next(line.strip() for line in TEXT.splitlines() if line.strip().startswith(f"{point}: "))
    return {row: re.sub(rf"(?<=[{{ ]){key}: [^,}}]*", f"{key}: {number}", row, count=1)}


def unlikely_in(change: dict[str, str]) -> list[str]:
    return [f.subject for f in findings_in(change, Gate.RELEASE) if f.rule == "number-unlikely"]


@pytest.mark.parametrize(
    ("point", "key", "number", "subject"),
    [
        ("bonds/lid", "value", "0 Ω", "test bonds"),
        ("bonds/lid", "value", "0.001 µΩ", "test bonds"),
        ("bonds/lid", "under", "10 kA", "condition of bonds"),
        ("warmth/P5", "value", "-30 K", "test warmth"),
        ("warmth/P5", "value", "300 K", "test warmth"),
        ("sense wires/T1", "value", "0 Ω", "test sense wires"),
        ("probe times/N1", "value", "0 s", "test probe times"),
        ("rest times/P5", "value", "100000 h", "test rest times"),
        ("load steps/P5", "value", "0 mΩ", "test load steps"),
        ("load steps/P5", "value", "0.9 mΩ", "test load steps"),
        ("damp/room", "value", "0 %", "test damp"),
        ("thickness/P5", "value", "0 mm", "test thickness"),
        ("thickness/P5", "value", "0.1 mm", "test thickness"),
        ("coils/K1", "value", "0 Ω", "test coils"),
        ("acid/P5", "under", "95 °C", "condition of acid"),
    ],
)
def test_a_number_that_its_kind_hardly_has_holds_the_record(point: str, key: str, number: str, subject: str) -> None:
    found = [f for f in findings_in(with_cell(point, key, number), Gate.FIT_BARS) if f.rule == "number-unlikely"]
    assert [(f.subject, f.outcome) for f in found] == [(subject, Outcome.BROKEN)]
    assert point in found[0].found


@pytest.mark.parametrize(
    ("point", "key", "number"),
    [
        ("bonds/lid", "value", "4 µΩ"),  # ± 1.02 µΩ reaches 5 µΩ
        ("warmth/P5", "value", "-5.2 K"),  # ± 0.3 K reaches −5 K
        ("sense wires/T1", "value", "1 mΩ"),  # ± 1 mΩ reaches 2 mΩ
        ("probe times/N1", "value", "0.5 s"),
        ("load steps/P5", "value", "1 mΩ"),  # a tenth of the 10 mΩ that are drawn
        ("damp/room", "value", "3 %"),  # ± 3 %
    ],
)
def test_a_number_whose_interval_reaches_what_is_likely_is_taken(point: str, key: str, number: str) -> None:
    assert unlikely_in(with_cell(point, key, number)) == []


def test_zero_of_a_coarse_meter_is_a_small_resistance_and_that_of_a_fine_one_is_none() -> None:
    zero = with_cell("bonds/lid", "value", "0 Ω")
    assert unlikely_in(zero) == ["test bonds"]
    assert unlikely_in({**zero, "Q1: {kind: micro-ohmmeter, accuracy: 0.5 % + 1 µΩ": "Q1: {kind: micro-ohmmeter, "
                        "accuracy: 0.5 % + 20 mΩ"}) == []  # fmt: skip


@pytest.mark.parametrize(
    ("point", "key", "number"),
    [
        ("damp/room", "value", "-5 %"),
        ("damp/room", "value", "120 %"),
        ("acid/P5", "under", "-300 °C"),
        ("probes at rest/N2", "under", "-274 °C"),
        ("acid/P5", "value", "2.5 g/cm³"),
        ("acid/P5", "value", "0.5 g/cm³"),
        ("rest times/P5", "value", "-1 h"),
        ("probe times/N1", "value", "-3 s"),
    ],
)
def test_a_number_that_nothing_of_its_kind_has_is_refused(point: str, key: str, number: str) -> None:
    with pytest.raises(InputProblems) as raised:
        findings_in(with_cell(point, key, number), Gate.RELEASE)
    assert number in str(raised.value)


@pytest.mark.parametrize(
    ("old", "new", "subject"),
    [
        ("joints", "0.5 µΩ", "resistance of joints"),
        ("modules", "0.2 mΩ", "resistance of modules"),
        ("modules", "200 mΩ", "resistance of modules"),
    ],
)
def test_a_resistance_far_from_what_is_drawn_is_unlikely(old: str, new: str, subject: str) -> None:
    """The pack draws modules of 10 mΩ and joints of 80 µΩ: a tenth and ten times are 1 mΩ, 100 mΩ and 8 µΩ."""
    change = {"P5: [M-1004, A, stick, 12.6]": f"P5: {{serial: M-1004, plus at: A, type: stick, rest: 12.6 V, "
              f"resistance: {{is: {new}, with: L2}}}}"}  # fmt: skip
    joint = next(line.strip() for line in TEXT.splitlines() if line.strip().startswith("B1/P1: ["))
    if old == "joints":
        cells = joint.split(", ")
        change = {joint: ", ".join([cells[0], new.partition(" ")[0], *cells[2:]])}
    assert unlikely_in(change) == [subject]


def test_a_voltage_that_must_be_small_is_one_whichever_way_round_the_leads_are() -> None:
    for number, broken in (("-400 V", True), ("400 V", True), ("-2 V", False), ("2 V", False)):
        found = findings_in(with_cell("letting down/5 s", "value", number), Gate.RELEASE)
        assert ("output-stays-charged" in {f.rule for f in found if f.outcome is Outcome.BROKEN}) is broken


def test_a_record_without_numbers_has_no_row_of_them() -> None:
    layout = file_named("godwit-8.yaml")
    pack = read_pack(parse_document(layout.read_text("utf-8"), layout.name))
    blank = "record: 1\nlayout: godwit-8.yaml\nof: {name: godwit-8, revision: 1, pack: SK-1}\n"
    record = read_record(parse_document(blank, "blank.yaml"), pack)
    assert build_tables(["recorded"], pack, record) == {"recorded": ()}


@pytest.mark.parametrize(
    ("used", "asked", "is_one"),
    [
        ("Micro ohmmeter, four leads", "micro-ohmmeter", True),
        ("multimeter", "micro-ohmmeter", False),
        ("micro-ohmmeter", "ohmmeter", True),
        ("Multimeter", "ohmmeter", True),
        ("multimeter", "voltmeter", True),
        ("voltmeter", "multimeter", False),
        ("vernier calliper", "caliper", True),
        ("steel rule", "caliper", False),
        ("infrared thermometer", "thermometer", True),
        ("charger", "load tester", False),
    ],
)
def test_an_instrument_is_of_the_kind_that_is_asked_or_of_another(used: str, asked: str, is_one: bool) -> None:
    assert is_of_kind(used, asked) is is_one


def test_an_instrument_that_cannot_read_the_quantity_is_told_at_the_reading_and_not_as_another_kind() -> None:
    found = findings_in(with_cell("bonds/lid", "with", "C1"), Gate.RELEASE)
    about = {f.rule: f.outcome for f in found if f.subject == "bonds/lid"}
    assert about == {"bond-resistance-high": Outcome.UNPROVEN}
