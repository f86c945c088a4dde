"""The published matrix of detection: what `tests/benchmarks/detection.py` found, written as `rules/DETECTION.md`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from packcheck.files.shipped import shipped_folder
from packcheck.lessons.coverage import ELSEWHERE, NOT, READING, Tried
from packcheck.simulate.faults.fault import Fault
from packcheck.simulate.faults.library import FAULTS

PACKS = ("eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96")
PAGE = Path(shipped_folder("rules")) / "DETECTION.md"
NOWHERE = "–"
HEAD = """# What the rules find of the library of faults

Written by `.venv/bin/python tests/benchmarks/detection.py --journal FILE --write`, which puts every fault of the
library into simulated builds of every shipped pack, at every place where it can be, in every way in which it comes into
a record:

* *written truly*: somebody saw it and wrote it down;
* *believed as drawn*: nobody looked, and the record says what the drawing says;
* *measured*: it cannot be seen, and shows only in numbers, or it is a slip of the record itself.

A cell counts the places at which a rule that ought to find the fault finds it there, of the places that were tried.
`+`: at some of them only with an optional reading, which stands last in the row. `≠`: at so many places something is
found, by another rule or at another place. `–`: the pack has no place for it.
"""
MISSES = (ELSEWHERE, NOT)


def page_text(tried: Mapping[str, Sequence[Tried]], clean: str) -> str:
    """Return the page of what was tried on each pack; ``clean`` tells of the false alarms."""
    totals = ", ".join(f"{sum(one.result not in (ELSEWHERE, NOT) for one in those)} of {len(those)} on {pack}"
                       for pack, those in tried.items())  # fmt: skip
    lines = [
        HEAD,
        f"Found: {totals}.",
        "",
        clean,
        "",
        "## Fault by fault",
        "",
        *_table(tried),
        "",
        "## Not found, and why",
        "",
    ]
    lines += [f"* {line}" for line in _missed(tried)]
    lines += ["", "## Faults that no shipped pack has a place for", ""]
    lines += [f"* `{name}`" for name in nowhere(tried)]
    lines += ["", "## Faults that no record can show", ""]
    lines += [f"* `{fault.name}`: {fault.unseen}." for fault in FAULTS if fault.unseen]
    return "\n".join(lines) + "\n"


def nowhere(tried: Mapping[str, Sequence[Tried]]) -> list[str]:
    """Return the faults that a record can show, and that none of the packs has a place for."""
    placed = {one.fault for those in tried.values() for one in those}
    return [fault.name for fault in FAULTS if fault.is_expressible and fault.name not in placed]


def _table(tried: Mapping[str, Sequence[Tried]]) -> Iterator[str]:
    yield "| fault | how | " + " | ".join(tried) + " | rules that find it | reading |"
    yield "|---" * (len(tried) + 4) + "|"
    for fault in FAULTS:
        for variant in fault.variants:
            there = {pack: [one for one in those if (one.fault, one.variant) == (fault.name, variant)]
                     for pack, those in tried.items()}  # fmt: skip
            cells = [*map(_cell, there.values()), _by(fault, variant, there), _takes(there)]
            yield f"| `{fault.name}` | {variant} | {' | '.join(cells)} |"


def _cell(those: Sequence[Tried]) -> str:
    if not those:
        return NOWHERE
    count = Counter(one.result for one in those)
    found = len(those) - count[ELSEWHERE] - count[NOT]
    sign = " +" if count[READING] else ""
    return f"{found}/{len(those)}{sign}" + (f" {count[ELSEWHERE]}≠" if count[ELSEWHERE] else "")


def _by(fault: Fault, variant: str, there: Mapping[str, Sequence[Tried]]) -> str:
    spoke = {
        rule for those in there.values() for one in those if one.result not in (ELSEWHERE, NOT) for rule in one.rules
    }
    return ", ".join(f"`{rule}`" for rule in fault.expected(variant) if rule in spoke)


def _takes(there: Mapping[str, Sequence[Tried]]) -> str:
    return ", ".join(dict.fromkeys(takes for those in there.values() for one in those for takes in one.takes))


def _missed(tried: Mapping[str, Sequence[Tried]]) -> Iterator[str]:
    for fault in FAULTS:
        for variant in fault.variants:
            at = {pack: places for pack, those in tried.items() if (places := _places(those, fault.name, variant))}
            if at:
                why = why_missed(fault, variant, at)
                yield f"`{fault.name}`, {variant}: {why}. What would show it: {fault.settles}."


def _places(those: Sequence[Tried], fault: str, variant: str) -> list[str]:
    return [
        one.place for one in those if (one.fault, one.variant) == (fault, variant) and one.result in (ELSEWHERE, NOT)
    ]


def why_missed(fault: Fault, variant: str, at: Mapping[str, Sequence[str]]) -> str:
    """Return why a fault is not found on some packs; where no rule ought to, that is told of the fault itself."""
    if not fault.expected(variant):
        return fault.blind
    reasons = (f"on {pack} at {_some(there)}: {REASONS[fault.name, variant, pack]}" for pack, there in at.items())
    return "; ".join(reasons)


def _some(places: Sequence[str]) -> str:
    return ", ".join(places[:4]) + (f" and {len(places) - 4} more" if len(places) > 4 else "")


NO_LIMIT = "its layout sets no limit for isolation, so that no reading of it is judged"
ABOVE = "the leak that is put in there, of 8 to 40 kΩ, lies above the 100 Ω/V that the layout asks"
MANY = "of the five switches that part its strings a reading between the mains tells of none: each asks one of its own"
REASONS: dict[tuple[str, str, str], str] = {
    ("sense-lead-pinched", "measured", "eider-20"): ABOVE,
    ("electrolyte-leak", "measured", "eider-20"): ABOVE,
    ("opening-not-read", "measured", "heron-2x15"): MANY,
    **{
        (fault, "measured", "plover-16"): NO_LIMIT
        for fault in ("sense-lead-pinched", "electrolyte-leak", "two-leaks", "swarf", "damp")
    },
}
"""Why a fault that a rule ought to find is missed on a pack."""
