"""The laws of judging, on generated packs and records, clean and faulty.

Less evidence and wider readings never make anything met; other names and another order change nothing.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import pytest
from faulty_builds import TABLES, Build, Fault, above_advice, judged, shipped_rules
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from workshop import Data, grouped_layout, pack_of, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.files.problems import InputProblems
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Facts
from packcheck.rules.compile import CompiledRule, compile_rule
from packcheck.rules.findings import Gate, Outcome, Verdict

LAYOUTS = {
    "stick 5": lambda: stick_layout(5),
    "stick 6": lambda: stick_layout(6),
    "groups 4x3": lambda: grouped_layout(4, 3),
    "groups 4x2": lambda: grouped_layout(4, 2),
    "trays 2x3": lambda: trayed_layout(3),
    "rack 2x4": lambda: rack_layout([4, 4]),
}
ONLY_IN_THE_RECORD = ("tools", "readings", "X1")
"""What the layout does not ask for by name: a tool taken out, a reading, a bar beyond the layout.

A record without the row is like one of a build in which nobody took that tool, made that reading or fitted that bar.
"""


def written_wrong(b: Build, column: int) -> Iterator[Fault]:
    """Of a sound pack, one module's facing (1) or rest voltage (3) was written down wrong."""
    for name, row in b.clean["modules"].items():
        if name not in ("columns", "taken"):
            wrong = b.pack.positions[name].minus if column == 1 else round(row[3] * 3, 3)
            changed = [*row[:column], wrong, *row[column + 1 :]]
            yield Fault(name, {"modules": {name: changed}}, (), only_on_paper=True)


