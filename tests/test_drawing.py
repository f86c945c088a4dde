"""``packcheck draw``: what stands on the sheet, where, and that it can be read; measured in the SVG itself."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from demonstrations import demonstration, records
from svg_pages import (
    METALS,
    OUTSIDE,
    SVG,
    Page,
    clashes,
    contrast,
    disc_area,
    luminance,
    rect_area,
    scale_of,
    text_area,
)
from workshop import Data, clean_record, grouped_layout, pack_of, stick_layout, write

from packcheck.app.arguments import rules_and_profile
from packcheck.app.cli import run
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_opened
from packcheck.model.opening import open_file
from packcheck.render.drawing.document import Heading
from packcheck.render.drawing.ink import FIX, MINUS, PAPER, PLUS, STOP, STYLE, TEXT_ON
from packcheck.render.drawing.look import Look
from packcheck.render.drawing.marks import KINDS
from packcheck.render.drawing.paper import words_px, wrapped
from packcheck.render.drawing.plan import Plan
from packcheck.render.drawing.report import draw_report
from packcheck.render.drawing.sheet import draw_sheet
from packcheck.rules.findings import GATES

LAYOUTS = shipped_folder("layouts")
PACKS = ("eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96")
RECORDS = records()


@cache
def drawn(path: Path, gate: int = 1, width: float = 1250) -> Page:
    rules, _ = rules_and_profile(None, None)
    opened = open_file(path)
    report = check_opened(opened, rules, GATES[gate], None)
    tables = {rule.name: rule.each for rule in rules}
    return Page(draw_report(opened.pack, opened.record, report, tables, width=width))


def layout(name: str) -> Page:
    return drawn(LAYOUTS / name / f"{name}.yaml")


def plain(data: Data) -> Page:
    return Page(draw_sheet(Plan(pack_of(data), Look()), Heading("generated", "Generated")))


def grid_layout(rows: int, columns: int) -> Data:
    """Return a layout of trays of cells seen from above, two in parallel, bars of four landings, taps on bars."""
    data = stick_layout(4) | {"faces": {"T": "top"}}
    posts = {"F": {"at": ["15 mm", "20 mm", "90 mm"], "face": "T", "joint": "post"},
             "R": {"at": ["15 mm", "110 mm", "90 mm"], "face": "T", "joint": "post"}}  # fmt: skip
    data["module types"] = {
        "cell": data["module types"]["stick"] | {"size": ["30 mm", "130 mm", "90 mm"], "posts": posts}
    }
    data["positions"] = {
        f"Q{row}-G01..Q{row}-G{columns:02d}": {
            "of": ["a", "b"], "module": "cell", "first at": ["0 mm", f"{180 * row} mm", "0 mm"],
            "step": ["30 mm", "0 mm", "0 mm"], "plus at": ["F", "R"],
        }
        for row in range(1, rows + 1)
    }  # fmt: skip
    data["bar types"] = {"bar": {"metal": "copper", "size": ["110 mm", "20 mm", "2 mm"], "resistance": "20 µΩ"}}
    data["series"] = {
        f"Q{row}": {"through": f"Q{row}-G01..Q{row}-G{columns:02d}", "bar": "bar",
                    "names": f"Q{row}-B01..Q{row}-B{columns - 1:02d}"}
        for row in range(1, rows + 1)
    }  # fmt: skip
    ends = {
        row: (f"Q{row}-G01a.R", f"Q{row}-G{columns:02d}a.{'R' if columns % 2 == 0 else 'F'}")
        for row in range(1, rows + 1)
    }
    data["leads"] = {"W0": [ends[1][0], "K2.2"], "W9": [ends[rows][1], "F1.1"], "W4": ["F1.2", "K1.1"]}
    data["leads"] |= {f"W1{row}": [ends[row][1], ends[row + 1][0]] for row in range(1, rows)}
    data["leads"] = {name: {"lands": lands} for name, lands in data["leads"].items()}
    data["devices"] = {name: spec for name, spec in data["devices"].items() if name != "SD"}
    data["states"] = {"open": {"closed": []}, "live": {"closed": ["K1", "K2"]}}
    data["taps"] = {f"Q{row}-S{i:02d}": f"Q{row}-B{i:02d}" for row in range(1, rows + 1) for i in range(1, columns)}
    data["covers"] = {f"C{row}": {"over": f"Q{row}"} for row in range(1, rows + 1)}
    for key in ("clamp", "order", "harness", "probes", "vents"):
        data.pop(key, None)
    return data


GENERATED = {
    "6": stick_layout(6), "24": stick_layout(24), "200": stick_layout(200), "trays": grid_layout(3, 12),
    "one tray": grid_layout(1, 40), "grouped": grouped_layout(12, 4),
}  # fmt: skip
SHEETS = (
    [f"layout {name}" for name in PACKS]
    + [f"phone {name}" for name in PACKS]
    + [f"generated {name}" for name in GENERATED]
    + [f"record {path.stem}" for path in RECORDS]
)


@cache
def sheet(name: str) -> Page:
    kind, _, which = name.partition(" ")
    if kind == "generated":
        return plain(GENERATED[which])
    if kind == "phone":
        return drawn(LAYOUTS / which / f"{which}.yaml", width=390)
    return layout(which) if kind == "layout" else drawn(next(path for path in RECORDS if path.stem == which))


def centre(page: Page, place: str) -> tuple[float, float]:
    return disc_area(next(page.named("post", place).iter(f"{SVG}circle"))).middle


def sign_at(page: Page, place: str) -> str:
    """Return the sign drawn at a post: two strokes make a +, one a −."""
    (path,) = page.named("post", place).iter(f"{SVG}path")
    return {1: "−", 2: "+"}[(path.get("d") or "").count("M")]


# -- it can be read --------------------------------------------------------------------------------------------------


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


# -- it is true ------------------------------------------------------------------------------------------------------


def test_the_scale_bar_is_true() -> None:
    for name, face_width in (("skerry-24", 24 * 20.0), ("plover-16", 16 * 37.0), ("heron-2x15", 480.0 + 600.0)):
        page = layout(name)
        first = [rect_area(r) for g in page.parts("module")[: 24 if name != "plover-16" else 16] for r in [g[1]]]
        first = first if name != "heron-2x15" else [rect_area(g[1]) for g in page.parts("module")]
        width = max(b.right for b in first) - min(b.left for b in first)
        assert width / face_width == pytest.approx(scale_of(page), rel=0.004)


def test_posts_of_the_front_and_of_the_back_are_where_one_sees_them() -> None:
    page = layout("skerry-24")
    scale = scale_of(page)
    for face, plus_first, direction in (("A", True, 1), ("B", False, -1)):
        x0, y0 = centre(page, f"P01.{face}")
        for i in range(1, 25):
            x, y = centre(page, f"P{i:02d}.{face}")
            assert x - x0 == pytest.approx(direction * 20 * (i - 1) * scale, abs=0.9)
            assert y == y0
            assert sign_at(page, f"P{i:02d}.{face}") == ("+" if plus_first == (i % 2 == 1) else "−")
    one = rect_area(next(g for g in page.parts("module") if g.get("data-part") == "P01")[1])
    x, y = centre(page, "P01.A")
    assert (x - one.left, y - one.top) == (
        pytest.approx(10 * scale, abs=0.2),
        pytest.approx((100 - 60) * scale, abs=0.2),
    )


def test_seen_from_above_what_is_further_away_is_higher() -> None:
    page = layout("plover-16")
    front, rear = centre(page, "P01.F"), centre(page, "P01.R")
    assert front[0] == rear[0]
    assert front[1] - rear[1] == pytest.approx((98 - 32) * scale_of(page), abs=0.3)


@pytest.mark.parametrize("name", PACKS)
def test_each_part_is_drawn_once(name: str) -> None:
    page, pack = layout(name), open_file(LAYOUTS / name / f"{name}.yaml").pack
    posts = page.names("post")
    assert sorted(posts) == sorted(f"{p.name}.{post}" for p in pack.positions.values() for post in (p.plus, p.minus))
    faces = {name_: {pack.face_of(p.plus_place), pack.face_of(p.minus_place)} for name_, p in pack.positions.items()}
    assert sorted(page.names("module")) == sorted(n for n, on in faces.items() for _ in on)
    bars = page.names("bar")
    assert len(bars) == len(set(bars))
    told = set(bars) | set(page.names("lead")) | set(page.names("in-line")) | set(page.names("junction"))
    assert {c for c in pack.conductors if c not in told} == set()
    assert sorted(page.names("pin")) == sorted(f"{t.connector}.{t.pin}" for t in pack.taps.values() if t.connector)
    assert sorted(page.names("tap")) == sorted(pack.taps)
    assert sorted(page.names("probe")) == sorted(pack.probes)
    across = {d.name for d in pack.devices.values() if d.across}
    assert sorted(page.names("across")) == sorted(across)
    devices = [n for n in page.names("in-line") if n in pack.devices]
    assert sorted(devices) == sorted(set(pack.devices) - across)
    assert "without room" not in page.text


def test_layers_that_hide_each_other_are_faces_of_their_own() -> None:
    titles = [words for words in layout("eider-20").words() if words.startswith("Face ")]
    assert titles == ["Face T, seen from the top, layer 1 of 2 (L2), the nearest",
                      "Face T, seen from the top, layer 2 of 2 (L1), behind it"]  # fmt: skip
    assert [words for words in layout("heron-2x15").words() if words.startswith("Face ")] == [
        "Face F, seen from the front"
    ]


def test_a_long_row_is_cut_into_strips_of_one_scale_with_names_that_can_be_read() -> None:
    page = sheet("generated 200")
    titles = [words for words in page.words() if words.startswith("Face A")]
    assert titles[0] == "Face A, seen from the front, strip 1 of 6: P001 to P034"
    assert len(titles) == 6
    names = {f"P{i:03d}" for i in range(1, 201)}
    assert sorted(words for words in page.words() if words in names) == sorted(2 * list(names))
    boxes = [rect_area(g[1]) for g in page.parts("module")]
    assert max(b.right - b.left for b in boxes) - min(b.right - b.left for b in boxes) < 0.2


def test_current_runs_over_a_bar_from_plus_to_minus() -> None:
    page = layout("skerry-24")
    heads = [e for e in page.root.iter(f"{SVG}path") if e.get("class") == "head"]
    assert len(heads) == 22 + 1, "22 bars, and the legend"
    for bar, forwards in (("B01", True), ("B02", False)):  # face B is seen from behind
        box = rect_area(page.named("bar", bar)[1])
        inside = [
            points(h)
            for h in heads
            if box.left < points(h)[0][0] < box.right and box.top < points(h)[0][1] < box.bottom
        ]
        assert len(inside) == 1
        tip, one, other = inside[0]
        assert (tip[0] > max(one[0], other[0])) == forwards


def points(element: Element) -> list[tuple[float, float]]:
    numbers = [float(n) for n in re.findall(r"-?\d+\.\d", element.get("d") or "")]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


# -- records ---------------------------------------------------------------------------------------------------------


def record_named(stem: str) -> Page:
    return drawn(next(path for path in RECORDS if path.stem == stem))


def test_what_is_missing_is_marked_where_it_belongs_by_shape_and_words() -> None:
    page = record_named("sk-0421-two-links")
    bar = page.named("bar", "B06")
    assert "gone" in (bar[1].get("class") or "")
    assert "not fitted" in (bar[0].text or "")
    assert "B06 not fitted" in page.words()
    mark = page.named("mark", "B06")
    assert [(t.text or "").split(",")[0] for t in mark.iter(f"{SVG}text")] == ["1!"]
    shape = points(next(mark.iter(f"{SVG}path")))
    assert len(shape) == 8, "an octagon"
    at, place = text_area(next(mark.iter(f"{SVG}text"))).middle, rect_area(bar[1]).middle
    assert abs(at[0] - place[0]) + abs(at[1] - place[1]) < 60
    assert any(words.startswith("broken, never energize: B06 ") for words in page.words())


def test_a_module_put_in_the_wrong_way_round_shows_the_sign_that_was_seen() -> None:
    page = record_named("sk-0426-second-shift")
    title = page.named("post", "P07.A")[0].text
    assert title == "post P07.A, planned +, seen −"
    assert (sign_at(page, "P07.A"), sign_at(page, "P07.B")) == ("−", "+")
    assert sign_at(layout("skerry-24"), "P07.A") == "+"


def test_what_nobody_recorded_is_drawn_in_outline(tmp_path: Path) -> None:
    data = stick_layout(6)
    pack = open_file(write(tmp_path / "generated.yaml", data)).pack
    record = clean_record(pack)
    del record["modules"]["P3"], record["bars"]["B2"]
    page = drawn(write(tmp_path / "record.yaml", record | {"layout": "generated.yaml"}))
    circle = next(page.named("post", "P3.A").iter(f"{SVG}circle"))
    assert "plan" in (circle.get("class") or "").split()
    assert "plan" not in (next(page.named("post", "P4.A").iter(f"{SVG}circle")).get("class") or "").split()
    assert page.named("bar", "B2")[1].get("class") == "metal-unknown"
    assert page.named("bar", "B1")[1].get("class") == "metal"


def test_a_conductor_found_elsewhere_is_drawn_where_it_was_found() -> None:
    page = record_named("ed-0038-cable-run")
    found = [text.text for g in page.parts("lead") for text in g.iter(f"{SVG}text")]
    assert "W1 → F1.1 found here" in found
    assert "W4 → F2.1 found here" in found
    moved = next(g for g in page.parts("lead") if g.get("data-part") == "W1")
    post = centre(page, "L2-M10.R")
    at = text_area(next(moved.iter(f"{SVG}text"))).middle
    assert abs(at[0] - post[0]) + abs(at[1] - post[1]) < 80


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_every_heavy_finding_with_a_place_is_marked_and_every_one_is_told(path: Path) -> None:
    page = drawn(path)
    rules, _ = rules_and_profile(None, None)
    report = check_opened(open_file(path), rules, GATES[1], None)
    told = {m.get("data-part") for m in page.parts("mark")}
    assert {f"note {i}" for i in range(1, len(report.paragraphs) + 1)} <= told
    pack = open_file(path).pack
    tables = {rule.name: rule.each for rule in rules}
    for paragraph in report.paragraphs:
        for finding in paragraph.findings:
            heavy = finding.outcome.value == "broken" and finding.severity.value != "advise"
            if heavy and tables[finding.rule] in ("module", "conductor", "device", "cover"):
                known = finding.subject in {*pack.positions, *pack.conductors, *pack.devices, *pack.covers}
                assert not known or finding.subject in told, finding.subject


def test_a_wrench_named_like_a_lead_marks_no_lead() -> None:
    page = record_named("tn-0016-wrench-seven")
    assert any("instrument-overdue" in words for words in page.words())
    assert "W1" not in page.names("mark")


# -- documents -------------------------------------------------------------------------------------------------------


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


# -- the command -----------------------------------------------------------------------------------------------------

SKERRY = str(LAYOUTS / "skerry-24" / "skerry-24.yaml")
LINKS = str(demonstration("skerry-24/sk-0421-two-links.yaml"))


def test_command_writes_a_whole_file_and_replaces_only_its_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "pack.svg"
    assert run(["draw", LINKS, "-o", str(target)]) == 1
    first = target.read_text(encoding="utf-8")
    assert first.endswith("</svg>\n")
    assert "drawing of SK-0421" in capsys.readouterr().out
    assert run(["draw", SKERRY, "--output", str(target)]) == 0
    assert target.read_text(encoding="utf-8") != first
    other = tmp_path / "mine.svg"
    other.write_text("<svg/>", encoding="utf-8")
    assert run(["draw", SKERRY, "-o", str(other)]) == 2
    assert other.read_text(encoding="utf-8") == "<svg/>"
    assert "--force" in capsys.readouterr().err
    assert run(["draw", SKERRY, "-o", str(other), "--force"]) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.svg", "pack.svg"]


def test_command_prints_where_no_file_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", LINKS, "--gate", "release"]) == 1
    page = Page(capsys.readouterr().out)
    assert page.words()[0] == "Pack SK-0421, 24 modules and 27 conductors"


def test_a_step_is_highlighted(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", SKERRY, "--step", "4"]) == 0
    page = Page(capsys.readouterr().out)
    lit = [g.get("data-part") for g in page.parts("bar") if any("halo" in (r.get("class") or "") for r in g)]
    assert sorted(lit) == ["B06", "B18"]  # type: ignore[type-var]
    assert "highlighted: step 4, B06, B18" in page.words()
    assert run(["draw", SKERRY, "--step", "9"]) == 2
    assert "it has 1.1, 1.2" in capsys.readouterr().err


def test_of_a_record_the_first_step_not_done_is_highlighted() -> None:
    rules, _ = rules_and_profile(None, None)
    assert not any("highlighted" in words for words in record_named("clean-sk-0417").words())
    assert rules


def test_command_refuses_what_it_cannot_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["draw", str(tmp_path / "none.yaml")]) == 4
    assert run(["draw", SKERRY, "--gate", "tomorrow"]) == 2
    assert capsys.readouterr().out == ""
