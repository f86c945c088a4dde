"""Simulated builds: true to their layout, read by meters that keep to their papers, clean where nothing is wrong."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random
from statistics import fmean, pstdev

import pytest
from faulty_builds import shipped_rules
from scipy.stats import chi2

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text, open_bytes
from packcheck.rules.findings import Gate, Severity, Verdict
from packcheck.simulate.build import Build
from packcheck.simulate.circuit import Circuit, Element
from packcheck.simulate.elements import elements
from packcheck.simulate.measuring import volts_between
from packcheck.simulate.meters import Meter
from packcheck.simulate.record import write_record
from packcheck.simulate.record_text import record_text
from packcheck.simulate.scribe import OPTIONAL, Bench

PACKS = ("eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96")


def layout_of(name: str) -> Text:
    path = shipped_folder("layouts") / name / f"{name}.yaml"
    return Text(path.read_bytes(), path.name)


@cache
def bench_of(name: str) -> Bench:
    return Bench(open_bytes(*layout_of(name)).pack)


def judged(name: str, text: str) -> tuple[Verdict, list[str]]:
    report = check(text.encode(), "record.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=layout_of(name))
    above = [f"{f.rule} {f.outcome.value} {f.subject}" for f in report.judgement.findings
             if f.severity is not Severity.ADVISE]  # fmt: skip
    return report.judgement.verdict, above


@pytest.mark.parametrize("name", PACKS)
@pytest.mark.parametrize(("seed", "wanted"), [("1", ()), ("2", OPTIONAL)])
def test_a_record_of_a_sound_build_breaks_no_rule(name: str, seed: str, wanted: tuple[str, ...]) -> None:
    bench = bench_of(name)
    text = record_text(write_record(bench, seed, bench.build(seed), wanted=wanted))
    assert judged(name, text) == (Verdict.NO_RULE_BROKEN, [])


@pytest.mark.parametrize("name", ["plover-16", "skerry-24"])
def test_one_number_gives_one_record_byte_for_byte(name: str) -> None:
    texts = []
    for _ in range(2):
        bench = Bench(open_bytes(*layout_of(name)).pack)
        texts.append(record_text(write_record(bench, "41", bench.build("41"), wanted=OPTIONAL)))
    assert texts[0] == texts[1]
    other = record_text(write_record(bench, "42", bench.build("42"), wanted=OPTIONAL))
    assert other != texts[0]


def test_every_record_has_its_oddities() -> None:
    """A joint made again, a count made twice, a part scrapped, a wrench lent: none of them points at anything."""
    bench = bench_of("skerry-24")
    joints = set()
    for seed in "abcdef":
        record = write_record(bench, seed, bench.build(seed))
        again = [next(key for key in ("joint", "part") if key in entry) for entry in record["again"]]
        assert sorted(again) == ["joint", "part"]
        assert sum(row[3] for part, row in record["parts"].items() if part not in ("columns", "taken")) == 1
        assert record["clamp"]["taken"]["with"]["torque"] == "W2"
        joints.add(next(entry["joint"] for entry in record["again"] if "joint" in entry))
    assert len(joints) > 3, "where they lie is drawn by lot"


# -- the reference pack of 24 modules, of 7.92 V and 10 mΩ each: every number by plain arithmetic ----------------------

V, U, TOTAL = 7.92, 15.84, 190.08
TAPS = ["T00", "T01", "T02", "T03", "T04", "T05", "T06", "T06x", "T07", "T08", "T09", "T10", "T11", "T12"]


def even(build: Build) -> Build:
    """Return a build in which all modules are alike and joints have next to no resistance."""
    modules = {p: replace(m, emf_v=V, resistance_ohm=0.010) for p, m in build.modules.items()}
    joints = {n: replace(j, resistance_ohm=1e-9) for n, j in build.joints.items()}
    return replace(build, modules=modules, joints=joints)


def blocks(build: Build) -> list[float]:
    """Return what a meter shows of the twelve blocks, the seventh beyond the open disconnect."""
    circuit = Circuit(elements(build, ()))
    pairs = [(TAPS[i + 1], TAPS[i]) for i in range(13) if i != 6]
    return [round(volts_between(build, (), plus, minus, circuit), 2) for plus, minus in pairs]


def total(build: Build) -> float:
    return round(volts_between(build, ("SD",), "K1.1", "K2.2", Circuit(elements(build, ("SD",)))), 2)


@pytest.fixture
def sound() -> Build:
    return even(bench_of("skerry-24").build("even"))


def test_a_sound_pack(sound: Build) -> None:
    assert blocks(sound) == [U] * 12
    assert total(sound) == TOTAL


def test_one_module_turned_about(sound: Build) -> None:
    build = sound.turned("P09")
    assert blocks(build) == [U] * 4 + [0.0] + [U] * 7
    assert total(build) == 174.24


def test_a_block_turned_about(sound: Build) -> None:
    build = sound.turned("P09").turned("P10")
    assert blocks(build) == [U] * 4 + [-U] + [U] * 7
    assert total(build) == 158.40


def test_one_cell_shorted(sound: Build) -> None:
    build = sound.with_module("P09", emf_v=V * 5 / 6)
    assert blocks(build) == [U] * 4 + [14.52] + [U] * 7
    assert total(build) == 188.76


def test_neighbouring_taps_exchanged(sound: Build) -> None:
    build = replace(sound, taps={**sound.taps, "T03": sound.taps["T04"], "T04": sound.taps["T03"]})
    assert blocks(build) == [U, U, 2 * U, -U, 2 * U] + [U] * 7
    assert total(build) == TOTAL


def test_a_tap_on_another_post(sound: Build) -> None:
    same_face = replace(sound, taps={**sound.taps, "T03": "P08.B"})
    assert blocks(same_face) == [U, U, 31.68, 0.0] + [U] * 8
    other_face = replace(sound, taps={**sound.taps, "T03": "P07.A"})
    assert blocks(other_face) == [U, U, 23.76, 7.92] + [U] * 8


def test_an_open_tap_parts_a_right_sum_in_two(sound: Build) -> None:
    build = replace(sound, tap_ohm={"T03": float("inf")})
    read = blocks(build)
    assert read[2] != U
    assert read[:2] + read[4:] == [U] * 10
    assert 0 < read[2] < 2 * U


def test_a_bar_left_out_leaves_two_parts_with_nothing_between_them(sound: Build) -> None:
    build = sound.with_body("B05", fitted=False)
    assert blocks(build) == [U, U, 0.0] + [U] * 9
    assert total(build) == 0.0


@pytest.mark.parametrize("name", ["skerry-24", "plover-16", "eider-20"])
def test_blocks_are_read_a_second_time_under_a_load_where_contactors_let_one_be_drawn(name: str) -> None:
    bench = bench_of(name)
    readings = write_record(bench, "3", bench.build("3"), wanted=("load",))["readings"]
    loaded = {row: readings[row] for row in readings if row.endswith(" loaded")}
    contactors = [device for device in bench.pack.devices.values() if device.kind == "main contactor"]
    blocks = [row for row in readings if row.startswith("block ") and row not in loaded]
    assert blocks
    assert {*loaded} == ({f"{block} loaded" for block in blocks} if contactors else set())
    assert all(row["load"] for row in loaded.values())


def test_the_sag_under_a_load(sound: Build) -> None:
    """20 A through two modules of 10 mΩ take 0.40 V of each block, through a joint of 1 mΩ 0.02 V more."""
    closed = ("SD", "K1", "K2")
    build = sound.with_joint("B09/P09", resistance_ohm=1e-3)
    loaded = Circuit(elements(build, closed), drawn_a=("K1.2", "K2.1", 20.0))
    assert loaded.volts("P02.B", "P01.B") == pytest.approx(15.84 - 0.40, abs=1e-3)
    assert loaded.volts("P10.B", "P08.B") == pytest.approx(15.84 - 0.42, abs=1e-3)


# -- circuits and meters ---------------------------------------------------------------------------------------------


def test_a_bridge_of_resistors() -> None:
    """Kuphaldt, Lessons in Electric Circuits, vol. I, mesh current: 24 V, 150, 50, 100, 300, 250 Ω."""
    parts = [Element("battery", "0", "1", 1e-9, 24.0), Element("a", "1", "2", 150), Element("b", "1", "3", 50),
             Element("c", "2", "3", 100), Element("d", "2", "0", 300), Element("e", "3", "0", 250)]  # fmt: skip
    circuit = Circuit(parts)
    assert circuit.volts("2", "0") == pytest.approx(17.655, abs=5e-4)
    assert circuit.volts("3", "0") == pytest.approx(19.310, abs=5e-4)


def test_two_sources_and_what_nothing_joins() -> None:
    """28 V behind 4 Ω and 7 V behind 1 Ω over 2 Ω: 8 V (the same book, Millman's theorem)."""
    parts = [Element("x", "0", "1", 4, 28.0), Element("y", "0", "1", 1, 7.0), Element("z", "1", "0", 2)]
    circuit = Circuit([*parts, Element("apart", "p", "q", 1, 3.0)])
    assert circuit.volts("1", "0") == pytest.approx(8.0, abs=1e-12)
    assert circuit.volts("q", "p") == pytest.approx(3.0, abs=1e-12)
    assert circuit.volts("q", "0") is None


def test_noise_keeps_to_the_papers_of_the_meter() -> None:
    """No reading lies outside the stated accuracy; the scatter is that of 0.3 of the floor (chi-square, 99.9 %)."""
    meter, random = Meter(3e-4, 2e-3, 1.2e-4, 3, 50.0), Random(5)
    for true in (0.0, 3.3, 7.92, 49.9):
        off = [float(meter.shows(true, random)) - true for _ in range(400)]
        assert max(abs(error) for error in off) <= meter.half_width(true)
        assert fmean(off) == pytest.approx(1.2e-4 * true, abs=2e-4)
        spread = 400 * pstdev(off) ** 2 / ((0.3 * 2e-3) ** 2 + 1e-6 / 12)
        assert chi2.ppf(0.0005, 399) * 0.8 < spread < chi2.ppf(0.9995, 399)
    for true in (95.0, 190.08, 400.0):
        assert abs(float(meter.shows(true, random)) - true) <= meter.half_width(true)


@pytest.mark.parametrize(("name", "low", "high"), [("skerry-24", 0.139, 0.706), ("eider-20", 0.04, 0.07)])
def test_a_month_on_the_shelf_costs_what_is_published(name: str, low: float, high: float) -> None:
    """NiMH loses 13.9 % to 70.6 % of its charge a month (docslib.org/doc/2728881), lead-acid 4 % to 6 %."""
    slope = {"skerry-24": 0.12 * 6, "eider-20": 0.20 * 6}[name]
    for module in bench_of(name).build("9").modules.values():
        assert low * 0.8 <= 30 * module.loses_v_day / slope <= high


@pytest.mark.parametrize("name", PACKS)
def test_modules_of_one_delivery_are_alike(name: str) -> None:
    """Rest windows, at most 5 % spread of capacity, resistance within a third of what is drawn: common practice."""
    build = bench_of(name).build("3")
    kinds = build.pack.module_types
    for module in build.modules.values():
        kind = kinds[module.type]
        assert (kind.rest_v.low or 0) < module.emf_v < (kind.rest_v.high or 1e9)
        assert kind.resistance_ohm * 0.85 < module.resistance_ohm < kind.resistance_ohm * 1.4
    amounts = [module.capacity_ah for module in build.modules.values()]
    assert (max(amounts) - min(amounts)) / fmean(amounts) < 0.065
