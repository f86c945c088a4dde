"""Facts about all points of one test together: how far they lie apart, what must be alike or differ."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from packcheck.facts.evidence import Evidence
from packcheck.facts.of_test_points import At, at_point, unit_of
from packcheck.facts.tables.tests import FOUND
from packcheck.files.name_lists import list_places
from packcheck.files.quantities import format_interval, format_quantity
from packcheck.model.record.taken_tests import name_of
from packcheck.rules.catalogue import Datum, Measured, Row, Value


def test_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield one row for each test."""
    for test in evidence.pack.tests.values():
        points = [at_point(evidence, test, point) for point in test.points]
        ends = _spread(points, test.spread) if test.spread is not None else None
        concerned = _not_as_asked(points)
        open_ = [name_of(test, at.point.name) for at in points if at.value is None and not at.taken.found]
        values: dict[str, Value] = {
            "test": test.name, "kind": test.kind.name,
            "spread_asked": test.spread is not None, "spread": ends and ends[0], "most_spread": test.spread,
            "spread_to_be": format_quantity(test.spread, unit_of(points[0])) if test.spread and points else "",
            "spread_words": ends[1] if ends else None,
            "answers_asked": bool(test.kind.answers),
            "answers_right": False if concerned else None if open_ else True,
            "answers": concerned or None, "answers_to_be": test.kind.answers,
        }  # fmt: skip
        datum = Datum(FOUND, open_[0] if open_ else test.name, test.instrument)
        touches = frozenset({test.name, *(at.point.part for at in points if at.point.part)})
        origin = next((at.taken.origin for at in points if at.taken.origin), None)
        missing = {"spread": datum, "answers_right": datum}
        yield Row(test.name, values, missing, touches, f"the test {test.name}", "", origin)


def _spread(points: list[At], most: float) -> tuple[Measured, str] | None:
    """Return how far the points lie apart, and the two that do; where some were not read, only what is too far."""
    read = [(at, at.value) for at in points if at.value is not None]
    if not read:
        return None
    (lowest, low), (highest, high) = min(read, key=lambda one: one[1].high), max(read, key=lambda one: one[1].low)
    least = max(0.0, high.low - low.high)
    widest = max(value.high for _, value in read) - min(value.low for _, value in read)
    unfit = next((value for _, value in read if not value.fit), low)
    if len(read) < len(points) and least <= most:
        return None
    apart = Measured(least, widest if len(read) == len(points) else float("inf"), unfit.fit, unfit.unfit_because,
                     unfit.instrument)  # fmt: skip
    words = f"{lowest.point.name} {lowest.taken.value.written}" if lowest.taken.value else ""
    other = f"{highest.point.name} {highest.taken.value.written}" if highest.taken.value else ""
    return apart, f"{words}, {other}, {format_interval(apart.low, apart.high, unit_of(lowest))} apart"


def _not_as_asked(points: list[At]) -> str:
    """Return in words the points whose answers are alike and must differ, or differ and must be alike."""
    by_word: Mapping[str, list[str]] = defaultdict(list)
    for at in points:
        if at.taken.found:
            by_word[at.taken.found].append(at.point.name)
    answers = points[0].test.kind.answers if points else ""
    if answers == "alike" and len(by_word) > 1:
        return "; ".join(f"{word} at {list_places(names)}" for word, names in by_word.items())
    if answers == "apart":
        return "; ".join(f"{word} from {list_places(names)}" for word, names in by_word.items() if len(names) > 1)
    return ""
