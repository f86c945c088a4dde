"""What rules find of the library of faults on a small layout; what they would with one more reading, or never."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from workshop import stick_layout, to_yaml

from packcheck.app.teaching.coverage_told import render_coverage, render_coverage_json, render_coverage_page
from packcheck.files.shipped import shipped_folder
from packcheck.lessons.coverage import ELSEWHERE, NOT, ONE, READING, RESULTS, RIGHT, Coverage, Tried, _cheapest, cover
from packcheck.model.opening import Text
from packcheck.simulate.faults.fault import BELIEVED, MEASURED, WRITTEN


@cache
def small() -> Coverage:
    layout = Text(to_yaml(stick_layout(6)).encode(), "layout.yaml")
    seen: list[tuple[int, int]] = []
    found = cover(
        layout, (shipped_folder("rules"),), most=1, jobs=1, progress=lambda done, all_: seen.append((done, all_))
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


def test_the_reading_that_finds_most_comes_first() -> None:
    tried = [Tried("a", f"P{i}", MEASURED, READING, (), "load") for i in range(3)]
    tried += [Tried("b", f"P{i}", MEASURED, READING, (), "mass") for i in range(5)]
    assert _cheapest([*tried, Tried("c", "P1", MEASURED, NOT)]) == (("mass", 5), ("load", 3))
    assert _cheapest([]) == ()


def test_text_json_and_page_tell_the_same() -> None:
    found = small()
    text, data = render_coverage(found), json.loads(render_coverage_json(found, version="0"))
    page = render_coverage_page(found, version="0")
    assert data["counts"] == {result: found.counted[result] for result in RESULTS}
    assert len(data["tried"]) == len(found.tried)
    for fault in {one.fault for one in found.tried if one.result == NOT}:
        assert f"{fault}, " in text
        assert f"{fault}, " in page
    assert "case-cracked: no column of a record tells of the case" in text
    assert "bar-cracked" in page
    assert all(reading in text for reading, _ in found.readings)


def test_a_record_is_no_layout(capsys: pytest.CaptureFixture[str]) -> None:
    from packcheck.app.cli import run

    record = Path(shipped_folder("layouts")) / "plover-16" / "clean-pl-0052.yaml"
    assert run(["coverage", str(record)]) in (2, 4)
    assert capsys.readouterr().err
