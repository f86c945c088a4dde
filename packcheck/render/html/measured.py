"""Voltages as read beside what the record predicts, and modules beside their like: a row and a small plot for each."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.files.quantities import format_interval, format_quantity
from packcheck.render.html.element import Child, Markup, element, joined
from packcheck.render.html.plots import Measurement, Span, plot
from packcheck.render.html.subject import Section, Subject, table
from packcheck.rules.catalogue import Measured, Row, Value

KEY = (
    "On each plot the band is what is allowed, the hollow box what was expected, the bar what was read with its"
    " uncertainty; an arrow at an end is a reading beyond the plot."
)


def measured(subject: Subject) -> Section | None:
    """Return readings and modules of a record; None where none was read."""
    readings = [row for row in subject.rows("reading") if isinstance(row.values.get("value_v"), Measured)]
    modules = [row for row in subject.rows("module") if isinstance(row.values.get("rest_v"), Measured)]
    if not readings and not modules:
        return None
    body: list[Markup] = [element("p", KEY, class_="quiet small")]
    if readings:
        heads: tuple[str, ...] = (
            "reading", "between", "state", "read", "expected", "apart", "may be apart", "plot", "finding",
        )  # fmt: skip
        body.append(table("Voltages, read beside predicted", heads, (_reading(subject, row) for row in readings),
                          (3, 4, 5, 6)))  # fmt: skip
    if modules:
        heads = ("position", "serial", "+ seen at", "at rest", "its like", "window", "plot", "finding")
        body.append(table("Modules at rest, beside their like and their window", heads,
                          (_module(subject, row) for row in modules), (3, 4, 5)))  # fmt: skip
    return Section("measured", "Measured beside predicted", joined(body))


def _reading(subject: Subject, row: Row) -> Markup:
    values, allowed = row.values, subject.dossier.allowed_v.get(row.subject)
    read, expected, apart = (span(values.get(name)) for name in ("value_v", "expected_v", "difference_v"))
    floating = bool(values.get("floating"))
    middle = 0.0 if floating else sum(expected) / 2 if expected else None
    band = (middle - allowed, middle + allowed) if middle is not None and allowed is not None else None
    words = "nothing joins them" if floating else _shown(expected, "V")
    cells: list[Child] = [
        row.subject, str(values["between"]), str(values.get("state") or "not recorded"), _shown(read, "V"), words,
        "" if floating else _shown(apart, "V"), "" if allowed is None else format_quantity(allowed, "V", 3),
        plot(Measurement("V", read, None if floating else expected, band)),
    ]  # fmt: skip
    return row_of(subject, "reading", cells, (3, 4, 5, 6), row.subject)


def _module(subject: Subject, row: Row) -> Markup:
    values = row.values
    read, median = span(values.get("rest_v")), values.get("peer_median_v")
    low, high = values.get("rest_low_v"), values.get("rest_high_v")
    window = (low, high) if isinstance(low, int | float) and isinstance(high, int | float) else None
    like = (median, median) if isinstance(median, int | float) else None
    cells: list[Child] = [
        row.subject, str(values.get("serial") or "not recorded"), str(values.get("plus") or "not recorded"),
        _shown(read, "V"), format_quantity(median, "V", 4) if isinstance(median, int | float) else "too few to tell",
        " to ".join(format_quantity(end, "V", 4) for end in window) if window else "none stated",
        plot(Measurement("V", read, like, window)),
    ]  # fmt: skip
    return row_of(subject, "", cells, (3, 4, 5), row.subject)


def row_of(subject: Subject, table: str, cells: list[Child], numbers: tuple[int, ...], *names: str) -> Markup:
    """Return a row of a table, the findings about it at its end; the first cell names it.

    ``table`` is the fact table that the row is of, "" for a part that several tables tell of.
    """
    tags = subject.finding_tags(table, *names)
    told = list(_cells([*cells, tags], numbers))
    return element("tr", told, class_="told" if tags else None)


def _cells(cells: list[Child], numbers: tuple[int, ...]) -> Iterator[Markup]:
    for i, cell in enumerate(cells):
        if i == 0:
            yield element("th", cell, scope="row", class_="name")
        else:
            yield element("td", cell, class_="n" if i in numbers else None)


def span(value: Value) -> Span | None:
    """Return the ends of a reading; None where there is none."""
    return (value.low, value.high) if isinstance(value, Measured) else None


def _shown(ends: Span | None, unit: str) -> str:
    return format_interval(*ends, unit) if ends else "not known"
