"""Small plots of one number each: what was read with its interval, what was expected, what is allowed."""

from __future__ import annotations

from typing import NamedTuple

from packcheck.files.quantities import format_interval, format_quantity
from packcheck.render.html.element import Markup, element

Span = tuple[float, float]
WIDTH, HEIGHT, EDGE = 176.0, 26.0, 8.0
_BEYOND = 1.5
"""How far the axis runs beyond what is allowed, as a multiple of it."""


class Measurement(NamedTuple):
    """One number in a unit: what was read, what was expected, and between which limits it is to lie."""

    unit: str
    read: Span | None = None
    expected: Span | None = None
    allowed: Span | None = None


def plot(one: Measurement) -> Markup | None:
    """Return the plot of a measurement that was read; None where there is nothing to hold it against.

    A hollow box is what was expected, the band what is allowed, the bar the reading; beyond the ends of the axis it
    becomes an arrow.
    """
    if one.read is None or (one.expected is None and one.allowed is None):
        return None
    left, right = _axis(one)
    middle = HEIGHT / 2

    def at(value: float) -> float:
        share = (value - left) / (right - left)
        return EDGE + min(1.0, max(0.0, share)) * (WIDTH - 2 * EDGE)

    shapes = [_line("axis", EDGE, WIDTH - EDGE, middle)]
    if one.allowed:
        low, high = at(one.allowed[0]), at(one.allowed[1])
        shapes.insert(0, _rect("band", low, high, 3, HEIGHT - 6))
    if one.expected:
        shapes.append(_rect("expected", *_least_wide(at(one.expected[0]), at(one.expected[1])), 6, HEIGHT - 12))
    shapes += _read(one, left, right, at(one.read[0]), at(one.read[1]))
    return element("svg", shapes, class_="plot", viewBox=f"0 0 {WIDTH:g} {HEIGHT:g}", role="img", aria_label=words(one))


def words(one: Measurement) -> str:
    """Return a measurement in words."""
    told = [f"read {format_interval(*one.read, one.unit)}" if one.read else "not read"]
    if one.expected:
        told.append(f"expected {format_interval(*one.expected, one.unit)}")
    if one.allowed:
        ends = [format_quantity(end, one.unit, 4) for end in one.allowed]
        told.append(f"allowed {ends[0]} to {ends[1]}")
    return ", ".join(told)


def _axis(one: Measurement) -> Span:
    """Return the ends of the axis: about what is allowed, else about reading and expectation."""
    if one.allowed:
        low, high = one.allowed
        middle, half = (low + high) / 2, (high - low) / 2 * _BEYOND
    else:
        ends = [*(one.read or ()), *(one.expected or ())]
        middle, half = (min(ends) + max(ends)) / 2, (max(ends) - min(ends)) / 2 * _BEYOND
    half = half or abs(middle) / 100 or 1.0
    return middle - half, middle + half


def _read(one: Measurement, left: float, right: float, low: float, high: float) -> list[Markup]:
    """Return the bar of a reading, or an arrow where it lies beyond the axis."""
    assert one.read is not None
    value, middle = (one.read[0] + one.read[1]) / 2, HEIGHT / 2
    off = bool(one.allowed) and not (one.allowed or (0, 0))[0] <= value <= (one.allowed or (0, 0))[1]
    ink = " off" if off else ""
    if value < left or value > right:
        tip, back = (1.0, EDGE + 4) if value < left else (WIDTH - 1, WIDTH - EDGE - 4)
        way = f"M{tip:g} {middle:g}L{back:g} {middle - 7:g}L{back:g} {middle + 7:g}Z"
        return [element("path", d=way, class_=f"read{ink}")]
    dot = element("circle", cx=f"{(low + high) / 2:.1f}", cy=f"{middle:g}", r="3.5", class_=f"read{ink}")
    return [_line(f"bar{ink}", *_least_wide(low, high), middle), dot]


def _least_wide(low: float, high: float) -> Span:
    return (low, high) if high - low >= 3 else ((low + high) / 2 - 1.5, (low + high) / 2 + 1.5)


def _line(ink: str, left: float, right: float, y: float) -> Markup:
    return element("path", d=f"M{left:.1f} {y:g}L{right:.1f} {y:g}", class_=ink)


def _rect(ink: str, left: float, right: float, top: float, height: float) -> Markup:
    return element("rect", x=f"{left:.1f}", y=f"{top:g}", width=f"{max(0.5, right - left):.1f}", height=f"{height:g}",
                   class_=ink)  # fmt: skip
