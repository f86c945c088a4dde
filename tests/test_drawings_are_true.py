"""Drawings of layouts are true: scale, posts, faces, layers, strips, and the way that the current runs."""

from __future__ import annotations

import pytest
from drawn_sheets import LAYOUTS, PACKS, centre, layout, points, sheet, sign_at
from svg_pages import SVG, rect_area, scale_of

from packcheck.model.opening import open_file


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
