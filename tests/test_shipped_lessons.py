"""The lessons that come with the program: whole, neutral, of every family, and their keys theirs."""

from __future__ import annotations

import pytest
from faulty_builds import shipped_rules
from shipped_lessons import LESSONS, PASSPHRASE
from test_simulate import layout_of

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.lessons.making import ROOM_FOR_MARK
from packcheck.lessons.open_case import open_case
from packcheck.lessons.sealing import mark_of, unseal
from packcheck.rules.findings import Gate, Verdict
from packcheck.simulate.faults.fault import FAMILIES

pytest.importorskip("cryptography")
FOLDER = shipped_folder("layouts") / "lessons"
KEYS = {
    (name, path.name.removesuffix(".key.json")): path
    for name in LESSONS for path in sorted((FOLDER / name / "keys").glob("*.key.json"))
}  # fmt: skip


def test_there_are_sixty_cases_of_every_family() -> None:
    assert len(KEYS) == 61
    assert {name: sum(pack == name for pack, _ in KEYS) for name in LESSONS} == {n: w.cases for n, w in LESSONS.items()}
    opened = [unseal(path.read_text(encoding="utf-8"), PASSPHRASE, case)[0] for (_, case), path in KEYS.items()]
    assert {fault["family"] for key in opened for fault in key["faults"]} == set(FAMILIES)
    assert 10 <= sum(key["energize"] for key in opened) <= 15


@pytest.mark.parametrize("name", LESSONS)
def test_cases_are_named_neutrally_and_carry_the_hash_of_their_key(name: str) -> None:
    there = FOLDER / name
    cases = sorted(path.name for path in there.glob("case-*.yaml"))
    assert cases == [f"case-{number:02d}.yaml" for number in range(1, LESSONS[name].cases + 1)]
    assert (there / f"{name}.yaml").read_bytes() == layout_of(name).content, (
        "the layout was changed since; make the lessons anew with python tests/shipped_lessons.py --write"
    )
    for (pack, case), path in KEYS.items():
        if pack == name:
            mark = ROOM_FOR_MARK.format(mark=mark_of(path.read_text(encoding="utf-8")))
            assert mark in (there / f"{case}.yaml").read_text(encoding="utf-8")
            assert (there / f"answer-{case}.yaml").is_file()


@pytest.mark.parametrize("name", ["plover-16", "eider-20"])
def test_the_first_sound_case_and_the_first_faulty_one_are_judged_as_their_keys_say(name: str) -> None:
    opened = {case: unseal(path.read_text(encoding="utf-8"), PASSPHRASE, case)[0]
              for (pack, case), path in KEYS.items() if pack == name}  # fmt: skip
    for energize in (True, False):
        case = next(case for case, key in opened.items() if key["energize"] is energize and key["quiet"] is energize)
        content = (FOLDER / name / f"{case}.yaml").read_bytes()
        report = check(content, case, rules=shipped_rules(), gate=Gate.RELEASE, layout=layout_of(name))
        assert (report.judgement.verdict is Verdict.NO_RULE_BROKEN) is energize


@pytest.mark.parametrize("name", LESSONS)
def test_the_true_build_of_every_case_stands_again(name: str) -> None:
    """Where it does not, make the lessons anew with python tests/shipped_lessons.py --write."""
    for (pack, case), path in KEYS.items():
        if pack == name:
            text = path.read_text(encoding="utf-8")
            assert open_case(case, unseal(text, PASSPHRASE, case)[0], mark_of(text), b"", layout_of(name)).name == case
