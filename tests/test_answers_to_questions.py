"""One more measurement on a case: what it shows by plain arithmetic, and that no answer names a fault."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest
from asked_cases import PACK, number, reads, shows, truth
from test_simulate import U, V, bench_of

from packcheck.simulate.asked.answer import OVER, answer
from packcheck.simulate.asked.question import KINDS, Question
from packcheck.simulate.asked.truth import Truth, truth_of
from packcheck.simulate.faults.library import FAULTS, Placed
from packcheck.simulate.measuring import load_a


def test_a_block_of_two_modules_and_one_with_a_module_turned() -> None:
    """Two of 7.92 V: 15.84 V; with one of them turned 0 V; leads exchanged, the same below zero."""
    assert shows(reads(truth(), "volts", "T02", "T01"), U)
    assert shows(reads(truth(), "volts", "T01", "T02"), -U)
    assert shows(reads(truth(lambda build: build.turned("P03")), "volts", "T02", "T01"), 0.0)
    post = truth(lambda build: build.turned("P03")).build.pack.positions["P03"]
    words = ("volts", f"P03.{post.plus}", f"P03.{post.minus}")
    assert shows(reads(truth(lambda build: build.turned("P03")), *words), -V)


def test_a_block_under_load_sags_by_current_times_resistance() -> None:
    """Two modules of 10 mΩ at I ampere: 15.84 V − 0.02 I, and what bars of some 10 µΩ take: less than 0.5 mΩ."""
    found = truth()
    amperes = load_a(found.build)
    text = reads(found, "loaded", "T02", "T01")
    value, off = number(text)
    assert text.endswith(f"at {amperes:g} A")
    assert U - 0.0205 * amperes - off <= value <= U - 0.02 * amperes + off


def test_a_plug_that_is_out_leaves_nothing_between_the_mains_and_one_that_is_bridged_the_whole() -> None:
    total = 24 * V
    assert shows(reads(truth(), "volts", "K1.1", "K2.2", state="plug in"), total)
    assert shows(reads(truth(), "volts", "K1.1", "K2.2", state="plug out"), 0.0)
    bridged = truth(lambda build: build.with_device("SD", stuck="closed"))
    assert shows(reads(bridged, "volts", "K1.1", "K2.2", state="plug out"), total)


def test_resistances_are_of_the_part_itself() -> None:
    found = truth(
        lambda build: build.with_joint("B02/P03", resistance_ohm=410e-6).with_body("B04", resistance_ohm=7e-5)
    )
    assert shows(reads(found, "resistance", "B02/P03"), 410)
    assert shows(reads(found, "resistance", "B04"), 70)
    assert shows(reads(found, "resistance", "P07"), 10)
    gone = truth(lambda build: build.with_body("B04", fitted=False).with_device("F1", stuck="open"))
    for name in ("B04", "B04/P04", "F1"):
        assert reads(gone, "resistance", name) == OVER, name


def test_a_switch_is_read_open_and_closed() -> None:
    """Sound: nothing open, its own resistance closed; welded: that twice; not seated: nothing twice."""
    ohm = truth().build.devices["SD"].resistance_ohm * 1e6
    for stuck, opened, closed in (("", False, True), ("closed", True, True), ("open", False, False)):
        told = reads(truth(lambda build, s=stuck: build.with_device("SD", stuck=s)), "resistance", "SD")  # type: ignore[misc]
        first, second = (part.split(" ", 1)[1] for part in told.replace(OVER, "over").split("; "))
        assert [first != "over", second != "over"] == [opened, closed]
        assert all(shows(part, ohm) for part in (first, second) if part != "over")


def test_a_joint_turns_on_at_its_own_torque() -> None:
    aim = truth().build.joints["B02/P03"].torque_n_m
    for share, word in ((1.0, "held"), (0.7, "moved"), (1.3, "held"), (0.0, "moved")):
        torque = aim * share
        text = reads(truth(lambda b, t=torque: b.with_joint("B02/P03", torque_n_m=t)), "torque", "B02/P03")  # type: ignore[misc]
        assert text.startswith(word)
        assert abs(float(text.partition("turns on at ")[2].split()[0]) - torque) <= 0.06 * aim


def test_modules_one_by_one() -> None:
    found = truth(lambda build: build.with_module("P09", capacity_ah=4.0, mass_g=1023.0, loses_v_day=0.1))
    assert shows(reads(found, "capacity", "P09"), 4.0)
    assert shows(reads(found, "mass", "P09"), 1023)
    today, _, later = reads(found, "rest", "P09").partition("; after 9 days ")
    assert shows(today, V)
    assert abs(float(later.removesuffix(" V")) - (V - 0.9)) < 0.01, "nine days of a tenth of a volt"


def test_isolation_of_one_leak_by_the_divider() -> None:
    """Leak of 20 kΩ at the negative pole against the 60 MΩ of the dry other one: 190.08 V × 20 / 60,000 = 0.063 V."""
    found = truth(lambda build: replace(build, leaks=(("K2.2", 20e3),)))
    told = dict(part.rsplit(" ", 2)[:2] for part in reads(found, "isolation").split("; "))
    assert float(told["poles"]) == pytest.approx(24 * V, rel=1e-3)
    assert float(told["minus to chassis"]) == pytest.approx(24 * V * 20e3 / 60e6, abs=0.003)
    assert float(told["plus to chassis"]) == pytest.approx(24 * V, rel=5e-3)


def test_what_eyes_see() -> None:
    stray = truth(lambda build: replace(build, stray={"X1": ("P05.A", "P06.A")}))
    assert "no list has" in reads(stray, "look", "P05.A")
    assert "no list has" not in reads(truth(), "look", "P05.A")
    assert reads(truth(lambda build: build.with_module("P05", fitted=False)), "look", "P05") == "no module"
    assert (
        reads(truth(lambda build: replace(build, covers=dict.fromkeys(build.covers, False))), "look", "CA")
        == "not there"
    )
    assert reads(truth(), "count", "modules") == "24 fitted"
    assert reads(truth(lambda b: b.with_device("F1", rating_a=500.0)), "label", "F1").count("500 A") == 1


def some_questions(pack: str, place: str) -> Iterator[Question]:
    """Yield questions of every kind, all of those about a place, of others the first, the last and the middle one."""
    bench, parts = bench_of(pack), re.split(r", |/", place)
    parts += [tap.name for tap in bench.pack.taps.values() if tap.connector in parts or "harness" in parts]
    for word, kind in KINDS.items():
        names = list(kind.names(bench))
        near = [n for n in names if any(n == part or n.startswith(f"{part}.") or n.startswith(f"{part}/")
                                        or n.endswith(f"/{part}") for part in (*parts, place))]  # fmt: skip
        few = [names[0], names[-1], names[len(names) // 2]] if names and word != "count" else names
        for name in dict.fromkeys((*near, *few)):
            others = (name,) if kind.count == 1 else (name, next(n for n in names if n != name))
            for state in bench.pack.states if kind.in_state else ("",):
                yield Question(word, others, state)


@cache
def sound(pack: str) -> Truth:
    return truth_of(bench_of(pack), "seen", (), ("capacity", "resistance"))


@pytest.mark.parametrize("pack", ["plover-16", "skerry-24"])
def test_every_fault_of_a_build_changes_some_answer_and_no_answer_names_it(pack: str) -> None:
    bench, tried = bench_of(pack), 0
    for fault in FAULTS:
        places = fault.places(bench.build("places")) if fault.is_expressible else ()
        if not places:
            continue
        placed = Placed(fault, places[len(places) // 2], fault.variants[-1])
        found = truth_of(bench, "seen", [placed], ("capacity", "resistance"))
        told = {q: answer(found, q) for q in some_questions(pack, placed.place)}
        for text in told.values():
            assert fault.name not in text
            assert fault.title.lower() not in text.lower()
        tried += 1
        if fault.put:
            assert [q for q, text in told.items() if answer(sound(pack), q) != text], fault.name
    assert tried > 40


def test_one_question_has_one_answer_whatever_was_asked_before() -> None:
    questions = [q for q in some_questions(PACK, "P05") if q.kind != "papers"]
    placed = [Placed(FAULTS[0], "P05", FAULTS[0].variants[0])]
    first, second = (truth_of(bench_of(PACK), "one", placed) for _ in range(2))
    assert [answer(first, q) for q in questions] == [answer(second, q) for q in reversed(questions)][::-1]
    other = truth_of(bench_of(PACK), "two", placed)
    assert [answer(first, q) for q in questions] != [answer(other, q) for q in questions]


def test_papers_tell_what_the_record_left_out_and_keep_what_it_says() -> None:
    by_name = {fault.name: fault for fault in FAULTS}
    omitted = truth_of(bench_of(PACK), "p", [Placed(by_name["accuracy-not-told"], "V1", "measured")])
    assert "accuracy" not in omitted.written["instruments"]["V1"]
    assert "accuracy 0.03 % + 2 mV" in reads(omitted, "papers", "V1")
    overdue = truth_of(bench_of(PACK), "p", [Placed(by_name["instrument-overdue"], "V1", "measured")])
    assert f"due {overdue.written['instruments']['V1']['due']}" in reads(overdue, "papers", "V1")
