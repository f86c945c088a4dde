"""Drawings can be read: no text lies on another, on metal or on a post; inks and signs stay apart in print."""

from __future__ import annotations

import re

import pytest
from drawn_sheets import SHEETS, plain, sheet
from svg_pages import METALS, OUTSIDE, SVG, Page, clashes, contrast, luminance
from workshop import stick_layout

from packcheck.render.drawing.ink import FIX, MINUS, PAPER, PLUS, STOP, STYLE, TEXT_ON
from packcheck.render.drawing.marks import KINDS
from packcheck.render.drawing.paper import words_px, wrapped


@pytest.mark.parametrize("name", SHEETS)
def test_no_text_lies_on_another_text_or_on_metal(name: str) -> None:
    page = sheet(name)
    texts = page.texts()
    assert len(texts) > 30
    assert [(a.what, b.what) for a, b in clashes(texts)] == []
    bars = [bar for bar in page.rects(*METALS) if bar.right - bar.left > 30 or bar.bottom - bar.top > 30]
    assert [(t.what, b.what) for t, b in clashes(texts, bars) if not b.holds(t)] == []
    assert [t.what for t, _ in clashes(texts, page.discs())] == []


@pytest.mark.parametrize("name", SHEETS)
def test_all_lies_on_the_sheet_and_every_part_has_a_title(name: str) -> None:
    page = sheet(name)
    width, height = (float(page.root.get(key, "0")) for key in ("width", "height"))
    for area in (*page.texts(), *page.rects(*METALS), *page.discs()):
        assert area.left >= 0, area
        assert area.top >= 0, area
        assert area.right <= width, area
        assert area.bottom <= height, area
    for group in page.root.iter(f"{SVG}g"):
        if group.get("data-part") is not None:
            assert group[0].tag == f"{SVG}title"
            assert group[0].text
    assert page.root.get("role") == "img"
    named = {element.get("id") for element in page.root.iter() if element.get("id")}
    assert set((page.root.get("aria-labelledby") or "").split()) <= named


def test_a_clash_would_be_seen() -> None:
    page = Page(
        '<svg xmlns="http://www.w3.org/2000/svg"><rect class="metal" x="30" y="0" width="60" height="20"/>'
        '<text class="s" x="10" y="12" textLength="40">one</text>'
        '<text class="s" x="45" y="15" textLength="30" text-anchor="middle">two</text></svg>'
    )
    assert len(list(clashes(page.texts()))) == 1
    assert [t.what for t, b in clashes(page.texts(), page.rects("metal")) if not b.holds(t)] == ["one"]


def test_every_colour_of_type_reads_on_its_grounds() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)
    inks = set(re.findall(r"fill:(#\w+)\}", re.search(r"^text\{.*?(?=\.sheet)", STYLE, re.DOTALL)[0]))  # type: ignore[index]
    assert inks <= set(TEXT_ON) | {PAPER}
    for ink, grounds in TEXT_ON.items():
        assert grounds
        for ground in grounds:
            assert contrast(ink, ground) >= 4.5, (ink, ground)


def test_in_grey_print_signs_and_marks_stay_apart() -> None:
    assert contrast(PLUS, PAPER) > 7, "a + is a dark disc"
    assert contrast(MINUS, PAPER) > 7, "a − is a white disc with a dark rim"
    assert len({kind.sign for kind in KINDS if kind.name != "fix"}) == len(KINDS) - 1
    assert len({kind.words for kind in KINDS}) == len({kind.ink for kind in KINDS}) == len(KINDS)
    assert max(luminance(STOP), luminance(FIX)) < 0.12, "filled marks are dark, empty ones white"


def test_width_of_words() -> None:
    assert words_px("W", "m") == pytest.approx(0.944 * 13)
    assert words_px("−", "s") == words_px("+", "s")
    assert words_px("電池", "s") == 20
    for line in wrapped("the quick brown fox jumps over the lazy dog " * 5, 150, "m"):
        assert words_px(line, "m") <= 150
    assert "".join(wrapped("x" * 300, 100, "m")) == "x" * 300


def test_a_drawing_leans_on_nothing_outside_and_is_the_same_every_time() -> None:
    for name in ("layout skerry-24", "record sk-0440-stopped-for-the-day"):
        page = sheet(name)
        assert not OUTSIDE.search(page.text)
    data = stick_layout(24)
    assert plain(data).text == plain(data).text


def test_names_are_escaped() -> None:
    data = stick_layout(6)
    data["title"] = "<b>&\"'--><script>"
    data["bars"] = {"<i>&": {"type": next(iter(data["bar types"])), "lands": ["P3.A", "P4.A"]}}
    page = plain(data)
    assert "<i>" not in page.text
    assert "<script" not in page.text
    assert "<i>&" in page.names("bar")


def test_size_grows_with_the_modules_alone() -> None:
    small, large = (len(plain(stick_layout(count)).text) for count in (100, 400))
    assert 3.0 < large / small < 4.4
