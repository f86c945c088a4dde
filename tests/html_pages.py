"""Pages of the report for tests: shipped files, a hostile one, several in one; and what a page says in plain words."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import Element

import html5lib
from demonstrations import demonstration

from packcheck.app.cli import run
from packcheck.files.shipped import shipped_folder

LAYOUTS = shipped_folder("layouts")
HOSTILE = "</script><script>alert(1)</script>\\\" onload=x ' <img src=x> & `x"
HOSTILE_NAME = "<b>\u202e\"' onload=x.yaml"
SHIPPED = {
    "loop": ("skerry-24/sk-0424-bench-1.yaml",),
    "hold": ("heron-2x15/hr-0008-column-two.yaml",),
    "clean": ("plover-16/clean-pl-0052.yaml",),
    "layout": ("skerry-24/skerry-24.yaml",),
    "unrecorded": ("tern-96/tn-0012-before-the-bars.yaml",),
    "several": ("plover-16/pl-0055-wednesday.yaml", "eider-20/eider-20.yaml", "nothing.yaml"),
}


def page_of(files: tuple[str, ...], folder: Path, *more: str) -> str:
    """Return the page that ``packcheck check`` writes about some files."""
    target = folder / "page.html"
    run(["check", *(str(file_named(file)) for file in files), "--format", "html", "-o", str(target), "--force", *more])
    return target.read_text(encoding="utf-8")


def file_named(name: str) -> Path:
    """Return a shipped file, a record that tests keep, or one that is nowhere."""
    return LAYOUTS / name if name == "nothing.yaml" else demonstration(name)


def hostile_files(folder: Path) -> Path:
    """Write a layout and a record whose free texts try to break out of the page; return the record."""
    layout = (LAYOUTS / "skerry-24/skerry-24.yaml").read_text(encoding="utf-8")
    record = (LAYOUTS / "skerry-24/clean-sk-0417.yaml").read_text(encoding="utf-8")
    lines = [f'title: "{HOSTILE}"' if line.startswith("title:") else line for line in layout.splitlines()]
    (folder / "skerry-24.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    path = folder / HOSTILE_NAME
    assert "\nnotes:" in record
    path.write_text(record.replace("\nnotes:", f'\nnotes:\n  - "{HOSTILE}"', 1), encoding="utf-8")
    return path


def parsed(page: str) -> Element:
    """Return a page as a strict parser of the HTML standard reads it; it raises at the first mistake."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    document: Element = parser.parse(page)
    return document


def words_of(element: Element) -> str:
    """Return the text of an element, blanks of any kind as one."""
    return " ".join("".join(element.itertext()).split())
