"""Marks for an answer: five parts of four points, a gate, a share for long lists, credit for knowing what one knows.

The parts: find what is abnormal, with its number; say where; say what causes it and what it is not; say what it weighs
and whether the pack may go on; name the measurement that settles it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from packcheck.lessons.answers import WEIGHTS, Answer, Said
from packcheck.simulate.faults.fault import NEVER, parts_of
from packcheck.simulate.faults.library import BY_NAME

Key = Mapping[str, Any]
PART = 4.0
"""Points of each of the five parts."""
GATED = 8.0
"""Most points for an answer that would energize a pack that must never be."""
PASSED = 14.0
"""Points from which on a case counts as mastered."""
CREDIT = 2.0
"""Most points gained, or lost, by how sure an answer is."""


@dataclass(frozen=True)
class Marks:
    """The points of one answer; ``listed`` is the share that is left of a list longer than it need be.

    ``cost`` is what the questions cost that were ``asked`` on the way.
    """

    case: str
    by: str
    find: float
    locate: float
    explain: float
    weigh: float
    settle: float
    credit: float
    listed: float
    gated: bool
    is_right: bool
    said: tuple[str, ...]
    true: tuple[str, ...]
    gap: tuple[str, ...] = ()
    cost: float = 0.0
    asked: tuple[str, ...] = ()

    @property
    def total(self) -> float:
        """Return the points [of twenty]."""
        points = (self.find + self.locate + self.explain) * self.listed + self.weigh + self.settle + self.credit
        return round(max(0.0, min(GATED if self.gated else 20.0, max(0.0, points)) - self.cost), 1)

    @property
    def is_mastered(self) -> bool:
        """Return whether the case counts as mastered."""
        return self.total >= PASSED


def mark(answer: Answer, key: Key) -> Marks:
    """Return the marks of an answer against the key of its case."""
    faults: Sequence[Key] = key["faults"]
    if not faults:
        return _of_sound(answer)
    best = _one_for_each(answer.found, faults)
    three = [_three(said, fault) for said, fault in zip(best, faults, strict=True)]
    weighed = [_weight(said, fault) for said, fault in zip(best, faults, strict=True)]
    right = all(said.what == fault["name"] and _place(said, fault) == PART
                for said, fault in zip(best, faults, strict=True))  # fmt: skip
    never = any(fault["weight"] == NEVER for fault in faults)
    settles = any(answer.next in fault["next"] for fault in faults)
    return Marks(
        case=answer.case, by=answer.by,
        find=_mean(one[0] for one in three), locate=_mean(one[1] for one in three),
        explain=_mean(one[2] for one in three),
        weigh=_mean(weighed) + (2.0 if answer.energize is False else 0.0),
        settle=PART if settles else 0.0,
        credit=_credit(answer.confidence, right), listed=_listed(len(answer.found), len(faults)),
        gated=never and answer.energize is True, is_right=right,
        said=tuple(said.what for said in answer.found), true=tuple(fault["name"] for fault in faults),
        gap=tuple(f"{fault['title']}, at {fault['place']}" for said, fault in zip(best, faults, strict=True)
                  if not fault["found"] and said.what == fault["name"] and _place(said, fault) > 0),
    )  # fmt: skip


def _of_sound(answer: Answer) -> Marks:
    """Return the marks of an answer to a record with nothing wrong: a false alarm costs, and so does a wrong hold."""
    quiet = not answer.found
    full = PART if quiet else 0.0
    return Marks(
        case=answer.case, by=answer.by, find=full, locate=full, explain=full,
        weigh=PART if answer.energize else 1.0 if answer.energize is None else 0.0,
        settle=PART if answer.next in ("", "none") else 2.0,
        credit=_credit(answer.confidence, quiet), listed=1.0, gated=False, is_right=quiet,
        said=tuple(said.what for said in answer.found), true=(),
    )  # fmt: skip


def _one_for_each(entries: Sequence[Said], faults: Sequence[Key]) -> list[Said]:
    """Return for each fault the entry that earns most by it; an entry is about one fault, and some have none."""
    earned = [(sum(_three(said, fault)), i, j) for i, fault in enumerate(faults) for j, said in enumerate(entries)]
    chosen: dict[int, int] = {}
    for _, i, j in sorted(earned, key=lambda one: -one[0]):
        if i not in chosen and j not in chosen.values():
            chosen[i] = j
    return [entries[chosen[i]] if i in chosen else Said() for i in range(len(faults))]


def _three(said: Said, fault: Key) -> tuple[float, float, float]:
    """Return the points of finding, locating and explaining one fault by one entry of an answer."""
    place, cause = _place(said, fault), _cause(said, fault)
    seen = 3.0 if place > 0 or cause >= 2.0 else 0.0
    numbered = any(character.isdigit() for character in said.number)
    return (seen + (1.0 if seen and numbered else 0.0), place, cause)


def _place(said: Said, fault: Key) -> float:
    if not said.where:
        return 0.0
    told, true = set(_parts(said.where)), set(_parts(fault["place"]))
    if told == true:
        return PART
    return 2.0 if told & true or told & set(fault["beside"]) else 0.0


def _parts(where: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in parts_of(where.replace(" and ", ", ").replace(",", ", ")) if part.strip())


def _cause(said: Said, fault: Key) -> float:
    """Return the points for a cause: the right one, one easily taken for it, one of its family; and what it is not."""
    if said.what == fault["name"]:
        return 3.0 + (1.0 if said.not_ in fault["near"] else 0.0)
    if said.what in fault["near"]:
        return 2.0
    known = BY_NAME.get(said.what)
    return 1.0 if known and known.family == fault["family"] else 0.0


def _weight(said: Said, fault: Key) -> float:
    if said.weight not in WEIGHTS:
        return 0.0
    return max(0.0, 2.0 - abs(WEIGHTS.index(said.weight) - WEIGHTS.index(fault["weight"])))


def _listed(said: int, true: int) -> float:
    return min(1.0, true / said) if said else 1.0


def _credit(confidence: float | None, is_right: bool) -> float:
    """Return what knowing one's own doubt is worth: 2 for sure and right, 1 for even odds, −2 for sure and wrong."""
    if confidence is None:
        return 0.0
    return round(CREDIT - 2 * CREDIT * (confidence - is_right) ** 2, 2)


def _mean(numbers: Iterable[float]) -> float:
    found = list(numbers)
    return sum(found) / len(found)


@dataclass(frozen=True)
class CaseSummary:
    """How a class did in one case: points, who missed it, what it was taken for, what kinds of questions were asked."""

    case: str
    true: tuple[str, ...]
    mean: float
    missed: tuple[str, ...]
    taken_for: tuple[tuple[str, int], ...]
    asked: tuple[tuple[str, int], ...] = ()


def summary(marks: Sequence[Marks]) -> list[CaseSummary]:
    """Return how a class did, case by case."""
    found = []
    for case in sorted({one.case for one in marks}):
        those = [one for one in marks if one.case == case]
        wrong = Counter(what for one in those for what in one.said if what and what not in one.true)
        missed = tuple(one.by for one in those if not one.is_right)
        mean = round(_mean(one.total for one in those), 1)
        kinds = Counter(said.partition(" ")[0] for one in those for said in one.asked)
        taken_for, asked = tuple(wrong.most_common()), tuple(kinds.most_common())
        found.append(CaseSummary(case, those[0].true, mean, missed, taken_for, asked))
    return found