KINDS = (
    Build.modules_reversed, Build.bars_missing, Build.bars_moved, Build.bar_ends_moved, Build.strays,
    Build.bars_doubled, Build.modules_bypassed, Build.modules_left_out, Build.mains_swapped, Build.stack_mirrored,
    lambda b: b.cells("joints", "torque N·m", 3.2, ""), lambda b: b.cells("joints", "resistance µΩ", 310, ""),
    lambda b: written_wrong(b, 1), lambda b: written_wrong(b, 3), lambda b: b.ledger((1, 0, 0, 0), ""),
    lambda b: b.rows("covers", "not fitted", ""),
    lambda b: b.cells("modules", "rest V", lambda v: round(v * 1.3, 3), ""), lambda b: b.rows("tools", [2, 1], ""),
)  # fmt: skip
LAW = settings(deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
Outcomes = dict[tuple[str, str], Outcome]


@cache
def build(name: str) -> Build:
    return Build(LAYOUTS[name](), release=True)


@cache
def faults(name: str) -> list[Fault]:
    return [fault for kind in KINDS for fault in kind(build(name))]


@dataclass(frozen=True)
class Case:
    """A build and what was recorded of it: clean, or one fault told honestly or told as drawn."""

    layout: str
    fault: int
    is_honest: bool

    @property
    def build(self) -> Build:
        return build(self.layout)

    @property
    def data(self) -> Data:
        if self.fault < 0:
            return self.build.clean
        fault = faults(self.layout)[self.fault]
        return self.build.told_honestly(fault) if self.is_honest else self.build.told_as_drawn(fault)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    layout = draw(st.sampled_from(sorted(LAYOUTS)))
    return Case(layout, draw(st.integers(-1, len(faults(layout)) - 1)), draw(st.booleans()))


def outcomes_of(record: Record) -> Outcomes:
    """Return how each rule, of every gate, comes out on each subject."""
    return outcomes_in(build_facts(record.pack, record))


def outcomes_in(facts: Facts) -> Outcomes:
    """Return the same of facts that have been built."""
    found: Outcomes = {}
    for compiled in compiled_rules():
        for row in facts.get(compiled.rule.each, ()):
            found[compiled.rule.name, row.subject] = compiled.answer(compiled.table.values_of(row)).outcome
    return found


@cache
def compiled_rules() -> tuple[CompiledRule, ...]:
    return tuple(compile_rule(rule, TABLES[rule.each]) for rule in shipped_rules())


NOT_LEFT_OUT = ("state", "between", "and", "value", "kind")


def evidence_in(record: Data) -> Iterator[tuple[Any, ...]]:
    """Yield the way to everything that can be left out of a record: sections, rows, cells, and what is said of them."""
    for section, table in record.items():
        if section in ("record", "layout", "of", "people"):
            continue
        yield (section,)
        for name, row in table.items() if isinstance(table, dict) else ():
            if name == "columns":
                continue
            if name != "taken":
                yield section, name
            if isinstance(row, list) and section != "readings":
                yield from ((section, name, index) for index in range(len(row)))
            elif isinstance(row, dict):
                yield from ((section, name, key) for key in row if key not in NOT_LEFT_OUT)


def without(record: Data, way: tuple[Any, ...]) -> Data:
    """Return the record with one thing left out."""
    key, *rest = way
    if not rest:
        return {name: value for name, value in record.items() if name != key}
    if isinstance(record, list):
        raise TypeError("a cell has no cells")
    inner = record[key]
    if isinstance(inner, list):
        return {**record, key: ["none" if index == rest[0] else cell for index, cell in enumerate(inner)]}
    return {**record, key: without(inner, tuple(rest))}


def assert_nothing_became_met(before: Outcomes, after: Outcomes) -> None:
    became = {key: before.get(key) for key, outcome in after.items()
              if outcome is Outcome.MET and before.get(key) is not Outcome.MET}  # fmt: skip
    assert not became, became


@pytest.mark.parametrize("column", [1, 3])
@pytest.mark.parametrize("layout", ["groups 4x2", "groups 4x3"])
def test_a_member_that_nobody_recorded_confirms_nothing_about_its_group(layout: str, column: int) -> None:
    """Written wrong, a member's facing or voltage breaks rules; left out, it must not leave them met."""
    b = build(layout)
    faults = list(written_wrong(b, column))
    assert len(faults) == len(b.pack.positions)
    for fault in faults:
        told = b.told_honestly(fault)
        less = without(told, ("modules", fault.place, column))
        before, after = record_of(told, b.pack), record_of(less, b.pack)
        assert_nothing_became_met(outcomes_of(before), outcomes_of(after))
        assert judged(after).verdict is not Verdict.NO_RULE_BROKEN


@given(cases(), st.data())
@settings(LAW, max_examples=60)
def test_removing_evidence_never_turns_anything_into_met_nor_a_verdict_into_no_rule_broken(
    case: Case, data: st.DataObject
) -> None:
    record, pack = case.data, case.build.pack
    ways = [way for way in evidence_in(record) if not set(way) & set(ONLY_IN_THE_RECORD)]
    less = record
    for way in data.draw(st.lists(st.sampled_from(ways), min_size=1, max_size=3, unique=True)):
        less = without(less, way) if _is_there(less, way) else less
    try:
        after = record_of(less, pack)
    except InputProblems:
        return  # a record that no longer can be read is no pass either
    before = record_of(record, pack)
    assert_nothing_became_met(outcomes_of(before), outcomes_of(after))
    if judged(after).verdict is Verdict.NO_RULE_BROKEN:
        assert judged(before).verdict is Verdict.NO_RULE_BROKEN


def _is_there(record: Any, way: tuple[Any, ...]) -> bool:
    for key in way:
        if isinstance(record, list):
            return True
        if key not in record:
            return False
        record = record[key]
    return True


@given(st.sampled_from(sorted(LAYOUTS)), st.data())
@settings(LAW, max_examples=30)
def test_removing_readings_of_a_clean_build_makes_nothing_met_and_of_a_faulty_one_never_gives_a_clean_verdict(
    layout: str, data: st.DataObject
) -> None:
    number = data.draw(st.integers(-1, len(faults(layout)) - 1))
    case = Case(layout, number, data.draw(st.booleans()))
    record = case.data
    names = [name for name in record["readings"] if name not in ("columns", "taken")]
    gone = data.draw(st.sets(st.sampled_from(names), min_size=1))
    less = {**record, "readings": {name: row for name, row in record["readings"].items() if name not in gone}}
    before, after = record_of(record, case.build.pack), record_of(less, case.build.pack)
    assert_nothing_became_met(outcomes_of(before), outcomes_of(after))
    if judged(after).verdict is Verdict.NO_RULE_BROKEN:
        assert judged(before).verdict is Verdict.NO_RULE_BROKEN


WIDER = {
    "V1": ["1 % + 20 mV", "30 %", "4 V"],
    "W1": ["12 %", "50 %"],
    "R1": ["10 % + 5 µΩ", "90 %"],
    "L1": ["0.4 mm", "2 mm"],
}


@given(cases(), st.data())
@settings(LAW, max_examples=30)
def test_widening_an_uncertainty_never_turns_broken_or_undecided_into_met(case: Case, data: st.DataObject) -> None:
    record, pack = case.data, case.build.pack
    chosen = data.draw(st.sets(st.sampled_from(sorted(WIDER)), min_size=1))
    wider = {name: {"accuracy": data.draw(st.sampled_from(WIDER[name]))} for name in sorted(chosen)}
    instruments = {name: {**spec, **wider.get(name, {})} for name, spec in record["instruments"].items()}
    before = record_of(record, pack)
    after = record_of({**record, "instruments": instruments}, pack)
    assert_nothing_became_met(outcomes_of(before), outcomes_of(after))
    if judged(after).verdict is Verdict.NO_RULE_BROKEN:
        assert judged(before).verdict is Verdict.NO_RULE_BROKEN


@given(cases(), st.randoms(use_true_random=False))
@settings(LAW, max_examples=30)
def test_other_names_and_another_order_change_nothing(case: Case, random_: random.Random) -> None:
    layout, record, pack = case.build.layout, case.data, case.build.pack
    names = dict(zip("PBWKFGD", random_.sample([*"PBWKFGDQYH", "Zed"], 7), strict=True))
    renamed_pack = pack_of(shuffled(renamed(layout, names), random_, LAYOUT_ORDER_COUNTS))
    renamed_record = record_of(shuffled(renamed(record, names), random_, ("of",)), renamed_pack)
    before = Counter((r, key(s, names), o.value) for (r, s), o in outcomes_of(record_of(record, pack)).items())
    after = Counter((r, key(s, {}), o.value) for (r, s), o in outcomes_of(renamed_record).items())
    assert after == before, (after - before, before - after)
    one, other = judged(record_of(record, pack), Gate.RELEASE), judged(renamed_record, Gate.RELEASE)
    assert one.verdict is other.verdict
    assert sorted((f.rule, key(f.subject, names)) for f in above_advice(one)) == sorted(
        (f.rule, key(f.subject, {})) for f in above_advice(other))  # fmt: skip


LAYOUT_ORDER_COUNTS = ("positions", "series", "taps", "faces", "posts", "outside")
"""Sections of a layout whose order says something: which position is beside which, which taps are neighbours."""


def renamed(data: Any, names: dict[str, str]) -> Any:
    """Return data in which every name made of a letter and a number (P1, B03, W5, T1-P2, G1a) has another letter."""
    if isinstance(data, dict):
        return {renamed(name, names): renamed(item, names) for name, item in data.items()}
    if isinstance(data, list):
        return [renamed(item, names) for item in data]
    if not isinstance(data, str) or data.startswith(("ISO ", "IEC ")):
        return data
    return re.sub(r"(?<![A-Za-z0-9])(?<![A-Za-z0-9]\.)([PBWKFGD])(?=\d)", lambda found: names[found[1]], data)


def key(subject: str, names: dict[str, str]) -> tuple[str, ...]:
    """Return the words of a subject, renamed, in an order that does not depend on names."""
    subject = re.sub(r"^.* to [^ ]*, (?=.* mm at )", "", subject)  # of gaps alike, the first stands for all
    return tuple(sorted(re.split(r"[ ,]+", renamed(subject, names) if names else subject)))


def shuffled(data: Any, random_: random.Random, kept: tuple[str, ...]) -> Any:
    """Return data with the entries of every mapping in another order, but for sections whose order says something."""
    if not isinstance(data, dict):
        return data
    items = [(name, item if name in kept else shuffled(item, random_, kept)) for name, item in data.items()]
    random_.shuffle(items)
    return dict(items)
