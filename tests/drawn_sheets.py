"""Sheets that ``packcheck draw`` makes: of every layout and record, of generated packs, and as wide as a phone."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from xml.etree.ElementTree import Element

from demonstrations import records
from svg_pages import SVG, Page, disc_area
from workshop import Data, grouped_layout, pack_of, stick_layout

from packcheck.app.arguments import rules_and_profile
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_opened
from packcheck.model.opening import open_file
from packcheck.render.drawing.document import Heading
from packcheck.render.drawing.look import Look
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


def points(element: Element) -> list[tuple[float, float]]:
    numbers = [float(n) for n in re.findall(r"-?\d+\.\d", element.get("d") or "")]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def record_named(stem: str) -> Page:
    return drawn(next(path for path in RECORDS if path.stem == stem))
