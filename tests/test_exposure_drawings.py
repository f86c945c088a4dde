"""The sheets and cards of an exposure: what is bare, what bridges it and how long that is, measured in the SVG."""

from __future__ import annotations

from functools import cache
from math import hypot
from pathlib import Path

import pytest
from exposure_packs import example_24, small
from svg_pages import METALS, OUTSIDE, SVG, Page, clashes, rect_area, scale_of
from workshop import Data, grouped_layout, pack_of, stick_layout

from packcheck.exposure.answer import Answer, work_out
from packcheck.exposure.exposed import Asked
from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file
from packcheck.render.exposure_drawing import NOTHING_BARE, drawings, write_drawings

LAYOUTS = shipped_folder("layouts")
PACKS: dict[str, Data] = {"24": example_24(), "6": stick_layout(6), "groups": grouped_layout(12, 3), "bare": small(6)}
NAMES = ("24", "6", "groups", "bare", "heron-2x15", "plover-16", "skerry-24", "eider-20")


@cache
def answer(name: str, backwards: bool = False) -> Answer:
    pack = pack_of(PACKS[name]) if name in PACKS else open_file(LAYOUTS / name / f"{name}.yaml").pack
    return work_out(pack, None, Asked(tools_mm=(150.0,)), backwards=backwards)


@cache
def pages(name: str, backwards: bool = False) -> dict[str, Page]:
    return {file: Page(text) for file, text in drawings(answer(name, backwards))}


def sheet_of(name: str, step: str) -> Page:
    steps = [exposure.stage.number for exposure in answer(name).exposures]
    return pages(name)[f"step-{steps.index(step) + 1:02d}.svg"]


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_for_each_step_with_bare_metal_one_for_the_rest_and_a_card_for_each(name: str) -> None:
    exposures = answer(name).exposures
    bare = sum(bool(exposure.bare) for exposure in exposures)
    files = list(pages(name))
    assert sum(file.startswith("step-") for file in files) == bare
    assert sum(file.startswith("card-") for file in files) == len(exposures)
    assert files.count(NOTHING_BARE) == (1 if bare < len(exposures) else 0)
    assert len(files) == bare + len(exposures) + files.count(NOTHING_BARE)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_paints_over_a_label(name: str, backwards: bool) -> None:
    for file, page in pages(name, backwards).items():
        texts = page.texts()
        assert [(file, a.what, b.what) for a, b in clashes(texts)] == []
        bars = [bar for bar in page.rects(*METALS) if max(bar.right - bar.left, bar.bottom - bar.top) > 30]
        assert [(file, t.what) for t, b in clashes(texts, bars) if not b.holds(t)] == []
        width = float((page.root.get("viewBox") or "").split()[2])
        assert all(text.left >= 0 and text.right <= width for text in texts), file
        for bridge in page.parts("bridge"):
            line = next(bridge.iter(f"{SVG}line"))
            xs, ys = ([float(line.get(f"{axis}{i}", "nan")) for i in (1, 2)] for axis in "xy")
            if ys[0] == ys[1]:  # a level tool: its band is 11 px high
                across = [t for t in texts if min(xs) < t.right and t.left < max(xs) and abs(t.middle[1] - ys[0]) < 8]
                assert across == []


def test_bare_metal_is_black_covered_metal_hatched_and_the_rest_dotted() -> None:
    page = sheet_of("24", "5")
    inks: dict[str, list[str]] = {}
    for group in page.parts("bar"):
        inks.setdefault(group[1].get("class") or "", []).append(group.get("data-part", ""))
    assert len(inks["metal-bare"]) == 9
    assert "B06" in inks["metal-bare"]
    assert sorted(inks["metal-under"]) == [f"B{i:02d}" for i in range(1, 24, 2)]
    assert inks["gone"] == ["B18"]
    assert "section [1]: 12 modules, P01..P12: 95.0 V at rest, 104.4 V at most" in page.words()
    assert "P05 [1]" in page.words()


