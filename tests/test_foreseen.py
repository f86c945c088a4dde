"""What a record predicts at every tap, block, half and in total, worked out by hand for a pack of 24 equal modules."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from near_misses import TOTAL, U, V, record, vector
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of, trayed_layout

from packcheck.app.cli import run
from packcheck.diagnosis.foreseen import Foreseen, foresee
from packcheck.facts.build import build_facts
from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file

READ_HALF = 0.0003 * V + 0.002
"""How far a module's reading is off: 0.03 % and 2 mV."""
DRIFT, SMALL = 0.005, 0.001


def at(found: tuple[Foreseen, ...], what: str, name: str = "", load_a: float = 0.0, state: str = "") -> Foreseen:
    (one,) = [f for f in found if f.spot.what == what and name in f.spot.name and f.load_a == load_a
              and state in f.state]  # fmt: skip
    return one


def test_blocks_taps_halves_and_total_at_rest() -> None:
    found = foresee(record(vector(), TOTAL))
    blocks = [one for one in found if one.spot.what == "block"]
    assert [one.seen.volts for one in blocks] == [pytest.approx(U)] * 12
    assert {round(one.seen.half, 6) for one in blocks} == {round(2 * (READ_HALF + DRIFT) + SMALL, 6)}
    taps = [one for one in found if one.spot.what == "tap" and one.seen.joined]
    assert [one.seen.volts for one in taps] == [
        pytest.approx(n * U) for n in (1, 2, 3, 4, 5, 6, 6, 7, 8, 9, 10, 11, 12)
    ]
    halves = [one for one in found if one.spot.what == "half"]
    assert [(one.spot.name, round(one.seen.volts, 4)) for one in halves] == [
        ("P12.B against P01.B", 95.04), ("P24.B against P13.B", 95.04),
    ]  # fmt: skip
    total = at(found, "total", state="plug in")
    assert total.seen.volts == pytest.approx(24 * V)
    assert total.seen.half == pytest.approx(24 * (READ_HALF + DRIFT) + SMALL)


def test_a_reading_stands_beside_what_it_is_of_whatever_it_was_called() -> None:
    found = foresee(record(vector(X4=0.0), TOTAL - 2 * V, more=["  turned: [P01.B, P12.B, -95.04, none]"]))
    reads = {one.read.probe.reading: one for one in found if one.read and one.spot.what != "tap"}
    assert set(reads) == {*(f"X{n}" for n in range(1, 13)), "total", "turned"}
    assert reads["total"].spot.what == "total", "from K1.1 to K2.2: what joins these to the string has next to no ohms"
    assert [name for name, one in sorted(reads.items()) if one.fits is False] == ["X4", "total"]
    assert reads["turned"].read is not None
    assert (reads["turned"].read.value, reads["turned"].fits) == (95.04, True)


def test_a_load_step_is_predicted_from_what_stands_in_the_way() -> None:
    """A block has two modules of 10 mΩ, a bar within and one beside it, each 20 µΩ with two joints of 80 µΩ."""
    sagged = [U - 20 * 0.0204] * 12
    found = foresee(record(vector(), TOTAL, loaded=sagged))
    blocks = [one for one in found if one.spot.what == "block" and one.load_a]
    assert len(blocks) == 12
    for one in blocks[1:5]:
        assert one.seen.volts == pytest.approx(U - 20 * (0.020 + 2 * 0.00018), abs=0.002)
        assert one.seen.half > 2 * (READ_HALF + DRIFT) + SMALL
        assert one.fits is True
    total = at(found, "total", load_a=20.0)
    assert total.seen.volts == pytest.approx(TOTAL - 20 * (0.24 + 22 * 0.00018), abs=0.1)
    assert total.read is None
    weak = foresee(record(vector(), TOTAL, loaded=[U - 20 * 0.0204 - (0.5 if n == 3 else 0) for n in range(12)]))
    assert [one.spot.name for one in weak if one.load_a and one.fits is False] == ["T04 against T03"]


def test_parts_that_nothing_joins_show_next_to_nothing() -> None:
    found = foresee(record(vector(), None, more=["  mains out: {between: K1.1, and: K2.2, value: 0.004 V}"]))
    one = at(found, "total", state="plug out")
    assert (one.seen.joined, one.seen.volts, one.fits) == (False, 0.0, None)


@pytest.mark.parametrize("layout", [grouped_layout(6, 3), rack_layout([4, 4]), trayed_layout(6)],
                         ids=["groups", "rack", "trays"])  # fmt: skip
def test_readings_of_clean_builds_of_other_shapes_lie_within(layout: dict[str, object]) -> None:
    pack = pack_of(layout)
    found = foresee(record_of(clean_record(pack), pack))
    assert sum(one.fits is True for one in found) >= 3
    assert not any(one.fits is False for one in found)


def test_the_facts_command_tells_it_and_a_check_does_not_work_it_out(tmp_path: Path) -> None:
    file = shipped_folder("layouts") / "skerry-24" / "sk-0443-bench-2.yaml"
    assert run(["facts", str(file), "--output", str(tmp_path / "f.sqlite")]) == 0
    with sqlite3.connect(tmp_path / "f.sqlite") as store:
        wrong = store.execute("select reading from predicted where fits = 0 and what != 'tap'").fetchall()
    assert wrong == [("X9",), ("half B",)]
    opened = open_file(file)
    assert "predicted" not in build_facts(opened.pack, opened.record)
