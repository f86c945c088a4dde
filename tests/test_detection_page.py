"""The published matrix of detection: whole, of this library and these rules, and no miss without its reason."""

from __future__ import annotations

import re
from functools import cache

import pytest
from detection_page import NOWHERE, PACKS, PAGE
from faulty_builds import shipped_rules
from test_simulate import bench_of, layout_of

from packcheck.lessons.coverage import SEED
from packcheck.lessons.trial import Said, Trial, heard, spoken
from packcheck.simulate.faults.library import BY_NAME, FAULTS, Placed, faulty_record
from packcheck.simulate.record_text import record_text

TEXT = PAGE.read_text(encoding="utf-8")
CELL = re.compile(r"(\d+)/(\d+)( \+)?( \d+≠)?")


def rows_of(text: str) -> dict[tuple[str, str], list[str]]:
    """Return the cells of every fault and way of coming into a record."""
    lines = [line.strip("|").split("|") for line in text.splitlines() if line.startswith("| `")]
    return {(cells[0].strip(" `"), cells[1].strip()): [cell.strip() for cell in cells[2:]] for cells in lines}


ROWS = rows_of(TEXT)
WHOLE = sorted(
    (name, variant, pack)
    for (name, variant), cells in ROWS.items()
    for pack, cell in zip(PACKS, cells[: len(PACKS)], strict=True)
    if cell != NOWHERE and "+" not in cell and cell.partition("/")[0] == cell.partition("/")[2]
)


def test_every_fault_that_can_be_expressed_stands_there_once_in_every_way() -> None:
    assert list(ROWS) == [(fault.name, variant) for fault in FAULTS for variant in fault.variants]
    assert len(ROWS) == sum(line.startswith("| `") for line in TEXT.splitlines())


def test_a_fault_has_a_place_on_some_pack_or_is_named_and_no_more_is_found_than_tried() -> None:
    named = re.findall(r"^\* `([\w-]+)`$", TEXT, re.MULTILINE)
    assert len(named) < 3
    for key, cells in ROWS.items():
        counted = [CELL.fullmatch(cell) for cell in cells[: len(PACKS)] if cell != NOWHERE]
        assert bool(counted) == (key[0] not in named), key
        for cell in counted:
            assert cell is not None, key
            assert int(cell[1]) <= int(cell[2]), key


def test_what_is_missed_says_where_and_why_and_what_would_show_it() -> None:
    found = ((re.match(r"\* `([\w-]+)`, ([\w ]+): ", line), line) for line in TEXT.splitlines())
    said = {(match[1], match[2]): line for match, line in found if match}
    for (name, variant), cells in ROWS.items():
        missed = [pack for pack, cell in zip(PACKS, cells[: len(PACKS)], strict=True)
                  if cell != NOWHERE and (match := CELL.fullmatch(cell)) and match[1] != match[2]]  # fmt: skip
        assert ((name, variant) in said) == bool(missed), (name, variant, missed)
        if missed:
            line = said[name, variant]
            assert BY_NAME[name].settles in line
            if BY_NAME[name].expected(variant):
                assert all(f"on {pack} at " in line for pack in missed), line
            else:
                assert BY_NAME[name].blind
                assert BY_NAME[name].blind in line


def test_what_no_record_can_show_is_named_with_its_reason() -> None:
    end = TEXT[TEXT.index("## Faults that no record can show") :]
    unseen = [fault for fault in FAULTS if fault.unseen]
    assert unseen
    assert [line for line in end.splitlines() if line.startswith("*")] == [f"* `{f.name}`: {f.unseen}." for f in unseen]


def test_the_false_alarms_stand_there_with_their_bound() -> None:
    number, wrong, bound = re.search(  # type: ignore[union-attr]
        r"Of (\d+) sound simulated builds (\d+) have a finding above advice: at most ([\d.]+)% \(95 %\)", TEXT
    ).groups()
    assert int(number) >= 300
    assert int(wrong) == 0
    assert float(bound) == pytest.approx(100 * (1 - 0.05 ** (1 / int(number))), abs=0.001)


@cache
def trial_on(pack: str) -> tuple[Trial, frozenset[Said]]:
    trial = Trial(layout_of(pack), bench_of(pack), tuple(shipped_rules()))
    return trial, spoken(trial.of_sound(SEED))


@pytest.mark.parametrize(("name", "variant", "pack"), WHOLE[:: len(WHOLE) // 24])
def test_a_sample_of_what_it_calls_found_is_found(name: str, variant: str, pack: str) -> None:
    """At the middle place of each, with nothing but the readings that every record has."""
    (trial, sound), fault = trial_on(pack), BY_NAME[name]
    places = fault.places(trial.bench.build(SEED))
    placed = Placed(fault, places[len(places) // 2], variant)
    record = faulty_record(trial.bench, SEED, [placed])
    assert heard(trial.bench, placed, trial.judged(record_text(record)), sound).right
