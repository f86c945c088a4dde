"""What the marks and inks of a drawing mean."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from packcheck.render.drawing.document import MARGIN
from packcheck.render.drawing.look import Look
from packcheck.render.drawing.marks import Kind, badge, badge_width
from packcheck.render.drawing.paper import Box, circle, path, rect, strokes, text, words_px
from packcheck.render.drawing.symbols import polarity

Sample = Callable[[float, float], str]
"""Draws a sample whose left end and middle line are given, 26 px wide."""


def draw_legend(look: Look, top: float, right: float, *, kinds: Iterable[Kind] = ()) -> tuple[list[str], float]:
    """Return the legend in as many lines as it needs, and where it ends; ``kinds`` are those of the marks."""
    shapes, x, y = [], MARGIN, top + 2
    for wide, sample, words in _entries(look, kinds):
        length = wide + 6 + words_px(words)
        if x + length > right:
            x, y = MARGIN, y + 20
        shapes.append(sample(x, y) + text((x + wide + 6, y + 3.5), words, "s"))
        x += length + 18
    return [f'<g class="legend"><title>legend</title>{"".join(shapes)}</g>'], y + 12


def _entries(look: Look, kinds: Iterable[Kind]) -> Iterator[tuple[float, Sample, str]]:
    seen = " as seen" if look.is_record else " as planned"
    yield 18, lambda x, y: polarity((x + 9, y), 7, "+"), "positive post" + seen
    yield 18, lambda x, y: polarity((x + 9, y), 7, "−"), "negative post"
    if look.is_record:
        yield 18, lambda x, y: polarity((x + 9, y), 7, "+", seen=False), "planned, nobody recorded it"
        yield 30, lambda x, y: _bar(x, y, "metal"), "fitted"
        yield 30, lambda x, y: _bar(x, y, "metal-unknown"), "not recorded whether fitted"
        yield 30, lambda x, y: _bar(x, y, "gone"), "not fitted"
    elif look.is_work:
        yield 30, lambda x, y: _bar(x, y, "metal-bare"), "bare metal, a bare post has a black rim"
        yield 30, lambda x, y: _bar(x, y, "metal-under"), "under a cover"
        yield 24, lambda x, y: circle((x + 12, y), 9, "ring") + polarity((x + 12, y), 5.5, "+"), "capped post"
        yield 30, lambda x, y: _bar(x, y, "gone"), "not fitted yet"
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
    if look.lit:
        yield 30, lambda x, y: _bar(x, y, "halo"), "in hand in this step"
    for kind in kinds:
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