def test_the_tool_has_its_true_length_and_lies_over_both_that_it_bridges() -> None:
    page = sheet_of("24", "5")
    assert any("worst bridge B02 to B10: 69.6 V" in words for words in page.words())
    (bridge,) = page.parts("bridge")
    line = next(bridge.iter(f"{SVG}line"))
    x1, y1, x2, y2 = (float(line.get(key, "nan")) for key in ("x1", "y1", "x2", "y2"))
    assert hypot(x2 - x1, y2 - y1) / scale_of(page) == pytest.approx(150, rel=0.01)
    for bar in ("B02", "B10"):
        box = rect_area(page.named("bar", bar)[1])
        assert min(x1, x2) < box.right
        assert max(x1, x2) > box.left
        assert box.top < y1 < box.bottom


def test_leads_and_connectors_are_drawn_with_what_of_them_is_bare() -> None:
    exposures = answer("24").exposures
    index = next(i for i, e in enumerate(exposures, 1) if "W1" in e.stage.items)
    page = pages("24")[f"step-{index:02d}.svg"]
    tags = [text.text or "" for group in page.parts("lead") for text in group.iter(f"{SVG}text")]
    assert "W1 → SD.1, end bare" in tags
    pins = [group for group in page.parts("pin") if (group[1].get("class") or "") == "metal-bare"]
    assert len(pins) == 14
    before = pages("24")["step-03.svg"]
    assert before.parts("lead") == before.parts("pin") == before.parts("tap") == []


def test_what_is_in_hand_is_outlined() -> None:
    page = sheet_of("24", "5")
    lit = [g.get("data-part") for g in page.parts("bar") if any("halo" in (r.get("class") or "") for r in g)]
    assert lit == ["B06"]


def test_a_card_says_what_to_do_to_cover_to_wear_and_who_must_be_there() -> None:
    exposures = answer("24").exposures
    index = next(i for i, e in enumerate(exposures, 1) if e.stage.items == ("B06",))
    card = " ".join(pages("24")[f"card-{index:02d}.svg"].words())
    for words in (
        "Do fit B06", "CB cannot go on yet: the joints in hand lie under it", "rubber gloves class 00",
        "a second person who does not touch the pack", "104.4 V at most", "worst bridge B02 to B10",
        f"drawn in step-{index:02d}.svg", "It permits nothing",
    ):  # fmt: skip
        assert words in card
    first = " ".join(pages("24")["card-01.svg"].words())
    assert "gloves" not in first
    assert "second person" not in first


@pytest.mark.parametrize("name", NAMES)
def test_cards_are_sheets_of_iso_216(name: str) -> None:
    for file, page in pages(name).items():
        if file.startswith("card-"):
            size = (page.root.get("width"), page.root.get("height"))
            assert size in (("148mm", "210mm"), ("210mm", "297mm")), file
            width, height = (float(n) for n in (page.root.get("viewBox") or "").split()[2:])
            assert height / width == pytest.approx(2**0.5, rel=0.006)
            assert max(text.bottom for text in page.texts()) < height


def test_drawings_lean_on_nothing_outside_and_names_are_escaped() -> None:
    layout = small(3) | {"faces": {"A": "front", "B": "back"}}
    layout["bars"] = {"<b>&": layout["bars"]["B1"], "B2": layout["bars"]["B2"]}
    drawn = dict(drawings(work_out(pack_of(layout), None, Asked())))
    assert any("&lt;b&gt;&amp;" in text for text in drawn.values())
    for text in drawn.values():
        assert Page(text).root.tag == f"{SVG}svg"
        assert "<b>" not in text
        assert not OUTSIDE.search(text)


def test_files_are_written_whole(tmp_path: Path) -> None:
    folder = tmp_path / "drawings"
    assert write_drawings(answer("24"), folder) == len(list(folder.iterdir())) == len(pages("24"))
    assert {path.suffix for path in folder.iterdir()} == {".svg"}
