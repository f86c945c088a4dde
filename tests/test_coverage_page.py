"""The page of coverage: every part that was tried is filled, marked and told, in shape and words and in colour."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest
from html_pages import parsed, words_of
from svg_pages import contrast
from test_coverage import LAYOUT, page_of, small
from test_html_in_chromium import DESK, PHONE, browser, opened  # noqa: F401

from packcheck.app.teaching.coverage_drawing import (
    BESIDE,
    GROUNDS,
    GROUNDS_IN_DARK,
    HATCHES,
    KINDS,
    SAID,
    SHADE,
    counts_of,
    places_by_part,
    told_of,
    worst_of,
)
from packcheck.lessons.coverage import ELSEWHERE, NOT, ONE, READING, RESULTS, RIGHT, Tried
from packcheck.model.opening import open_bytes
from packcheck.render.drawing.ink import IN_DARK, INK
from packcheck.simulate.faults.fault import WRITTEN


@cache
def page() -> str:
    return page_of(small())


def test_a_fault_of_two_parts_stands_at_both_and_that_of_a_joint_at_its_bar() -> None:
    pack = open_bytes(*LAYOUT).pack
    joint = next(iter(pack.joints))
    bar = pack.joints[joint][0].name
    tried = [Tried("a", place, WRITTEN, RIGHT) for place in ("P1, P2", joint, "P2.A", "whole pack")]
    found = {part: [one.place for one in those] for part, those in places_by_part(pack, tried).items()}
    assert found == {"P1": ["P1, P2"], "P2": ["P1, P2", "P2.A"], bar: [joint], BESIDE: ["whole pack"]}


def test_the_worst_result_fills_and_marks_a_part() -> None:
    for number, result in enumerate((NOT, ELSEWHERE, READING, ONE, RIGHT)):
        rest = (NOT, ELSEWHERE, READING, ONE, RIGHT)[number:]
        assert worst_of([Tried("a", "P1", WRITTEN, one) for one in reversed(rest)]) == result
    assert told_of([Tried("a", "P1", WRITTEN, one) for one in (RIGHT, NOT, RIGHT)]) == (
        "1 not found, 2 found by several rules"
    )


def test_every_part_that_was_tried_is_marked_and_leads_to_what_was_tried_there() -> None:
    pack, tree = open_bytes(*LAYOUT).pack, parsed(page())
    by_part = places_by_part(pack, small().tried)
    lists = {words_of(one.find("summary")).partition(":")[0]: one for one in tree.iter("details")}
    assert len(lists) == len(by_part) > 12
    ids = [one.get("id") for one in tree.iter() if one.get("id")]
    assert len(ids) == len(set(ids))
    wide = next(one for one in tree.iter("div") if one.get("class") == "drawing wide")
    links = [one for one in wide.iter() if one.tag.rpartition("}")[2] == "a"]
    marks = {one.get("aria-label").partition(":")[0]: one for one in links}
    marked = set(by_part) - {BESIDE} - set(pack.devices)
    assert marked <= set(marks)
    for part in marked:
        assert told_of(by_part[part]) in marks[part].get("aria-label")
        assert f"{counts_of(by_part[part])[worst_of(by_part[part])]}{KINDS[worst_of(by_part[part])].sign}" in (
            marks[part].get("aria-label")
        )
        inside = next(one for one in lists[part].iter("div") if one.get("id"))
        assert marks[part].get("href") == f"#{inside.get('id')}"
        assert words_of(lists[part].find("summary")) == f"{part}: {told_of(by_part[part])}"
    modules = [one for one in wide.iter() if one.get("class") == "module"]
    for one in modules:
        part = one.get("data-part")
        if part not in by_part:
            continue
        assert SHADE[worst_of(by_part[part])] in [shape.get("class") for shape in one.iter()]
        assert told_of(by_part[part]) in words_of(one)
    assert len({one.get("data-part") for one in modules}) == 6


def test_results_are_apart_without_colour() -> None:
    assert set(KINDS) == set(SAID) == set(SHADE) == set(GROUNDS) == set(GROUNDS_IN_DARK) == set(RESULTS)
    assert len({kind.sign for kind in KINDS.values()}) == len({kind.name for kind in KINDS.values()}) == 5
    assert len({HATCHES.get(result, "plain") for result in RESULTS}) == 5


def test_names_read_on_every_fill() -> None:
    """WCAG 2.2, clause 1.4.3, contrast (minimum): 4.5 to 1, on ground and hatch, by light and in the dark."""
    for light, dark in zip(GROUNDS.values(), GROUNDS_IN_DARK.values(), strict=True):
        assert all(contrast(INK, ground) >= 4.5 for ground in light)
        assert all(contrast(IN_DARK[INK], ground) >= 4.5 for ground in dark)


@pytest.mark.chromium
@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not on the path (Debian package chromium)")
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("colours", ["light", "dark"])
def test_in_a_browser_it_is_accessible_and_quiet_and_a_mark_opens_its_list(
    browser,  # type: ignore[no-untyped-def]  # noqa: F811
    tmp_path: Path,
    size: dict[str, int],
    colours: str,
) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    (tmp_path / "page.html").write_text(page(), encoding="utf-8")
    address = (tmp_path / "page.html").as_uri()
    shown, told = opened(browser, address, size, color_scheme=colours, java_script_enabled=False)
    assert told == []
    mark = shown.locator(f".{'wide' if size is DESK else 'narrow'} a[href^='#part-']").first
    there = mark.get_attribute("href")
    assert not shown.locator(there).is_visible()
    mark.click()
    assert shown.locator(there).is_visible()
    shown.context.close()
    shown, _ = opened(browser, address, size, color_scheme=colours, bypass_csp=True)
    assert shown.evaluate("document.documentElement.scrollWidth") == size["width"]
    assert [one["id"] for one in axe.Axe().run(shown).response["violations"]] == []
    shown.context.close()
