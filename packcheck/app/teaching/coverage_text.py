"""What the rules of a layout find of the library of faults: as text, as JSON."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence

from packcheck.lessons.coverage import ELSEWHERE, NOT, ONE, RESULTS, Coverage, Tried
from packcheck.simulate.faults.library import BY_NAME, FAULTS

SEVERAL = "by several rules"
HEADINGS = ("fault", "written", "tried", SEVERAL, *RESULTS[1:])
NO_RECORD = "no record can show it"


def render_coverage(coverage: Coverage) -> str:
    """Return coverage as text."""
    return "\n".join([*_head(coverage), "", *_table(coverage), *_lists(coverage)]) + "\n"


def _head(coverage: Coverage) -> Iterator[str]:
    counted, total = coverage.counted, len(coverage.tried)
    yield f"COVERAGE of {coverage.pack}: {total} trials, of {coverage.places} places of faults"
    for result in RESULTS:
        name = SEVERAL if result == RESULTS[0] else result
        yield f"  {name:<17}{counted[result]:>6}  {counted[result] / max(1, total):.1%}"
    yield f"  {NO_RECORD}: {sum(not fault.is_expressible for fault in FAULTS)} faults of the library"


def rows_of(coverage: Coverage) -> Iterator[tuple[str, ...]]:
    """Yield a row for each fault and way it is written: how many trials came to which result."""
    for fault, variant in dict.fromkeys((one.fault, one.variant) for one in coverage.tried):
        counted = coverage.of(fault, variant)
        yield (fault, variant, str(counted.total()), *(str(counted[result] or "") for result in RESULTS))


def _table(coverage: Coverage) -> Iterator[str]:
    rows = [HEADINGS, *rows_of(coverage)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(HEADINGS))]
    for row in rows:
        cells = [cell.ljust(w) if i < 2 else cell.rjust(w) for i, (cell, w) in enumerate(zip(row, widths, strict=True))]
        yield "  ".join(cells).rstrip()


def _lists(coverage: Coverage) -> Iterator[str]:
    for title, lines in told(coverage):
        if lines:
            yield ""
            yield title.upper()
            yield from (f"  {line}" for line in lines)


def told(coverage: Coverage) -> Iterator[tuple[str, list[str]]]:
    """Yield what there is to tell beside the table, each with its title."""
    readings = [f"{one.reading}: about {one.minutes} min, finds {one.finds} more" for one in coverage.readings]
    yield "The cheapest readings that find all that optional readings find, the best for its time first", readings
    yield "Found by one rule alone", list(_alone(coverage.tried))
    yield "Not found, and what would show it", list(_missed(coverage, NOT))
    yield "Found elsewhere, or by another rule", list(_missed(coverage, ELSEWHERE))
    yield "Rules that spoke of nothing", list(coverage.silent)
    yield f"Faults of which {NO_RECORD}", [f"{fault.name}: {fault.unseen}" for fault in FAULTS if fault.unseen]


def _alone(tried: Sequence[Tried]) -> Iterator[str]:
    counted = Counter((one.rules[0], one.fault) for one in tried if one.result == ONE)
    by_rule: dict[str, list[str]] = {}
    for (rule, fault), _ in sorted(counted.items()):
        by_rule.setdefault(rule, []).append(fault)
    yield from (f"{rule}: {', '.join(faults)}" for rule, faults in by_rule.items())


def _missed(coverage: Coverage, result: str) -> Iterator[str]:
    for fault, variant in dict.fromkeys((one.fault, one.variant) for one in coverage.tried if one.result == result):
        places = [
            one.place for one in coverage.tried if (one.fault, one.variant, one.result) == (fault, variant, result)
        ]
        some = f"{', '.join(places[:3])}{f' and {len(places) - 3} more' if len(places) > 3 else ''}"
        why = "" if BY_NAME[fault].expected(variant) else f"{BY_NAME[fault].blind}; what would show it: "
        yield f"{fault}, {variant}, at {some}: {why}{BY_NAME[fault].settles}"


def render_coverage_json(coverage: Coverage, *, version: str) -> str:
    """Return coverage as JSON."""
    data = {
        "packcheck coverage": 1,
        "version": version,
        "pack": coverage.pack,
        "counts": {result: coverage.counted[result] for result in RESULTS},
        "tried": [vars(one) for one in coverage.tried],
        "readings": [one._asdict() for one in coverage.readings],
        "silent rules": list(coverage.silent),
        "not expressible": {fault.name: fault.unseen for fault in FAULTS if fault.unseen},
    }
    return json.dumps(data, ensure_ascii=False, indent=1, default=list) + "\n"
