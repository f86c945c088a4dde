"""The library of faults: each is where it says, is found by the rule that ought to find it, or says why nothing can."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest
from faulty_builds import shipped_rules
from test_simulate import PACKS, bench_of, layout_of

from packcheck.lessons.trial import Said, Trial, heard, spoken
from packcheck.simulate.faults.fault import ADVISE, BELIEVED, FAMILIES, FIX, MEASURED, NEVER, WRITTEN
from packcheck.simulate.faults.library import BY_NAME, FAULTS, Placed, faulty_record
from packcheck.simulate.record_text import record_text
from packcheck.simulate.scribe import OPTIONAL

EXPRESSIBLE = [fault for fault in FAULTS if fault.is_expressible]
RULES = frozenset(rule.name for rule in shipped_rules())
NOT_THERE = {
    ("rows-copied", "heron-2x15"): "joints that read alike to the tenth have too few digits for chance to be ruled out",
    ("rows-copied", "tern-96"): "joints that read alike to the tenth have too few digits for chance to be ruled out",
}
"""Faults that are not found on a pack, with the reason."""


@cache
def trial(name: str) -> Trial:
    return Trial(layout_of(name), bench_of(name), tuple(shipped_rules()))


@cache
def sound(name: str, wanted: tuple[str, ...]) -> frozenset[Said]:
    return spoken(trial(name).of_sound("m", wanted))


def packs_with(fault_name: str) -> list[str]:
    return [name for name in PACKS if BY_NAME[fault_name].places(bench_of(name).build("m"))]


def test_the_library_is_whole() -> None:
    assert len(FAULTS) == 130
    assert len(EXPRESSIBLE) == 111
    assert len(BY_NAME) == len(FAULTS)
    assert {fault.family for fault in FAULTS} == set(FAMILIES)
    assert {fault.weight for fault in FAULTS} == {NEVER, FIX, ADVISE}
    assert {fault.difficulty for fault in FAULTS} == set(range(1, 8))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_fault_says_what_it_is(fault) -> None:  # type: ignore[no-untyped-def]
    assert set(fault.near) <= set(BY_NAME) - {fault.name}
    assert {*fault.rules, *fault.believed} <= RULES
    assert {fault.takes} <= {"", *OPTIONAL}
    assert bool(fault.unseen) is not fault.is_expressible, "it can be put into a record, or it says why not"
    assert not fault.is_expressible or (fault.near and fault.settles)
    assert fault.title[0].isupper()
    assert not fault.title.endswith(".")


def test_every_fault_that_can_be_written_has_a_place_on_a_shipped_pack() -> None:
    assert [fault.name for fault in EXPRESSIBLE if not packs_with(fault.name)] == ["bond-missing"]


CASES = [(f.name, Random(f.name).choice(f.variants)) for f in EXPRESSIBLE if f.name != "bond-missing"]


@pytest.mark.parametrize(("name", "variant"), CASES)
def test_a_fault_is_found_by_its_own_rule_at_its_place(name: str, variant: str) -> None:
    """On one pack, at one place and in one way, drawn by the fault's name, with the optional reading that it takes.

    All of them, everywhere: `python tests/benchmarks/detection.py`.
    """
    fault, lot = BY_NAME[name], Random(f"{name} {variant}")
    pack = lot.choice([p for p in packs_with(name) if (name, p) not in NOT_THERE and p != "tern-96"] or ["tern-96"])
    place = lot.choice(list(fault.places(bench_of(pack).build("m"))))
    placed = Placed(fault, place, variant)
    wanted = tuple(filter(None, [fault.takes]))
    record = record_text(faulty_record(bench_of(pack), "m", [placed], wanted))
    answer = heard(bench_of(pack), placed, trial(pack).judged(record), sound(pack, wanted))
    if fault.expected(variant) and not _isolation_unasked(fault.rules, pack):
        assert answer.right, f"{name} at {place} of {pack}: {[(f.rule, f.subject) for f in answer.findings][:6]}"
    else:
        assert not answer.right


def _isolation_unasked(rules: tuple[str, ...], pack: str) -> bool:
    return "isolation-low" in rules and not bench_of(pack).pack.insulation.least_ohm_per_v


def test_what_nobody_saw_is_told_as_drawn() -> None:
    """A module turned: its row says so where somebody saw it, and the readings are the same either way."""
    bench, fault = bench_of("skerry-24"), BY_NAME["module-turned"]
    written, believed = (faulty_record(bench, "7", [Placed(fault, "P09", v)]) for v in (WRITTEN, BELIEVED))
    assert written["modules"]["P09"][1] == "B"
    assert believed["modules"]["P09"][1] == "A"
    assert written["readings"] == believed["readings"]
    assert {**written, "modules": None} == {**believed, "modules": None}


def test_a_slip_is_in_what_was_written_alone() -> None:
    bench = bench_of("skerry-24")
    slipped = faulty_record(bench, "7", [Placed(BY_NAME["sign-slip"], "block 5", MEASURED)])
    clean = faulty_record(bench, "7", [])
    assert slipped["readings"]["block 5"][2] == f"-{clean['readings']['block 5'][2]}"
    assert record_text(slipped).replace(f"-{clean['readings']['block 5'][2]}", clean["readings"]["block 5"][2], 1) == (
        record_text(clean)
    )
