"""Marks of a drawing as SVG: texts, rectangles, brackets beneath sections, the legend."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

from packcheck.exposure.sections import Section
from packcheck.render.exposure_view import Box
from packcheck.render.exposure_words import number
from packcheck.render.page import plural, printable

_LEGEND: Iterable[tuple[str, str]] = (
    ("bare", "bare metal"),
    ("under", "under a cover"),
    ("cap", "capped post"),
    ("not", "not fitted"),
)


def svg_text(x: float, y: float, size: str, words: str, anchor: str = "start") -> str:
    """Return a text at a point [px]; ``size`` is s, m, l or xl."""
    place = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{size}"{place}>{escape(printable(words))}</text>'


def svg_rect(box: Box, kind: str, round_px: float = 0.0) -> str:
    """Return a rectangle of a kind: mod, bare, under, cap, not."""
    return (
        f'<rect x="{box.x:.1f}" y="{box.y:.1f}" width="{max(box.width, 1.5):.1f}"'
        f' height="{max(box.height, 1.5):.1f}" rx="{round_px:g}" class="{kind}"/>'
    )


def section_brackets(sections: list[tuple[int, Section, list[Box]]], top: float) -> tuple[list[str], float]:
    """Return brackets beneath the face, on as many lines as they need, and where they end."""
    lines: list[float] = []
    parts = []
    for number_, section, boxes in sections:
        left, right = min(b.x for b in boxes) + 2, max(b.x + b.width for b in boxes) - 2
        words = f"[{number_}] {plural(len(section.modules), 'module')}, {number(section.highest_v, 'V')}"
        if right - left < 6.2 * len(words):
            words = f"[{number_}] {number(section.highest_v, 'V')}"
        extent = max(right, left + 6.2 * len(words))
        line = next((i for i, end in enumerate(lines) if end < left), len(lines))
        if line == len(lines):
            lines.append(extent)
        lines[line] = extent
        y = top + 30 * line
        parts.append(f'<path d="M{left:.1f} {y - 8:.1f}V{y:.1f}H{right:.1f}V{y - 8:.1f}" class="ink"/>')
        parts.append(svg_text((left + right) / 2, y + 13, "s", words, "middle"))
    return parts, top + 30 * len(lines)


def nearest_points(a: Box, b: Box) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the ends of the shortest line between two rectangles, a little inside each."""
    ends = []
    for first, second in ((a, b), (b, a)):
        x = min(max(second.middle[0], first.x + 2), first.x + max(first.width - 2, 2))
        y = min(max(second.middle[1], first.y + 2), first.y + max(first.height - 2, 2))
        ends.append((x, y))
    return ends[0], ends[1]


def legend(x: float, y: float) -> Iterator[str]:
    """Yield what the inks mean, in one line that begins at a point [px]."""
    for index, (kind, words) in enumerate(_LEGEND):
        at = x + 150 * index
        yield svg_rect(Box(at, y - 10, 22, 11), kind, 2)
        yield svg_text(at + 28, y, "s", words)
