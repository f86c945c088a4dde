"""Facts about one number that stands at many joints or modules: how rarely honest readings write it so often.

Good joints of one type scatter, and a meter shows that as far as its last digit goes.  Of ``n`` readings that scatter
normally with a standard deviation ``s`` around any middle, written to a last digit worth ``r``, one falls on a given
number with a chance of at most ``p = r / (s √(2π))``, never above 1; so that ``k`` of them are alike has a chance of at
most ``C(n, k) p^(k − 1)``.  A coarse meter, or a resistance so small that its last digit hides the scatter, makes ``p``
1, and nothing improbable.  Whole numbers that all end in zeros count as written to the zeros.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from decimal import Decimal
from math import comb, log10, pi, sqrt
from typing import NamedTuple

from packcheck.facts.checked_readings import fitted_type
from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.files.origin import Origin
from packcheck.model.record.entry import Entry
from packcheck.rules.catalogue import Row, Value

SPREAD = 0.01
"""Least scatter of good joints, or of modules' resistances, as a share of the reading; common practice, no source."""
RAREST = 12.0
"""Decimal exponent at which a chance is rare enough to be told no more exactly."""


class Read(NamedTuple):
    """One number as it was written, and whose it is."""

    name: str
    number: Decimal
    written: str
    origin: Origin | None


def alike_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield for each type of joint, and of module, the resistance that stands most often."""
    for what, read in sorted(_kinds(evidence).items()):
        yield _row(what, read)


def chance_one_in(alike: int, of: int, step: float, number: float) -> float:
    """Return of how many such sets of readings chance writes at least so many alike in one, at the least.

    ``step``, ``number`` : worth of the last digit, and the reading, in one unit.

    >>> chance_one_in(18, 18, 1, 20)
    1.0
    >>> f"{chance_one_in(5, 18, 0.1, 60):.0f}"
    6
    """
    chance = min(1.0, step / (SPREAD * number * sqrt(2 * pi))) if number > 0 else 1.0
    exponent = log10(comb(of, alike)) + (alike - 1) * log10(chance)
    return max(1.0, float(f"{10 ** min(RAREST, -exponent):.1g}"))


def last_digit(numbers: Sequence[Decimal]) -> Decimal:
    """Return what the last digit is worth to which numbers were written; of whole ones that end in zeros, their tens.

    >>> last_digit([Decimal("60.0"), Decimal("61")]), last_digit([Decimal("60"), Decimal("120")])
    (Decimal('0.1'), Decimal('10'))
    """
    exponents = [int(number.as_tuple().exponent) for number in numbers]
    if min(exponents) < 0:
        return Decimal(10) ** min(exponents)
    step = Decimal(1)
    while any(numbers) and all(number % (step * 10) == 0 for number in numbers):
        step *= 10
    return step


def _kinds(evidence: Evidence) -> dict[str, list[Read]]:
    record, found = evidence.record, defaultdict[str, list[Read]](list)
    for name, (_, landing) in evidence.pack.joints.items() if record else ():
        joint, kind = record.joints.get(name) if record else None, evidence.pack.joint_types.get(landing.joint_type)
        if joint and joint.resistance_ohm and (one := _read(name, joint.resistance_ohm)):
            found[f"joints of type {kind.peers if kind else landing.joint_type}"].append(one)
    for name, module in record.modules.items() if record else ():
        if module.resistance_ohm and (one := _read(name, module.resistance_ohm)):
            found[f"modules of type {fitted_type(evidence, name).name}"].append(one)
    return found


def _read(name: str, entry: Entry) -> Read | None:
    number = re.match(r"\d+(?:\.\d+)?", entry.written)
    return Read(name, Decimal(number.group()), entry.written, entry.origin) if number else None


def _row(what: str, read: Sequence[Read]) -> Row:
    units = {one.written.rpartition(" ")[2] for one in read}
    written, count = Counter(one.written for one in read).most_common(1)[0]
    same = [one for one in read if one.written == written]
    number, step = same[0].number, last_digit([*{one.written: one.number for one in read}.values()])
    is_told = len(units) == 1 and count > 1
    values: dict[str, Value] = {
        "alike": what,
        "value": written,
        "count": count,
        "of": len(read),
        "step": f"{step:f} {written.rpartition(' ')[2]}",
        "one_in": chance_one_in(count, len(read), float(step), float(number)) if is_told else 1.0,
    }
    names = list_places(one.name for one in same)
    touches = frozenset(one.name for one in same)
    return Row(what, values, {}, touches, f"{what}: {names}", "", same[0].origin)
