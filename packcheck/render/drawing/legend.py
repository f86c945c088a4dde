"""What the marks and inks of a drawing mean."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from packcheck.render.drawing.marks import KINDS, badge, badge_width
from packcheck.render.drawing.paper import Box, circle, path, rect, strokes, text, words_px
from packcheck.render.drawing.symbols import polarity

Sample = Callable[[float, float], str]
"""Draws a sample whose left end and middle line are given, 26 px wide."""


def draw_legend(
    left: float, top: float, right: float, *, is_record: bool, marks: bool, lit: bool
) -> tuple[list[str], float]:
    """Return the legend in as many lines as it needs, and where it ends."""
    shapes, x, y = [], left, top + 2
    for wide, sample, words in _entries(is_record, marks, lit):
        length = wide + 6 + words_px(words)
        if x + length > right:
            x, y = left, y + 20
        shapes.append(sample(x, y) + text((x + wide + 6, y + 3.5), words, "s"))
        x += length + 18
    return [f'<g class="legend"><title>legend</title>{"".join(shapes)}</g>'], y + 12


def _entries(is_record: bool, marks: bool, lit: bool) -> Iterator[tuple[float, Sample, str]]:
    yield 18, lambda x, y: polarity((x + 9, y), 7, "+"), "positive post" + (" as seen" if is_record else " as planned")
    yield 18, lambda x, y: polarity((x + 9, y), 7, "−"), "negative post"
    if is_record:
        yield 18, lambda x, y: polarity((x + 9, y), 7, "+", seen=False), "planned, nobody recorded it"
        yield 30, lambda x, y: _bar(x, y, "metal"), "fitted"
        yield 30, lambda x, y: _bar(x, y, "metal-unknown"), "not recorded whether fitted"
        yield 30, lambda x, y: _bar(x, y, "gone"), "not fitted"
    else:
        yield 30, lambda x, y: _bar(x, y, "metal"), "bar or link"
    yield 26, lambda x, y: strokes([((x + 2, y), (x + 24, y))], "wire"), "lead, and where it goes"
    yield 10, lambda x, y: circle((x + 5, y), 3.2, "ring") + circle((x + 5, y), 1, "dot"), "sense tap"
    yield (
        12,
        lambda x, y: path([(x + 2, y - 4.5), (x + 11, y), (x + 2, y + 4.5)], "head", closed=True),
        ("discharge current, as planned"),
    )
    yield 26, lambda x, y: strokes([((x, y), (x + 26, y))], "lid"), "cover"
    if lit:
        yield 30, lambda x, y: _bar(x, y, "halo"), "in hand in this step"
    if marks:
        for kind in KINDS:
            label = f"1{kind.sign}"
            wide = badge_width(label)
            yield (
                wide,
                lambda x, y, kind=kind, label=label, wide=wide: badge(  # type: ignore[misc]
                    Box(x, y - 7.5, wide, 15), label, kind, "legend", kind.words
                ),
                kind.words,
            )


def _bar(x: float, y: float, ink: str) -> str:
    return rect(Box(x + 1, y - 6, 28, 12), ink, 3)
