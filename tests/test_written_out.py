"""Cells and rows in braces with a time, person and instrument of their own; and what is looked at a second time."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from packcheck.files.document import parse_document
from packcheck.model.opening import Text, open_bytes
from packcheck.model.record.model import Amended, Record

FOLDER = Path(__file__).parent / "bad" / "record"
LAYOUT = Text((FOLDER / "bench-8.yaml").read_bytes(), "bench-8.yaml")
HEAD = """record: 1
layout: bench-8.yaml
of: {name: bench-8, revision: 2, pack: BN-1}
people: {MK: fitter, TO: second person}
instruments:
  V1: {kind: multimeter, accuracy: 0.03 % + 2 mV, due: 2027-02-01}
  W1: {kind: click wrench, range: 2 N·m to 10 N·m, accuracy: 6 %, due: 2027-01-15}
  R1: {kind: micro-ohmmeter, accuracy: 0.5 % + 1 µΩ, due: 2027-01-15}
"""


def read(body: str) -> Record:
    record = open_bytes((HEAD + body).encode(), "record.yaml", LAYOUT).record
    assert record is not None
    return record


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize("body", [
    "joints:\n  B1/P1: {torque: {is: 4.5 N·m, at: 2026-10-05 11:20, by: MK, with: W1},"
    " resistance: {is: 82 µΩ, at: 2026-10-05 12:10, by: TO, with: R1}}\n",
    "joints:\n  columns: [torque N·m, resistance µΩ]\n  taken: {at: 2026-10-05 11:20, by: MK, with: W1}\n"
    "  B1/P1: [4.5, {is: 82, at: 2026-10-05 12:10, by: TO, with: R1}]\n",
    "joints:\n  taken: {at: 2026-10-05 12:10, with: {torque: W1, resistance: R1}}\n"
    "  B1/P1: {torque: {is: 4.5 N·m, at: 2026-10-05 11:20, by: MK}, resistance: 82 µΩ, by: TO}\n",
])  # fmt: skip
def test_each_cell_may_have_been_taken_by_another_person_at_another_time(body: str) -> None:
    joint = read(body).joints["B1/P1"]
    torque, resistance = joint.torque_n_m, joint.resistance_ohm
    assert torque is not None
    assert resistance is not None
    assert (torque.value, torque.at, torque.by, torque.instrument) == (4.5, at("2026-10-05 11:20"), "MK", "W1")
    assert (resistance.at, resistance.by, resistance.instrument) == (at("2026-10-05 12:10"), "TO", "R1")
    assert resistance.value == pytest.approx(82e-6)
    assert resistance.high - resistance.value == pytest.approx(0.005 * 82e-6 + 1e-6)


def test_a_cell_in_braces_that_is_none_was_not_recorded() -> None:
    joint = read("joints:\n  B1/P1: {torque: {is: none, at: 2026-10-05 11:20, by: MK, with: W1}, mark: white}\n")
    assert joint.joints["B1/P1"].torque_n_m is None
    assert joint.joints["B1/P1"].mark == "white"


def test_a_word_may_have_a_time_and_more_beside_it() -> None:
    record = read(
        "modules:\n  P1: {is: as drawn, serial: M-1, rest: {is: 7.921 V, at: 2026-10-05 09:00, with: V1}}\n"
        "  P2: {is: none}\n  P3: {is: not fitted, at: 2026-10-05 09:00, by: MK}\n"
        "bars:\n  B1: {is: as drawn, condition: sound, at: 2026-10-05 10:00, by: MK}\n"
        "  B3: {lands: {is: [P3.A, P4.A], at: 2026-10-05 10:20}, condition: {is: bent, at: 2026-10-05 10:30}}\n"
        "covers:\n  CA: {is: fitted, screws: 6, at: 2026-10-05 13:00, by: TO}\n"
        "caps:\n  P1.A: {is: on, at: 2026-10-05 12:30, by: MK}\n"
    )
    first, second, third = (record.modules[name] for name in ("P1", "P2", "P3"))
    assert (first.fitted, first.plus, first.serial) == (True, "A", "M-1")
    assert (second.fitted, third.fitted) == (None, False)
    assert record.conductors["B1"].lands == ("P1.A", "P2.A")
    assert record.conductors["B1"].at == at("2026-10-05 10:00")
    assert record.conductors["B3"].at == at("2026-10-05 10:20")
    assert (record.covers["CA"].fitted, record.covers["CA"].screws) == (True, 6)
    assert record.covers["CA"].at == at("2026-10-05 13:00")
    assert record.caps == {"P1.A": True}


def test_the_clamp_is_as_old_as_the_last_thing_read_of_it() -> None:
    clamp = read(
        "clamp: {length: {is: 160.2 mm, at: 2026-10-05 10:00}, torque: {is: 6.0 N·m, at: 2026-10-05 10:20}}\n"
    ).compression
    assert clamp.at == at("2026-10-05 10:20")
    assert clamp.length_mm is not None
    assert clamp.length_mm.value == pytest.approx(160.2)


AGAIN = "again:\n  - {{at: 2026-10-05 13:05, by: TO, {}, why: put right}}\n"


@pytest.mark.parametrize(("first", "again", "lands", "told"), [
    ("{lands: [P2.A, P3.A], condition: sound}", "lands: [P1.A, P2.A]", ("P1.A", "P2.A"), "P2.A, P3.A"),
    ("{lands: [P2.A, P3.A], condition: sound}", "is: as drawn", ("P1.A", "P2.A"), "told by its cells"),
    ("not fitted", "is: as drawn", ("P1.A", "P2.A"), "not fitted"),
    ("not fitted", "lands: [P1.A, P2.A]", ("P1.A", "P2.A"), "not fitted"),
    ("as drawn", "lands: [P1.A, P3.A]", ("P1.A", "P3.A"), "as drawn"),
    ("as drawn", "is: not fitted", None, "as drawn"),
])  # fmt: skip
def test_a_bar_that_was_moved_lands_where_it_was_seen_last(
    first: str, again: str, lands: tuple[str, ...] | None, told: str
) -> None:
    record = read(f"bars:\n  B1: {first}\n  B3: as drawn\n" + AGAIN.format(f"conductor: B1, {again}"))
    assert record.conductors["B1"].lands == lands
    assert record.conductors["B1"].at == (at("2026-10-05 13:05"))
    assert record.conductors["B3"].lands == ("P3.A", "P4.A")
    assert [(one.subject, one.first, one.by, one.why) for one in record.amended] == [("B1", told, "TO", "put right")]


def test_one_of_a_range_is_looked_at_again_and_the_others_stay() -> None:
    record = read("modules:\n  P1..P4: as drawn\n" + AGAIN.format("module: P3, plus at: B"))
    assert [record.modules[name].plus for name in ("P1", "P2", "P3", "P4")] == ["A", "B", "B", "B"]
    (again,) = record.amended
    expected = Amended("P3", "plus at", "as drawn", "B", at("2026-10-05 13:05"), "TO", "put right")
    assert replace(again, origin=None) == expected


def test_what_is_looked_at_again_leaves_the_time_of_the_rest() -> None:
    record = read(
        "bars:\n  B1: {lands: [P1.A, P2.A], condition: bent, at: 2026-10-05 10:00}\n"
        + AGAIN.format("conductor: B1, condition: sound")
    )
    assert record.conductors["B1"].condition == "sound"
    assert record.conductors["B1"].at == at("2026-10-05 10:00")


@pytest.mark.parametrize(("body", "again", "seen"), [
    ("tools:\n  spanner-8: {out: 2, in: 1}\n", "tool: spanner-8, in: 2", lambda r: r.tools["spanner-8"].back == 2),
    ("parts:\n  nut-m5: {issued: 40, fitted: 38, returned: 1}\n", "part: nut-m5, returned: 2",
     lambda r: (r.parts["nut-m5"].issued, r.parts["nut-m5"].returned) == (40, 2)),
    ("caps:\n  P1.A: off\n", "cap: P1.A, is: on", lambda r: r.caps["P1.A"] is True),
    ("covers:\n  CA: {screws: 5}\n", "cover: CA, screws: 6", lambda r: r.covers["CA"].screws == 6),
    ("taps:\n  T1: {on: P4.A}\n", "tap: T1, is: as drawn", lambda r: r.taps["T1"] == r.pack.taps["T1"].node),
    ("devices:\n  F1: {rating: 80 A}\n", "device: F1, rating: 60 A", lambda r: r.devices["F1"].rating_a == 60),
    ("joints:\n  B1/P1: {recheck: moved}\n", "joint: B1/P1, recheck: held",
     lambda r: r.joints["B1/P1"].recheck == "held"),
])  # fmt: skip
def test_everything_that_can_be_told_can_be_told_again(body: str, again: str, seen: object) -> None:
    assert callable(seen)
    assert not seen(read(body))
    record = read(body + AGAIN.format(again))
    assert seen(record)
    assert len(record.amended) == 1


def test_the_reader_of_files_takes_is_and_on_as_words() -> None:
    root = parse_document("caps:\n  P1.A: {is: on}\n", "one.yaml").root
    assert root["caps"]["P1.A"] == {"is": "on"}
