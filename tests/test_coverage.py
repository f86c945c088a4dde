"""What rules find of the library of faults on a small layout; what they would with one more reading, or never."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from functools import cache
from itertools import combinations
from pathlib import Path
from random import Random

import pytest
from faulty_builds import shipped_rules
from test_simulate import bench_of, layout_of
from workshop import stick_layout, to_yaml

from packcheck.app.teaching.coverage_page import render_coverage_page
from packcheck.app.teaching.coverage_text import render_coverage, render_coverage_json
from packcheck.facts.build import build_facts
from packcheck.facts.many_records import Refilled
from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.lessons.beside_sound import BesideSound
from packcheck.lessons.coverage import (
    ELSEWHERE,
    NOT,
    ONE,
    READING,
    RESULTS,
    RIGHT,
    Coverage,
    cheapest,
    cover,
    minutes_of,
)
from packcheck.lessons.trial import Trial, said, spoken
from packcheck.model.opening import Text, open_bytes
from packcheck.simulate.faults.fault import BELIEVED, MEASURED, WRITTEN
from packcheck.simulate.faults.library import BY_NAME, FAULTS, Placed, faulty_record
from packcheck.simulate.record_text import record_text
from packcheck.simulate.scribe import OPTIONAL

LAYOUT = Text(to_yaml(stick_layout(6)).encode(), "layout.yaml")


def page_of(coverage: Coverage) -> str:
    return render_coverage_page(coverage, open_bytes(*LAYOUT).pack, version="0")


@cache
def small() -> Coverage:
    seen: list[tuple[int, int]] = []
    found = cover(
        LAYOUT, (shipped_folder("rules"),), most=1, jobs=1, progress=lambda done, all_: seen.append((done, all_))
    )
    assert seen[-1] == (len(found.tried), len(found.tried))
    return found


def result_of(fault: str, variant: str) -> set[str]:
    return {one.result for one in small().tried if (one.fault, one.variant) == (fault, variant)}


def test_every_trial_has_one_result() -> None:
    found = small()
    assert set(found.counted) <= set(RESULTS)
    assert found.counted.total() == len(found.tried) > 120
    assert len(set(found.tried)) == len(found.tried)


@pytest.mark.parametrize(("fault", "variant", "results"), [
    ("module-turned", WRITTEN, {RIGHT, ONE}),
    ("module-turned", BELIEVED, {RIGHT}),
    ("bar-left-out", BELIEVED, {RIGHT}),
    ("nut-too-tight", BELIEVED, {NOT}),
    ("capacity-low", MEASURED, {READING}),
    ("self-discharge", MEASURED, {READING}),
    ("tool-left-in", MEASURED, {ONE}),
    ("electrolyte-leak", MEASURED, {NOT, ELSEWHERE}),
])  # fmt: skip
def test_what_is_found_and_what_is_not(fault: str, variant: str, results: set[str]) -> None:
    """A set wrench shows no over-torque, nobody asked for isolation here, a capacity shows only where it is read."""
    assert result_of(fault, variant) <= results
    assert result_of(fault, variant)


@pytest.mark.parametrize("seed", range(12))
def test_no_other_set_of_readings_finds_as_much_in_less_time(seed: int) -> None:
    """Against every one of the 2^9 sets, each counted by hand."""
    lot, minutes = Random(seed), minutes_of(open_bytes(*LAYOUT).pack)
    shown_by = [lot.sample(OPTIONAL, lot.randrange(4)) for _ in range(20)]
    worth = cheapest(shown_by, minutes)
    can_be = sum(1 for those in shown_by if those)
    assert sum(one.finds for one in worth) == can_be > 5
    costs = []
    for bits in range(2 ** len(OPTIONAL)):
        chosen = {name for i, name in enumerate(OPTIONAL) if bits >> i & 1}
        if sum(1 for those in shown_by if chosen.intersection(those)) == can_be:
            costs.append(sum(minutes[name] for name in chosen))
    assert sum(one.minutes for one in worth) == min(costs)


def test_the_reading_that_finds_most_for_its_time_comes_first() -> None:
    """5 faults in 2 min, then 1 more in 1 min, then 6 more in 8 min; what two of them find counts once."""
    shown_by = [("a",)] * 3 + [("b",)] * 6 + [("a", "b")] * 2 + [("c",)] + [()] * 4
    assert cheapest(shown_by, {"a": 2, "b": 8, "c": 1, "d": 1}) == (("a", 2, 5), ("c", 1, 1), ("b", 8, 6))
    assert cheapest([(), ()], {}) == ()


def test_on_a_small_pack_the_readings_find_what_the_trials_say() -> None:
    """Each set of readings against the results themselves: the set that is told is the cheapest that finds them all."""
    tried, minutes = small().tried, minutes_of(open_bytes(*LAYOUT).pack)
    takes = [one.takes for one in tried if one.result == READING]
    assert takes
    assert all(takes)
    assert not any(one.takes for one in tried if one.result != READING)
    enough = [
        sum(minutes[name] for name in chosen)
        for size in range(len(OPTIONAL) + 1)
        for chosen in combinations(OPTIONAL, size)
        if all(set(those) & set(chosen) for those in takes)
    ]
    assert sum(one.minutes for one in small().readings) == min(enough)


def test_text_json_and_page_tell_the_same() -> None:
    found = small()
    text, data = render_coverage(found), json.loads(render_coverage_json(found, version="0"))
    page = page_of(found)
    assert data["counts"] == {result: found.counted[result] for result in RESULTS}
    assert len(data["tried"]) == len(found.tried)
    for fault in {one.fault for one in found.tried if one.result == NOT}:
        assert f"{fault}, " in text
        assert f"{fault}, " in page
    assert "case-cracked: no column of a record tells of the case" in text
    assert "bar-cracked" in page
    assert all(one.reading in text for one in found.readings)


SOME = Random("beside the sound record").sample([f for f in FAULTS if f.is_expressible], 36)


@pytest.mark.parametrize("pack", ["skerry-24", "heron-2x15"])
def test_judging_what_differs_finds_what_judging_the_whole_record_does(pack: str) -> None:
    """Faults drawn by lot: what is said beyond the sound record, with the whole record written, read and judged."""
    trial = Trial(layout_of(pack), bench_of(pack), tuple(shipped_rules()))
    sound, beside, spoke = spoken(trial.of_sound("lot")), BesideSound(trial, "lot"), 0
    for fault in SOME:
        lot = Random(fault.name)
        for place in lot.sample(places := list(fault.places(bench_of(pack).build("lot"))), min(1, len(places))):
            data = faulty_record(trial.bench, "lot", [Placed(fault, place, lot.choice(fault.variants))])
            try:
                whole = spoken(trial.judged(record_text(data))) - sound
            except InputProblems:
                with pytest.raises(InputProblems):
                    beside.beyond(data)
                continue
            assert {said(finding) for finding in beside.beyond(data)} == whole, (fault.name, place)
            spoke += bool(whole)
    assert spoke > 15


def test_a_table_is_filled_again_where_what_it_reads_differs() -> None:
    """Against all tables of the second record filled anew, row by row; and what is alike is not filled again."""
    trial = Trial(layout_of("skerry-24"), bench_of("skerry-24"), tuple(shipped_rules()))
    records = []
    for name, place in (("", ""), ("nut-too-tight", "B05/P05"), ("module-turned", "P09"), ("cap-left-off", "P01.A")):
        placed = [Placed(BY_NAME[name], place, WRITTEN)] if name else []
        text = record_text(faulty_record(trial.bench, "3", placed))
        records.append(trial.record_in(parse_document(text, "record.yaml")))
    refilled = Refilled(records[0])
    kept = []
    for record in records:
        found = refilled.of(record)
        assert found == build_facts(record.pack, record)
        kept.append(sum(found[table] is refilled.facts[table] for table in found))
    assert kept[0] == len(refilled.facts) > kept[3] > kept[2] > 15


def test_a_record_is_no_layout(capsys: pytest.CaptureFixture[str]) -> None:
    from packcheck.app.cli import run

    record = Path(shipped_folder("layouts")) / "plover-16" / "clean-pl-0052.yaml"
    assert run(["coverage", str(record)]) in (2, 4)
    assert capsys.readouterr().err


@pytest.mark.skipif(sys.platform != "linux", reason="whether its processes are there is read from /proc")
def test_ctrl_c_ends_it_and_its_processes_at_once_and_in_one_sentence() -> None:
    layout = shipped_folder("layouts") / "tern-96" / "tern-96.yaml"
    program = (
        "import signal, sys\nsignal.signal(signal.SIGINT, signal.default_int_handler)\n"
        f"from packcheck.app.cli import main; main(['coverage', {str(layout)!r}, '--jobs', '2'])\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    end = time.monotonic() + 60
    while len(children.read_text().split()) < 2 and time.monotonic() < end:
        time.sleep(0.05)
    time.sleep(2)  # they are in the middle of a fault
    pressed = time.monotonic()
    os.killpg(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert (process.returncode, errors.splitlines()[-1]) == (130, "packcheck: stopped; nothing was judged")
    assert "Traceback" not in errors
    assert time.monotonic() - pressed < 8
