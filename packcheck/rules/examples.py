"""The examples of a rule file: an outcome each, why, and the facts of one row that give it."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction

from packcheck.files.document import MarkedMapping
from packcheck.rules.catalogue import Column, Measured, Table, Value
from packcheck.rules.findings import Outcome
from packcheck.rules.keys import Keys, Path, shown
from packcheck.rules.rule import Example

_NUMBER = r"[-−+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_READING = re.compile(
    rf"(?:(?P<middle>{_NUMBER}) ± (?P<half>{_NUMBER})|(?P<low>{_NUMBER}) to (?P<high>{_NUMBER})"
    rf"|at least (?P<least>{_NUMBER})|at most (?P<most>{_NUMBER})|(?P<exact>{_NUMBER}))(?P<unfit> unfit)?"
)
_READING_FORMS = "6.2, 6.2 ± 0.2, 4.0 to 5.0, at least 5 or at most 5; with unfit after it for an unfit instrument"


def read_examples(keys: Keys, root: MarkedMapping, table: Table) -> tuple[Example, ...]:
    """Return the examples of a rule file; what is wrong in them goes to ``keys``."""
    listed = keys.items(("examples",), root["examples"]) if "examples" in root else None
    found = []
    for index, entry in enumerate(listed or []):
        path: Path = ("examples", index)
        if (item := keys.mapping(path, entry)) is None:
            continue
        keys.check_keys(path, item, ("outcome", "because", "facts"))
        outcome = keys.word(path, item, "outcome", Outcome)
        because = keys.text(path, item, "because")
        values = _facts(keys, (*path, "facts"), item, table)
        found.append(Example(outcome or Outcome.UNPROVEN, because, values, keys.document.mark(path).line))
    return tuple(found)


def _facts(keys: Keys, path: Path, item: MarkedMapping, table: Table) -> dict[str, Value]:
    facts = keys.mapping(path, item["facts"]) if "facts" in item else None
    values: dict[str, Value] = {}
    for name, written in (facts or {}).items():
        column = table.column_by_name.get(name)
        if column is None:
            known = list(table.column_by_name)
            keys.unknown((*path, name), name, known, f"column of {table.name}", key=True)
        elif written is not None:
            values[name] = _value(keys, (*path, name), column, written)
    return values


def _value(keys: Keys, path: Path, column: Column, written: object) -> Value:
    number = written if isinstance(written, int | Decimal) and not isinstance(written, bool) else None
    match column.kind:
        case "flag" if isinstance(written, bool):
            return written
        case "text" if isinstance(written, str):
            return written
        case "number" if number is not None:
            return float(Fraction(number))
        case "measured" if number is not None or isinstance(written, str):
            if (reading := read_reading(str(written))) is not None:
                return reading
    forms = {"flag": "true or false", "text": "a text", "number": "a number", "measured": _READING_FORMS}
    do = "Write the number in the unit of the column, without the unit." if column.unit else "Correct the value."
    keys.wrong(path, shown(written), f"{forms[column.kind]} for {column.name}", do=do)
    return None


def read_reading(text: str) -> Measured | None:
    """Return the interval that a reading of an example states, or None when the text is none.

    Examples
    --------
    >>> read_reading("6.2 ± 0.2 unfit")[:3]
    (6.0, 6.4, False)
    """
    match = _READING.fullmatch(text.strip())
    if match is None:
        return None
    written = {key: value for key, value in match.groupdict().items() if value and key != "unfit"}
    number = {key: Fraction(value.replace("−", "-")) for key, value in written.items()}
    infinite = float("inf")
    if "middle" in number:
        low, high = float(number["middle"] - number["half"]), float(number["middle"] + number["half"])
    elif "exact" in number:
        low = high = float(number["exact"])
    else:
        low = float(number.get("low", number.get("least", -infinite)))
        high = float(number.get("high", number.get("most", infinite)))
    if low > high:
        return None
    return Measured(low, high, not match["unfit"], "the instrument is unfit" if match["unfit"] else "")
