"""Isolation tests: both forms, the total, the place of a leak; against plain arithmetic and against ngspice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from near_misses import LAYOUT
from oracle.drawing import Part
from oracle.netlist import potentials

from packcheck.facts.build import build_facts
from packcheck.facts.of_isolation import isolation_of
from packcheck.files.problems import InputProblems
from packcheck.model.opening import Text, open_bytes
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Record
from packcheck.model.record.test_results import IsolationTest
from packcheck.physics.isolation import (
    isolation_un_ohm,
    isolation_us_ohm,
    leak_share,
    parallel_total_ohm,
    seen_by_loading_ohm,
    seen_through_meter_ohm,
)
from packcheck.rules.catalogue import Measured, Row, Value

METER = 10e6


def pole_readings(poles_v: float, minus_ohm: float, plus_ohm: float, meter_ohm: float = 1e15) -> tuple[float, float]:
    """Return what a meter shows from each pole to the chassis, one at a time: two resistances divide the voltage."""
    both = minus_ohm * plus_ohm / (minus_ohm + plus_ohm)
    shown = meter_ohm / (meter_ohm + both)
    return poles_v * minus_ohm / (minus_ohm + plus_ohm) * shown, poles_v * plus_ohm / (minus_ohm + plus_ohm) * shown


def with_resistor(poles_v: float, low_ohm: float, high_ohm: float, resistor: float, meter_ohm: float = 1e15) -> float:
    """Return the higher reading, that across ``high_ohm``, with a resistor and the meter beside it."""
    beside = 1 / (1 / high_ohm + 1 / resistor + 1 / meter_ohm)
    return poles_v * beside / (beside + low_ohm)


@pytest.mark.parametrize(("poles", "plus", "minus", "resistor"), [
    (400.0, 40e3, 1e6, 40e3), (400.0, 39e3, 2e6, 40e3), (360.0, 500e3, 500e3, 36e3), (190.08, 15e3, 4e6, 19e3),
])  # fmt: skip
def test_an_ideal_meter_gives_the_smaller_resistance_by_both_forms(
    poles: float, plus: float, minus: float, resistor: float
) -> None:
    low, high = pole_readings(poles, minus, plus)[1], pole_readings(poles, minus, plus)[0]
    after = with_resistor(poles, plus, minus, resistor)
    assert isolation_un_ohm(resistor, poles, high, after) == pytest.approx(min(plus, minus), rel=1e-6)
    assert isolation_us_ohm(resistor, low, high, after) == pytest.approx(min(plus, minus), rel=1e-6)


@pytest.mark.parametrize(("poles", "plus", "minus", "resistor", "us"), [
    (400.0, 40e3, 1e6, 40e3, 39_846.74), (360.0, 500e3, 500e3, 36e3, 487_804.88),
])  # fmt: skip
def test_a_meter_of_10_megohm_cancels_in_the_one_form_and_not_in_the_other(
    poles: float, plus: float, minus: float, resistor: float, us: float
) -> None:
    high, low = pole_readings(poles, minus, plus, METER)
    after = with_resistor(poles, plus, minus, resistor, METER)
    assert isolation_un_ohm(resistor, poles, high, after) == pytest.approx(plus, rel=1e-9)
    assert isolation_us_ohm(resistor, low, high, after) == pytest.approx(us, abs=0.01)


def test_the_total_is_both_resistances_in_parallel() -> None:
    high, low = pole_readings(190.08, 86.4e3, 45.96e3, METER)
    assert parallel_total_ohm(45.96e3, high, low) == pytest.approx(1 / (1 / 86.4e3 + 1 / 45.96e3))


@pytest.mark.parametrize("at", [0.0, 0.1, 0.347, 0.5, 0.9])
def test_the_place_of_a_single_leak_is_the_share_of_the_two_readings(at: float) -> None:
    low, high = leak_share(190.08 * at * 0.997, 190.08 * (1 - at) * 0.997, 0.005)
    assert low <= at <= high
    assert high - low <= 4 * 0.005 * at * (1 - at) + 1e-12


def record(row: str, layout: str | None = None) -> Record:
    """Return a record with one isolation test, its instruments of 0.5 % and of 0.1 %."""
    text = "\n".join([
        "record: 1", "layout: skerry-24.yaml", "of: {name: skerry-24, revision: 4, pack: SK-1}",
        "people: {MK: fitter}", "instruments:",
        "  V1: {kind: multimeter, accuracy: 0.5 %, input: 10 MΩ, due: 2027-02-01}",
        "  R1: {kind: ohmmeter, accuracy: 0.1 %, due: 2027-02-01}",
        "isolation:",
        "  taken: {at: 2026-10-05 14:00, by: MK, state: plug in, with: {poles: V1, minus to chassis: V1,"
        " plus to chassis: V1, resistor in: V1, resistor: R1, tester: V1}}",
        f"  whole pack: {row}", "",
    ])  # fmt: skip
    drawn = (layout or LAYOUT.read_text(encoding="utf-8")).encode()
    found = open_bytes(text.encode(), "record.yaml", Text(drawn, "skerry-24.yaml")).record
    assert found is not None
    return found


def fact_row(row: str, layout: str | None = None) -> Row:
    built = record(row, layout)
    return build_facts(built.pack, built)["isolation"][0]


def facts(row: str, layout: str | None = None) -> dict[str, Value]:
    return dict(fact_row(row, layout).values)


def written(poles: float, minus: float, plus: float, after: float | None, resistor: str = "19 kΩ") -> str:
    with_it = f", resistor: {resistor}, resistor in: {after:.3f} V" if after is not None else ""
    return (f"{{minus at: K2.2, plus at: K1.1, poles: {poles} V, minus to chassis: {minus:.3f} V,"
            f" plus to chassis: {plus:.3f} V{with_it}}}")  # fmt: skip


@pytest.mark.parametrize(("minus", "plus", "after", "un", "total", "modules"), [
    (91.38, 91.38, 4.302, 800e3, 400e3, {"P12", "P13"}),
    (65.80, 123.71, 48.057, 45.96e3, 30.0e3, {"P09"}),
    (107.84, 81.96, 60.302, 26.4e3, 15.0e3, {"P14"}),
    (63.28, 126.55, 74.406, 20.0e3, 13.33e3, {"P08", "P09"}),
])  # fmt: skip
def test_one_leak_two_leaks_and_leaks_at_the_poles(
    minus: float, plus: float, after: float, un: float, total: float, modules: set[str]
) -> None:
    """Arithmetic by hand for 190.08 V, a meter of 10 MΩ and 19 kΩ; the third and fourth are two leaks each."""
    found = facts(written(190.08, minus, plus, after))
    isolation, both = found["isolation_ohm"], found["total_ohm"]
    assert isinstance(isolation, Measured)
    assert isinstance(both, Measured)
    assert isolation.low <= un <= isolation.high
    assert both.low <= total <= both.high * 1.001
    assert isolation.high - isolation.low < 0.06 * un
    assert modules <= set(str(found["leak_at"]).replace(" and ", ", ").split(", ")) or ".." in str(found["leak_at"])


@pytest.mark.parametrize(("poles", "minus", "plus", "after"), [
    (190.08, -65.80, 123.71, 48.057), (190.08, -65.80, 123.71, -48.057), (-190.08, 65.80, -123.71, -48.057),
    (190.08, -47.52, 47.52, -0.180),
])  # fmt: skip
def test_which_lead_lay_on_the_chassis_changes_nothing(poles: float, minus: float, plus: float, after: float) -> None:
    """The negative pole reads below its chassis: its sign is right, and as good as none."""
    signed, plain = facts(written(poles, minus, plus, after)), facts(written(*map(abs, (poles, minus, plus, after))))
    assert isinstance(plain["isolation_ohm"], Measured)
    for column in ("isolation_ohm", "us_ohm", "total_ohm", "leak_at", "halves"):
        assert signed[column] == plain[column], column


def test_what_the_layout_asks_is_ohms_per_volt_times_the_voltage_at_rest() -> None:
    """24 modules at the middle of 7.5 V to 8.4 V are 190.8 V; 100 Ω/V of it are 19.08 kΩ."""
    assert facts(written(190.08, 65.8, 123.71, 48.057))["least_ohm"] == pytest.approx(19_080.0)
    silent = LAYOUT.read_text(encoding="utf-8").replace(
        "isolation: {at least: 100 Ω/V, workshop floor: 1 MΩ}", "isolation: {workshop floor: 1 MΩ}"
    )
    assert facts(written(190.08, 65.8, 123.71, 48.057), silent)["least_ohm"] is None
    assert facts(written(190.08, 65.8, 123.71, 48.057), silent)["least_known"] is False


HALF_A = "{minus at: P01.B, plus at: P12.B, state: plug out, poles: 95.04 V, "
HALF_B = "{minus at: P13.B, plus at: P24.B, state: plug out, poles: 95.04 V, "
GOOD = "minus to chassis: 23.76 V, plus to chassis: 23.76 V, resistor: 19 kΩ, resistor in: 0.090 V}"
LOW = "minus to chassis: 35 V, plus to chassis: 60 V, resistor: 19 kΩ, resistor in: 20 V}"


@pytest.mark.parametrize(("halves", "told"), [
    ("", "test P01.B to P12.B and P13.B to P24.B each by itself"),
    (f"  half A: {HALF_A}{LOW}", "test P13.B to P24.B by itself"),
    (f"  half A: {HALF_A}{LOW}\n  half B: {HALF_B}{GOOD}", "P01.B to P12.B leaks, and the rest does not: one leak"),
    (f"  half A: {HALF_A}{GOOD}\n  half B: {HALF_B}{GOOD}", "no part leaks by itself"),
    (f"  half A: {HALF_A}{LOW}\n  half B: {HALF_B}{LOW}", "two leaks or more, and the place between them is innocent"),
])  # fmt: skip
def test_the_halves_tell_one_leak_from_two(halves: str, told: str) -> None:
    """A good half of 40 MΩ, half of it by the meter: 95.04 V / 4 at each pole; a low one divides 35 to 60."""
    whole = written(190.08, 65.8, 123.71, 48.057)
    assert told in str(facts(f"{whole}\n{halves}" if halves else whole)["halves"])


@pytest.mark.parametrize(("row", "tested"), [
    (written(190.08, 65.8, 123.71, 48.057), True),
    (written(190.08, 65.8, 123.71, None), None),
    (f"{HALF_A}{GOOD}", None),
    (f"{HALF_A}{GOOD}\n  half B: {HALF_B}{GOOD}", True),
    ("{minus at: K2.2, plus at: K1.1, tester: 40 MΩ, state: plug in}", None),
])  # fmt: skip
def test_a_pack_is_tested_once_every_part_of_it_was_read_to_the_end(row: str, tested: bool | None) -> None:
    built = record(row)
    assert build_facts(built.pack, built)["pack"][0].values["isolation_tested"] is tested


def test_without_the_resistor_there_is_no_resistance() -> None:
    found = facts(written(190.08, 65.8, 123.71, None))
    assert (found["isolation_ohm"], found["us_ohm"], found["total_ohm"]) == (None, None, None)
    assert found["leak_at"] == ""


def test_a_reading_that_rises_with_the_resistor_in_shows_nothing_above_its_own_width() -> None:
    found = facts(written(190.08, 65.8, 123.71, 124.2))
    isolation = found["isolation_ohm"]
    assert isinstance(isolation, Measured)
    assert isolation.low == 0.0
    assert isolation.high < 400


@pytest.mark.parametrize(("places", "state", "refused"), [
    ("minus at: K2.2, plus at: K1.1", "plug in", True), ("minus at: K2.2, plus at: K1.1", "plug out", True),
    ("minus at: P02.A, plus at: P02.B", "loose", False),
])  # fmt: skip
def test_a_tester_is_refused_on_what_is_joined(places: str, state: str, refused: bool) -> None:
    assert facts(f"{{{places}, tester: 115 kΩ, state: {state}}}")["by_tester"] is refused


def test_no_test_lies_over_modules_that_nothing_joins() -> None:
    with pytest.raises(InputProblems, match="P01 and P24 with the modules loose"):
        record("{minus at: P01.B, plus at: P24.A, tester: 20 MΩ, state: loose}")


def test_a_test_without_its_poles_is_a_mistake() -> None:
    with pytest.raises(InputProblems, match="without its two poles"):
        record("{plus at: K1.1, poles: 190 V}")


def test_a_record_without_tests_has_no_rows() -> None:
    built = replace(record(written(190.08, 65.8, 123.71, None)), isolation={})
    assert build_facts(built.pack, built)["isolation"] == ()


@pytest.mark.ngspice
@pytest.mark.parametrize(("leak_ohm", "at_v"), [(30e3, 66.0), (400e3, 95.04), (5e3, 150.0)])
def test_readings_from_ngspice_give_back_the_leak(leak_ohm: float, at_v: float, tmp_path: Path) -> None:
    from spice import REASON_MISSING, may_be_skipped

    if may_be_skipped():
        pytest.skip(REASON_MISSING)
    poles = 190.08
    pack = [Part("low", "N", "M", 1e-3, at_v), Part("up", "M", "P", 1e-3, poles - at_v),
            Part("leak", "M", "C", leak_ohm)]  # fmt: skip
    (minus,) = potentials([*pack, Part("meter", "N", "C", METER)], [("C", "N")], tmp_path)
    (plus,) = potentials([*pack, Part("meter", "P", "C", METER)], [("P", "C")], tmp_path)
    higher, pair = ("N", ("C", "N")) if minus >= plus else ("P", ("P", "C"))
    both = [Part("meter", higher, "C", METER), Part("resistor", higher, "C", 19e3)]
    (after,) = potentials([*pack, *both], [pair], tmp_path)
    found = isolation_un_ohm(19e3, poles, max(minus, plus), after)
    assert parallel_total_ohm(found, max(minus, plus), min(minus, plus)) == pytest.approx(leak_ohm, rel=1e-3)
    low, high = leak_share(minus, plus, 0.0)
    assert low == high == pytest.approx(at_v / poles, rel=1e-3)


@pytest.mark.parametrize(("minus", "plus", "is_worked_out"), [(70.0, 120.08, True), (70.0, 121.5, True),
                                                              (180.0, 185.0, False), (100.0, 95.0, False)])  # fmt: skip
def test_readings_that_add_up_to_more_than_the_poles_prove_nothing(
    minus: float, plus: float, is_worked_out: bool
) -> None:
    """0.5 % of 70 V, 120 V and 190 V leave about 1.9 V open; 195 V between poles of 190 V no chassis can show."""
    found = facts(written(190.08, minus, plus, 60.0))
    assert (found["isolation_ohm"] is not None) is is_worked_out
    assert (found["total_ohm"] is not None) is is_worked_out


@pytest.mark.parametrize(("poles", "minus", "plus", "after", "told"), [
    (190.08, 65.8, 123.71, 130.0, "a resistor put in raises no reading"),
    (190.08, 65.8, 123.71, 0.0, "in a finer range or with a larger resistor"),
    (190.08, 0.0, 0.0, 1.0, "touches nothing"),
    (0.0, 0.0, 0.0, 0.0, "touches nothing"),
    (190.08, 180.0, 185.0, 60.0, "further from both poles"),
    (190.08, 65.8, 123.71, 60.0, ""),
])  # fmt: skip
def test_readings_that_no_pack_has_are_to_be_taken_again(
    poles: float, minus: float, plus: float, after: float, told: str
) -> None:
    """Voltages divide between leaks, meter and resistor: what is put in beside a leak only ever lowers them."""
    row = fact_row(written(poles, minus, plus, after))
    datum = row.missing.get("isolation_ohm")
    assert (row.values["isolation_ohm"] is None, datum is None) == (told != "", told == "")
    assert told in (datum.what if datum else "")


@pytest.mark.parametrize(("meter", "factor"), [(METER, 1.0), (1e9, 1.0), (METER, 1000.0)])
@pytest.mark.parametrize(("minus", "plus"), [(10e6, 10e6), (86.4e3, 46e3), (5e6, 30e3), (400e6, 300e6)])
def test_a_resistor_written_a_thousand_times_too_large_proves_no_isolation(
    minus: float, plus: float, factor: float, meter: float
) -> None:
    """Readings by plain division of voltages; the meter alone loads the leaks, and tells what the resistor may tell."""
    at_minus, at_plus = pole_readings(190.08, minus, plus, meter)
    low, high = sorted((minus, plus))
    after = with_resistor(190.08, low, high, 19e3, meter)
    test = IsolationTest("whole", "a", "b", *(within(v, 1e-4) for v in (190.08, at_minus, at_plus)),
                         within(19e3 * factor, 1e-3), within(after, 1e-4), meter_ohm=meter)  # fmt: skip
    found = isolation_of(test)
    if factor > 1:
        assert found is None
    else:
        assert found is not None
        assert found.low <= low <= found.high


def within(value: float, share: float) -> Entry:
    return Entry(value * (1 - share), value * (1 + share), value)


def test_a_meter_that_hangs_on_the_pole_reads_no_less_than_the_resistor_lets_it() -> None:
    """Half of 190 V each: nothing loads it, so 19 MΩ beside it takes no third of the reading away."""
    volts = (190.21, 95.1, 95.0)
    test = IsolationTest("whole", "a", "b", *(within(v, 3e-4) for v in volts), within(19e6, 1e-2), within(60, 3e-4))
    assert isolation_of(test) is None
    assert seen_through_meter_ohm(19e6, 95.1, 60) == pytest.approx(11.115e6)
    assert seen_by_loading_ohm(METER, *volts) == pytest.approx(5783, abs=1)
