"""The blank record on paper: every row has its boxes, nothing comes from elsewhere, it prints on A4 and on Letter."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest
from browser import chromium
from workshop import grouped_layout, pack_of, rack_layout

from packcheck.app.cli import run
from packcheck.files.document import read_document
from packcheck.files.shipped import shipped_folder
from packcheck.judging.blank import blank_record
from packcheck.model.pack.from_document import read_pack
from packcheck.render.sheets.paper import paper

SKERRY = read_pack(read_document(shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml"))
PACKS = {"skerry-24": SKERRY, "groups": pack_of(grouped_layout(6, 2)), "rack": pack_of(rack_layout([4, 4]))}
CHROMIUM = shutil.which("chromium")
OPTIONS = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
           "--disable-background-networking", "--disable-component-update", "--disable-sync",
           "--no-pdf-header-footer")  # fmt: skip
EMPTY = frozenset({"meta", "br"})


class Page(HTMLParser):
    """Follows the tags of a page; what is not closed in its order is a mistake."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.rows: list[str] = []
        self.boxes, self.of_row = 0, False
        self.tags: set[str] = set()
        self.outside: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag not in EMPTY:
            self.open.append(tag)
        named = dict(attrs)
        self.boxes += named.get("class") == "box"
        self.of_row = named.get("scope") == "row"
        if self.of_row:
            self.rows.append("")
        self.outside += [
            f"{tag} {key}" for key in named if key in ("src", "href", "xlink:href") or key.startswith("on")
        ]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open[-1:] == ["th"] and self.of_row:
            self.rows[-1] = data


def page_of(name: str) -> Page:
    blank = blank_record(PACKS[name])
    return Page(paper(PACKS[name], blank.blocks, blank.remarks))


@pytest.mark.parametrize("name", PACKS)
def test_every_row_of_the_blank_record_has_a_box_for_each_column(name: str) -> None:
    page, blank = page_of(name), blank_record(PACKS[name])
    assert page.open == []
    asked = [line.name for b in blank.blocks if b.section != "pack" for line in b.lines]
    assert [row for row in page.rows if row] == [*(r for r in page.rows if r in ("pack", "sha256", "extra")), *asked]
    least = sum(len(b.columns) * len(b.lines) for b in blank.blocks if b.section != "pack")
    assert page.boxes >= least


@pytest.mark.parametrize("name", PACKS)
def test_the_sheets_hold_no_script_and_ask_for_nothing_from_elsewhere(name: str) -> None:
    page = page_of(name)
    assert page.outside == []
    assert "style=" not in paper(PACKS[name], blank_record(PACKS[name]).blocks)
    assert page.tags & {"script", "link", "img", "iframe", "object", "form"} == set()


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium on the path")
def test_a_browser_takes_the_style_of_the_page(tmp_path: Path) -> None:
    """Its policy names the style by its digest; another one would be refused with a message on the console."""
    assert CHROMIUM is not None
    (tmp_path / "sheet.html").write_text(paper(SKERRY, blank_record(SKERRY).blocks), encoding="utf-8")
    own = [f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom", "--enable-logging=stderr"]
    page = (tmp_path / "sheet.html").as_uri()
    ran = subprocess.run([CHROMIUM, *OPTIONS, *own, page], check=True, capture_output=True, timeout=120, text=True)
    assert "Content Security Policy" not in ran.stderr
    assert "</main>" in ran.stdout


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium on the path")
@pytest.mark.parametrize("width", [390, 1280])
def test_on_a_screen_nothing_but_a_table_in_its_own_box_scrolls_sideways(width: int, tmp_path: Path) -> None:
    pytest.importorskip("websockets", reason="websockets is not installed, by which Chromium is driven")
    (tmp_path / "sheet.html").write_text(paper(SKERRY, blank_record(SKERRY).blocks), encoding="utf-8")
    with chromium() as browser:
        page = browser.page()
        page.size(width, 844)
        page.open((tmp_path / "sheet.html").as_uri())
        assert page.run("document.documentElement.scrollWidth <= innerWidth")
        assert page.run("[...document.querySelectorAll('table')].every(t => t.parentElement.tabIndex === 0)")


def test_names_from_a_layout_are_text_and_nothing_else() -> None:
    layout = grouped_layout(4, 1)
    layout["covers"] = {"<b>&": {"over": "face T", "screws": "4 screw-m4"}}
    pack = pack_of(layout)
    text = paper(pack, blank_record(pack).blocks)
    assert "<b>" not in text
    assert "&lt;b&gt;&amp;" in text


def test_the_faces_are_drawn_at_the_stages_that_work_on_them() -> None:
    text = paper(SKERRY, blank_record(SKERRY).blocks)
    stages = re.split(r"<h2>", text)[1:]
    bars = next(stage for stage in stages if stage.startswith("Step 2.1"))
    assert "face A, seen from the front" in bars
    assert "face B" not in bars
    assert "<svg" not in next(stage for stage in stages if stage.startswith("Readings"))


@pytest.mark.skipif(CHROMIUM is None, reason="needs Chromium on the path")
@pytest.mark.parametrize(("size", "points"), [("A4", (595, 842)), ("letter", (612, 792))])
def test_it_prints_on_a4_and_on_letter_without_being_shrunk(size: str, points: tuple[int, int], tmp_path: Path) -> None:
    """ISO 216: A4 is 210 mm by 297 mm; Letter is 8.5 in by 11 in; a point is 1/72 in."""
    assert CHROMIUM is not None
    text = paper(SKERRY, blank_record(SKERRY).blocks).replace("@page{", f"@page{{size:{size};")
    text = re.sub(r'<meta http-equiv="Content-Security-Policy"[^\n]*', "", text)  # the style is another one here
    (tmp_path / "sheet.html").write_text(text, encoding="utf-8")
    own = [f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={tmp_path / 'a.pdf'}"]
    page = (tmp_path / "sheet.html").as_uri()
    subprocess.run([CHROMIUM, *OPTIONS, *own, page], check=True, capture_output=True, timeout=120)
    content = (tmp_path / "a.pdf").read_bytes()
    boxes = {
        tuple(round(float(n)) for n in box.split()[2:]) for box in re.findall(rb"/MediaBox \[([\d. ]+)\]", content)
    }
    assert all(abs(wide - points[0]) <= 1 and abs(high - points[1]) <= 1 for wide, high in boxes)
    assert boxes
    assert 15 <= len(re.findall(rb"/Type /Page\b", content)) <= 30


def test_paper_is_for_a_layout(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = shipped_folder("layouts") / "skerry-24"
    assert run(["sheet", str(folder / "skerry-24.yaml"), "-o", str(tmp_path / "sheet.html")]) == 0
    assert run(["sheet", str(folder / "clean-sk-0417.yaml"), "--as", "paper"]) == 2
    assert "filled in already" in capsys.readouterr().err
