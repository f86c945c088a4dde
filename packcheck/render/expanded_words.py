"""How the numbers and tables of a written-out layout look: every digit that was written, columns that line up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from packcheck.files.quantities import format_quantity
from packcheck.model.pack.types import Bounds, Point
from packcheck.render.page import Page

NOT_SAID = "not stated"
TIMES = " × "
EVERY = 12
"""As many digits as are held apart from the noise of arithmetic: nothing that a layout says is rounded away here."""


def exact(value: float | None, unit: str) -> str:
    """Return a quantity with every digit it was written with; "" for none."""
    return "" if value is None else format_quantity(value, unit, EVERY)


def labelled(label: str, value: float | None, unit: str) -> str:
    """Return a quantity behind its name; "" where there is none."""
    return f"{label} {exact(value, unit)}" if value is not None else ""


def band(bounds: Bounds, unit: str, middle: str = "aim") -> str:
    """Return a band: its ends and its ``middle``, ``not stated`` where it has none."""
    low, high, aim = (exact(value, unit) for value in (bounds.low, bounds.high, bounds.aim))
    span = f"{low} to {high}" if low and high else f"at least {low}" if low else f"at most {high}" if high else ""
    return ", ".join(filter(None, (span, f"{middle} {aim}" if aim else ""))) or NOT_SAID


def point(at: Point | None, between: str = " ") -> str:
    """Return three lengths in mm, in the order of the pack axes; "" for none."""
    return "" if at is None else between.join(format_quantity(value, "", EVERY) for value in at)


def listed(*words: str) -> str:
    """Return the words that there are, with commas between."""
    return ", ".join(filter(None, words))


def stated(value: object) -> str:
    """Return a value of a layout as a person writes it: lists with blanks between, a table with its names."""
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {stated(item)}" for key, item in value.items())
    return ", ".join(map(stated, value)) if isinstance(value, (list, tuple)) else str(value)


def write_table(page: Page, heading: str, titles: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Write a table with columns as wide as their widest cell; columns that stay empty are left out."""
    body = [tuple(row) for row in rows]
    if not body:
        return
    kept = [index for index in range(len(titles)) if any(row[index] for row in body)]
    widths = [max(len(row[index]) for row in [tuple(titles), *body]) for index in kept]
    page.heading(f"{heading} ({len(body)})")
    for row in [tuple(titles), *body]:
        page.verbatim("  ".join(row[index].ljust(width) for index, width in zip(kept, widths, strict=True)), 2)
