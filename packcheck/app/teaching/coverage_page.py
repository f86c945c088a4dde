"""What the rules of a layout find of the library of faults, as a page: the faces filled by it, tables and lists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from packcheck.app.teaching.coverage_drawing import (
    BESIDE,
    KINDS,
    SAID,
    counts_of,
    look_of,
    notes_of,
    patterns,
    places_by_part,
    sketch_of,
    style,
    told_of,
)
from packcheck.app.teaching.coverage_text import HEADINGS, SEVERAL, rows_of, told
from packcheck.lessons.coverage import RESULTS, RIGHT, Coverage, Tried
from packcheck.model.pack.model import Pack
from packcheck.render.drawing.document import CAUTION, MARGIN
from packcheck.render.drawing.plan import Plan
from packcheck.render.html.closed_page import page_of_sections
from packcheck.render.html.drawing import NARROW, WIDE, figures
from packcheck.render.html.element import Markup, drawn, element, joined
from packcheck.simulate.faults.library import BY_NAME


def render_coverage_page(coverage: Coverage, pack: Pack, *, version: str) -> str:
    """Return coverage as a page: counts, the faces, part by part, fault by fault, and what would show the rest."""
    total = len(coverage.tried)
    by_part = places_by_part(pack, coverage.tried)
    short = [(SEVERAL if result == RIGHT else result, str(count), f"{count / max(1, total):.1%}")
             for result in RESULTS for count in [coverage.counted[result]]]  # fmt: skip
    sections = [
        _section("short", f"In short: {total} trials", html_table(("result", "trials", "share"), short)),
        _section("drawing", "The pack", _faces(pack, by_part)),
        _section("places", "Part by part", _parts(by_part)),
        _section("faults", "Fault by fault", html_table(HEADINGS, list(rows_of(coverage)))),
        *(_section(f"list-{number}", title, element("ul", [element("li", line) for line in lines]))
          for number, (title, lines) in enumerate(told(coverage)) if lines),
    ]  # fmt: skip
    title = f"Coverage of {coverage.pack}"
    return page_of_sections(title, sections, version=version, more_style=style())


def _section(name: str, title: str, *body: Markup) -> Markup:
    return element("section", element("h2", title, id=f"{name}-title"), body, id=name, aria_labelledby=f"{name}-title")


def _faces(pack: Pack, by_part: Mapping[str, Sequence[Tried]]) -> Markup:
    look, notes = look_of(by_part), notes_of(by_part)
    numbers = _numbers(by_part)

    def link(part: str, _notes: object) -> str:
        return f"#{numbers[part]}"

    def faces(width: float) -> Markup:
        plan = Plan(pack, look, width - 2 * MARGIN)
        return joined(figures(plan, notes, link, kinds=()))

    definitions = element("svg", element("defs", drawn(patterns())), width=0, height=0, aria_hidden="true",
                          class_="hatches", focusable="false")  # fmt: skip
    return joined([
        definitions,
        element("p", "Each part is filled by the worst that comes of a fault there, and marked with how many faults"
                " that is: the more hatched, the less is found. Faults of a joint stand at its bar or lead, those of a"
                " post at its module. Choose a mark to see them."),
        element("ul", [_fill(result) for result in reversed(KINDS)], class_="drawing fills"),
        element("div", faces(WIDE), class_="drawing wide"),
        element("div", faces(NARROW), class_="drawing narrow"),
        element("p", CAUTION, class_="quiet small"),
    ])  # fmt: skip


def _fill(result: str) -> Markup:
    sketch = element("svg", drawn(sketch_of(result)), viewBox="0 0 76 20", aria_hidden="true", focusable="false")
    return element("li", sketch, SAID[result])


def _numbers(by_part: Mapping[str, Sequence[Tried]]) -> Mapping[str, str]:
    return {part: f"part-{number}" for number, part in enumerate(by_part, 1)}


def _parts(by_part: Mapping[str, Sequence[Tried]]) -> Markup:
    numbers = _numbers(by_part)
    return joined(
        element(
            "details",
            element("summary", element("b", part if part != BESIDE else BESIDE.capitalize()), f": {told_of(tried)}"),
            element("div", list(_results(tried)), class_="in", id=f"{numbers[part]}"),
        )
        for part, tried in by_part.items()
    )


def _results(tried: Sequence[Tried]) -> Iterator[Markup]:
    for result in KINDS:
        if not counts_of(tried)[result]:
            continue
        yield element("p", element("b", f"{KINDS[result].sign} {SAID[result].capitalize()}"))
        those = [one for one in tried if one.result == result]
        if result == RIGHT:
            yield element("p", "; ".join(dict.fromkeys(BY_NAME[one.fault].title for one in those)))
        else:
            yield element("ul", [element("li", _line(one)) for one in those])


def _line(one: Tried) -> list[str | Markup]:
    by = f"; by {', '.join(one.rules[:3])}" if one.rules else ""
    takes = f", once {' or '.join(one.takes)} is read" if one.takes else ""
    shows = f"; what would show it: {BY_NAME[one.fault].settles}" if not one.rules else ""
    return [element("b", one.fault), f" ({BY_NAME[one.fault].title}), {one.variant}, at {one.place}{takes}{by}{shows}"]


def html_table(headings: Sequence[str], rows: Sequence[tuple[str, ...]]) -> Markup:
    """Return a table that scrolls by itself; what begins with a digit stands at the right."""
    top = element("tr", [element("th", heading, scope="col") for heading in headings])
    body = [
        element(
            "tr",
            element("th", row[0], scope="row"),
            [element("td", cell, class_="n" if cell.strip("%")[:1].isdigit() else None) for cell in row[1:]],
        )
        for row in rows
    ]
    return element("div", element("table", element("thead", top), element("tbody", body)), class_="box", tabindex=0,
                   role="group", aria_label=f"Table by {headings[0]}")  # fmt: skip
