"""How many facts of each kind come out of all files together, and what their numbers add up to: kept, to be read.

``tests/golden/facts-census.txt`` has a line for each column of each fact table, over every case of ``tests/outcomes``
and every shipped pack and record: how many rows hold a value, what the values are (words and flags with their counts,
numbers with least, greatest and sum), how many readings prove nothing, and what is asked for where none is recorded.
A line that differs names the column that a change of the program moved.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from zlib import crc32

from goldens import assert_golden
from test_outcomes_from_files import CASES, FOLDERS, TABLES, facts_from, facts_of_case
from workshop import clean_record, grouped_layout, pack_of, rack_layout, record_of, stick_layout, trayed_layout

from packcheck.facts.build import build_facts
from packcheck.rules.catalogue import Column, Datum, Facts, Measured, Row, Table, Value

FEW = 6
"""So many words are listed with their counts; of more only how many there are, and a check sum."""


def everything() -> Iterator[Facts]:
    """Yield the facts of each case, of each shipped layout and record as it is, and of packs of other shapes."""
    yield from (facts_of_case(CASES[key]) for key in sorted(CASES))
    names = {str(path.relative_to(folder)) for folder in FOLDERS for path in folder.glob("*/*.yaml")}
    for name in sorted(names):
        if not name.startswith("lessons") and not name.endswith(".expect.yaml"):
            yield facts_from(name, (), ())
    for layout in (stick_layout(7), grouped_layout(4, 5), trayed_layout(9), rack_layout([4, 4, 3])):
        pack = pack_of(layout)
        yield build_facts(pack)
        yield build_facts(pack, record_of(clean_record(pack), pack))


def number(value: float) -> str:
    """Return a number to seven digits; what is left over of a difference of equals is 0."""
    return "0" if abs(value) < 1e-9 else f"{value:.7g}"


def of_numbers(values: Iterable[float], name: str = "") -> str:
    """Return the least, the greatest and the sum of those that are finite."""
    finite = [value for value in values if math.isfinite(value)]
    least, greatest = (number(how(finite)) for how in (min, max)) if finite else ("-", "-")
    return f"{name} {least} to {greatest} sum {number(math.fsum(finite))}".strip()


def of_words(values: Iterable[object]) -> str:
    """Return words with their counts; of many only how many, and their check sum."""
    counts = Counter(map(str, values))
    told = "; ".join(f"{count} {word!r}" for word, count in sorted(counts.items()))
    return told if len(counts) <= FEW else f"{len(counts)} words, check sum {crc32(told.encode()):08x}"


def of_values(values: list[Value]) -> str:
    """Return what the values of a column are."""
    if read := [value for value in values if isinstance(value, Measured)]:
        unfit = sum(not value.fit for value in read)
        why = of_words(value.unfit_because for value in read if not value.fit)
        ends = of_numbers((v.low for v in read), "low"), of_numbers((v.high for v in read), "high")
        return ", ".join((*ends, *([f"{unfit} prove nothing: {why}"] if unfit else [])))
    if all(isinstance(value, int | float) and not isinstance(value, bool) for value in values):
        return of_numbers(float(value) for value in values if isinstance(value, int | float))
    return of_words(values)


def line_of(table: Table, column: Column, rows: list[Row]) -> str:
    """Return what there is to say of one column."""
    values = [value for row in rows if (value := row.values.get(column.name)) is not None]
    asked = [datum for row in rows if (datum := row.missing.get(column.name))]
    line = f"{table.name}.{column.name}: {len(values)}"
    line += f" = {of_values(values)}" if values else ""
    return line + (f" | asks {of_data(asked)}" if asked else "")


def of_data(asked: list[Datum]) -> str:
    """Return what is asked for, and a check sum of where."""
    return (
        f"{of_words(f'{d.what} ({d.instrument})' for d in asked)} at {of_words(f'{d.place} {d.face}' for d in asked)}"
    )


def of_table(table: Table, rows: list[Row]) -> Iterator[str]:
    """Yield the lines of one table."""
    touched = of_words(" ".join(sorted(row.touches)) for row in rows)
    yield f"{table.name}: {len(rows)} rows, about {touched}; places {of_words(f'{r.place} {r.face}' for r in rows)}"
    yield f"{table.name}: stands at {of_words(row.origin.within if row.origin else 'no line' for row in rows)}"
    if without := [one for row in rows for one in row.without]:
        told = (f"{sorted(one.parts)} {sorted((k, rounded(v)) for k, v in one.values.items())}" for one in without)
        yield f"{table.name}: {len(without)} numbers without a part's fault, {of_words(told)}"
    yield from (line_of(table, column, rows) for column in table.columns)


def rounded(value: Value) -> str:
    """Return a value in words, numbers to five digits."""
    if isinstance(value, Measured):
        return f"{value.low:.5g} to {value.high:.5g}"
    return f"{value:.5g}" if isinstance(value, float) else str(value)


def test_the_facts_of_all_files_together_are_those_that_were_read() -> None:
    rows: dict[str, list[Row]] = defaultdict(list)
    for facts in everything():
        for name, some in facts.items():
            rows[name] += some
    lines = [line for name in sorted(TABLES) for line in of_table(TABLES[name], rows[name])]
    assert_golden("facts-census.txt", "\n".join([*lines, ""]))
