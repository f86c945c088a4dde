"""Drawings of records: what is missing, turned, moved or not recorded is marked where it belongs."""

from __future__ import annotations

from pathlib import Path

import pytest
from drawn_sheets import RECORDS, centre, drawn, layout, points, record_named, sign_at
from svg_pages import SVG, rect_area, text_area
from workshop import clean_record, stick_layout, write

from packcheck.app.arguments import rules_and_profile
from packcheck.judging.check import check_opened
from packcheck.model.opening import open_file
from packcheck.rules.findings import GATES


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
