"""What holds of every diagnosis: the truth is in the list, and more evidence never brings back what is excluded."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest
from diagnosed import cases, told_as_drawn
from faulty_builds import Build
from hypothesis import given, settings
from hypothesis import strategies as st
from workshop import Data, grouped_layout, rack_layout, stick_layout, trayed_layout

from packcheck.diagnosis.answer import diagnose, hypotheses
from packcheck.diagnosis.hypothesis import NOTHING
from packcheck.diagnosis.search import Excluded, Search, observe
from packcheck.diagnosis.worlds import Sight, World
from packcheck.model.record.model import Record

LAYOUTS: dict[str, Data] = {
    "string": stick_layout(12), "groups": grouped_layout(6, 3), "trays": trayed_layout(6), "rack": rack_layout([4, 4]),
}  # fmt: skip


@cache
def build_of(name: str) -> Build:
    return Build(LAYOUTS[name])


@cache
def faults_of(name: str) -> list:  # type: ignore[type-arg]
    return list(cases(build_of(name)))


shapes = st.sampled_from(sorted(LAYOUTS))
seeds = st.integers(0, 10_000)


@given(shape=shapes, seed=seeds)
@settings(max_examples=60, deadline=None)
def test_the_true_fault_is_in_the_list(shape: str, seed: int) -> None:
    faults = faults_of(shape)
    _, fault, is_true = faults[seed % len(faults)]
    found = diagnose(told_as_drawn(build_of(shape), fault, seed))
    assert any(is_true(fit.hypothesis) for fit in found.fits), fault.place


@given(shape=shapes, seed=seeds)
@settings(max_examples=25, deadline=None)
def test_a_clean_record_needs_no_fault_whatever_the_meter_leaves_open(shape: str, seed: int) -> None:
    found = diagnose(told_as_drawn(build_of(shape), None, seed))
    assert found.nothing_needed
    assert found.fits[0].hypothesis is NOTHING


def excluded(record: Record, among: Record) -> set[str]:
    """Return what a record's readings exclude, of the explanations of another record of the same pack."""
    sight, everything = Sight(record), observe(among)
    search = Search(sight, observe(record))
    search.probes = {one.probe.reading: one.probe for one in everything}
    solved = [search.fit(hypothesis) for hypothesis in hypotheses(sight, everything)]
    return {f"{one.hypothesis.kind} {one.hypothesis.says} {one.hypothesis.free}" for one in solved
            if isinstance(one, Excluded)}  # fmt: skip


@given(shape=shapes, seed=seeds)
@settings(max_examples=15, deadline=None)
def test_more_readings_never_bring_back_what_is_excluded(shape: str, seed: int) -> None:
    faults, draw = faults_of(shape), random.Random(seed)
    whole = told_as_drawn(build_of(shape), faults[seed % len(faults)][1], seed)
    some = tuple(reading for reading in whole.readings if draw.random() < 0.6)
    assert excluded(replace(whole, readings=some), whole) <= excluded(whole, whole)


@given(shape=shapes, seed=seeds)
@settings(max_examples=10, deadline=None)
def test_a_module_that_nobody_read_excludes_nothing_more(shape: str, seed: int) -> None:
    faults = faults_of(shape)
    whole = told_as_drawn(build_of(shape), faults[seed % len(faults)][1], seed)
    name = random.Random(seed).choice(list(whole.modules))
    low = whole.pack.module_type_at(name).rest_v.low or 0.0
    high = whole.pack.module_type_at(name).rest_v.high or 0.0
    entry = whole.modules[name].rest_v
    assert entry is not None
    wide = replace(whole, modules={**whole.modules, name: replace(whole.modules[name], rest_v=entry._replace(
        low=min(low, entry.low), high=max(high, entry.high)))})  # fmt: skip
    assert excluded(wide, whole) <= excluded(whole, whole)


@given(shape=shapes, seed=seeds)
@settings(max_examples=12, deadline=None)
def test_what_a_change_is_said_not_to_touch_it_does_not_move(shape: str, seed: int) -> None:
    """Readings that are left out for speed are solved here after all: nothing moves them, and nothing parts them."""
    faults = faults_of(shape)
    whole = told_as_drawn(build_of(shape), faults[seed % len(faults)][1] if seed % 3 else None, seed)
    sight, observed = Sight(whole), observe(whole)
    search = Search(sight, observed)
    looked, left_out = list(hypotheses(sight, observed)), 0
    for hypothesis in random.Random(seed).sample(looked, min(60, len(looked))):
        world = World(sight, hypothesis)
        touched = search.touched(hypothesis, world)
        for i in set(range(len(observed))) - (set(range(len(observed))) if touched is None else touched):
            here, base = world.written(observed[i].probe, search.probes), search.base[i]
            assert (here.volts, here.joined, here.slope) == (pytest.approx(base.volts, abs=1e-5), base.joined, 0.0)
            left_out += 1
    assert left_out > len(looked) / 100


@pytest.mark.parametrize("shape", sorted(LAYOUTS))
def test_the_order_of_the_readings_changes_nothing(shape: str) -> None:
    whole = told_as_drawn(build_of(shape), faults_of(shape)[1][1], 3)
    turned = replace(whole, readings=tuple(reversed(whole.readings)))
    says = lambda record: {fit.hypothesis.says for fit in diagnose(record).fits}  # noqa: E731
    assert says(whole) == says(turned) != set()
