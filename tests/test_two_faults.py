"""Two faults at once, one written down and one that only a reading shows: neither hides behind the other.

What really stands between the leads comes from ``tests/oracle``, which shares no code with the program.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import islice, product
from pathlib import Path

import pytest
from faulty_builds import Build, Fault, judged, shipped_rules, with_changes
from kinds_of_fault import two_types
from workshop import Data, grouped_layout, rack_layout, record_of, stick_layout, trayed_layout, write

from packcheck.judging.check import check_file
from packcheck.render.paragraph import Choice
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Judgement, Outcome, Severity

READINGS = ("reading-disagrees", "reading-floating", "module-facing-contradicted", "cell-voltage-collapsed",
            "disconnect-not-shown-open")  # fmt: skip


@cache
def build(name: str) -> Build:
    return {
        "stick 8": lambda: Build(two_types(stick_layout(8))),
        "groups 6x2": lambda: Build(two_cells(grouped_layout(6, 2))),
        "trays 2x4": lambda: Build(trayed_layout(4)),
        "rack 2x6": lambda: Build(rack_layout([6, 6])),
    }[name]()


def two_cells(layout: Data) -> Data:
    cell = layout["module types"]["cell"]
    return {**layout, "module types": {"cell": cell, "twin": {**cell, "capacity": "40 Ah"}}}


def of_another_type(b: Build) -> Iterator[Fault]:
    yield from b.cells("modules", "type", "twin", "module-wrong-type")


WRITTEN: Mapping[str, Callable[[Build], Iterable[Fault]]] = {
    "module reversed": Build.modules_reversed,
    "module not fitted": Build.modules_left_out,
    "bar not fitted": Build.bars_missing,
    "bar moved": Build.bar_ends_moved,
    "stray bar": Build.strays,
    "wrong type": of_another_type,
}
"""Faults that the record tells of."""
READABLE: Mapping[str, Callable[[Build], Iterable[Fault]]] = {
    "module reversed": Build.modules_reversed,
    "bar not fitted": Build.bars_missing,
    "stray bar": Build.strays,
}
"""Faults that the record says nothing of: only its readings are true to them."""


@dataclass(frozen=True)
class Pair:
    """One record that tells of its first fault and not of its second, with the same record without the second."""

    name: str
    build: Build
    one: Data
    both: Data
    shifted: frozenset[str]


def pairs(b: Build, written: Iterable[Fault], readable: Iterable[Fault]) -> Iterator[Pair]:
    """Yield every pair of faults whose second changes a reading by most of a module, the first being there."""
    module_v = min(kind.rest_middle_v for kind in b.pack.module_types.values())
    for first, second in product(written, readable):
        told = b.told_honestly(first)
        if _same_rows(first, second):
            continue
        real = with_changes(told, second.changes)
        before, after = b.true_voltages(told), b.true_voltages(real)
        named = zip(b.planned_readings, before, after, strict=True)
        shifted = frozenset(name for name, x, y in named if abs(x - y) > 0.6 * module_v)
        if shifted:
            both = {**told, "readings": b.readings(real)}
            yield Pair(f"{first.place} told, {second.place} read", b, told, both, shifted)


def _same_rows(first: Fault, second: Fault) -> bool:
    return any(name in second.changes.get(section, {}) for section, rows in first.changes.items() for name in rows)


def roots(judgement: Judgement) -> set[tuple[str, str]]:
    found = (f for f in judgement.findings if f.severity is Severity.NEVER_ENERGIZE and f.outcome is Outcome.BROKEN)
    return {(f.rule, f.subject) for f in found}


EVERY = [
    (pack, told, read)
    for pack in ("stick 8", "groups 6x2", "trays 2x4", "rack 2x6")
    for told in WRITTEN
    for read in READABLE
    if (pack, told) not in {("trays 2x4", "wrong type"), ("rack 2x6", "wrong type")}
]
NO_PAIR = ("bar not fitted", "stray bar")
"""A second missing bar opens what is open, and two stray bars would have one name: no pair of one with itself."""
CASES = [(pack, told, read) for pack, told, read in EVERY if told != read or told not in NO_PAIR]


def chosen(pack: str, told: str, read: str) -> list[Pair]:
    """Return some pairs of two kinds of fault, spread over the places where each can be."""
    b = build(pack)
    first, second = list(WRITTEN[told](b)), list(READABLE[read](b))
    some = pairs(b, first[:: max(1, len(first) // 3)], second[:: max(1, len(second) // 4)])
    found = list(islice(some, 4))
    assert found, "no such pair changes a reading"
    return found


@pytest.mark.parametrize(("pack", "told", "read"), CASES)
def test_what_a_reading_shows_beside_a_fault_on_record_is_a_root_of_its_own(pack: str, told: str, read: str) -> None:
    hidden = []
    for pair in chosen(pack, told, read):
        alone = roots(judged(record_of(pair.one, pair.build.pack)))
        both = roots(judged(record_of(pair.both, pair.build.pack)))
        new = {(rule, subject) for rule, subject in both - alone if rule in READINGS}
        if not new or not alone <= both:
            hidden.append((pair.name, sorted(pair.shifted), sorted(both ^ alone)))
    assert not hidden, f"{len(hidden)}: {hidden[:4]}"


@pytest.mark.parametrize(("pack", "told", "read"), [case for case in EVERY[::5] if case in CASES])
def test_the_brief_answer_says_more_with_the_second_fault(pack: str, told: str, read: str, tmp_path: Path) -> None:
    for pair in chosen(pack, told, read)[:1]:
        answers = [brief(tmp_path, pair.build, record) for record in (pair.one, pair.both)]
        assert answers[0] != answers[1], pair.name


def brief(folder: Path, b: Build, record: Data) -> list[str]:
    """Return the lines of the answer that name a rule, as ``packcheck check --brief`` prints them."""
    write(folder / "layout.yaml", b.layout)
    report = check_file(write(folder / "record.yaml", record), rules=shipped_rules())
    page = render_terminal(report, choice=Choice(brief=True))
    found = page[page.index("\nFound ") : page.index("TO DO") if "TO DO" in page else None]
    return [re.sub(r"\s+", " ", line) for line in found.splitlines()]


def test_enough_pairs_are_looked_at() -> None:
    assert sum(len(chosen(*case)) for case in CASES) >= 150


def test_a_collapsed_module_of_another_type_is_two_faults() -> None:
    b = build("stick 8")
    told = next(islice(of_another_type(b), 2, None))
    row = list(told.changes["modules"]["P3"])
    flat = {**told.changes["modules"], "P3": [*row[:3], 4.0]}  # 5 cells of 0.8 V: below what any sound cell rests at
    found = roots(judged(record_of(with_changes(b.clean, {"modules": flat}), b.pack)))
    assert ("cell-voltage-collapsed", "P3") not in found  # nickel has no copper foil
    top = {(f.rule, f.subject) for f in judged(record_of(with_changes(b.clean, {"modules": flat}), b.pack)).findings}
    assert {("module-wrong-type", "P3"), ("rest-voltage-outside-window", "P3")} <= top


def test_a_module_of_another_type_inside_its_own_window_is_one_fault() -> None:
    layout = two_types(stick_layout(8))
    b = Build(layout)
    row = list(next(islice(of_another_type(b), 2, None)).changes["modules"]["P3"])
    changed = {"modules": {"P3": [*row[:3], 6.6]}}
    one = {**with_changes(b.clean, changed)}
    one["readings"] = b.readings(one)
    top = [(f.rule, f.subject) for f in judged(record_of(one, b.pack)).findings if f.severity is not Severity.ADVISE]
    assert top == [("module-wrong-type", "P3")]


@pytest.mark.parametrize(("second", "own_root"), [(0.0, False), (15.84, True)])
def test_a_sum_that_one_wrong_reading_does_not_account_for_is_a_second_fault(second: float, own_root: bool) -> None:
    """V2 lost its sign on paper: that moves the sum by twice a module.  Another module's worth is somebody else's."""
    b = build("stick 8")
    rows = {name: row for name, row in b.clean["readings"].items() if name.startswith("V")}
    half = round(sum(rows[name][2] for name in ("V1", "V2", "V3", "V4")), 3)
    readings = {"V2": [*rows["V2"][:2], -rows["V2"][2]], "half": [rows["V4"][0], rows["V1"][1], half + second]}
    judgement = judged(record_of(with_changes(b.clean, {"readings": readings}), b.pack))
    top = {(f.rule, f.subject) for f in judgement.findings}
    assert ("reading-disagrees", "V2") in top
    assert (("reading-disagrees", "half") in top) is own_root
    assert ("sum-disagrees", "half") not in top  # the readings that are wrong are named; the sum says no more
