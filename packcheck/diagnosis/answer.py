"""The whole answer to readings that do not fit: what could explain them, what cannot, and what to measure next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from packcheck.diagnosis.hypothesis import NOTHING, Hypothesis
from packcheck.diagnosis.of_conductors import conductor_hypotheses
from packcheck.diagnosis.of_modules import module_hypotheses
from packcheck.diagnosis.of_senses import digit_hypotheses, paper_hypotheses, sense_hypotheses
from packcheck.diagnosis.plan import Planner, Step
from packcheck.diagnosis.search import MOST_PAIRS, Excluded, Fit, Observed, Search, observe
from packcheck.diagnosis.switched_network import Seen
from packcheck.diagnosis.worlds import Sight
from packcheck.model.record.model import Record

MOST_PLANNED = 40
"""How many hypotheses the next measurement is chosen between; the best of them."""


@dataclass(frozen=True)
class Kind:
    """The hypotheses of one kind that are excluded: how many, by which readings, and the one that came nearest."""

    kind: str
    count: int
    readings: tuple[str, ...]
    nearest: Excluded


@dataclass(frozen=True)
class Diagnosis:
    """What could explain the readings of a record.

    ``base`` is what the record predicts for each reading, ``misfits`` the numbers of those that disagree; ``fits`` are
    the hypotheses that explain all, best first, none of them certain; ``tried`` singles and pairs were solved, and
    ``unsolved`` says that more pairs were left out.
    """

    observed: tuple[Observed, ...]
    base: tuple[Seen, ...]
    misfits: tuple[int, ...]
    fits: tuple[Fit, ...]
    excluded: tuple[Kind, ...]
    step: Step | None
    tried: tuple[int, int]
    unsolved: bool = False

    @property
    def nothing_needed(self) -> bool:
        """Return whether the record as it stands predicts every reading."""
        return bool(self.observed) and not self.misfits


def diagnose(record: Record) -> Diagnosis:
    """Return what could explain the voltage readings of a record, and the measurement that tells it best.

    Every single hypothesis is solved; where none fits, pairs of them that could.  A record that predicts all its
    readings has "nothing otherwise than recorded" first, with what the readings cannot tell from it behind.
    """
    sight = Sight(record)
    observed = observe(record)
    search = Search(sight, observed)
    singles = list(hypotheses(sight, observed)) if observed else []
    for i in search.misfits:  # a digit otherwise in a reading that fits would make it one that does not
        if not observed[i].probe.less:
            singles += digit_hypotheses(observed[i].probe, observed[i].value)
    solved = [search.fit(hypothesis) for hypothesis in singles]
    fits = best_first([one for one in solved if isinstance(one, Fit)])
    excluded = [one for one in solved if isinstance(one, Excluded)]
    pairs = 0
    unsolved = False
    if not fits and observed:
        fits, pairs, unsolved = _pairs(search, [h for h in singles if h is not NOTHING])
    step = Planner(search).plan(fits[:MOST_PLANNED]) if search.misfits and len(fits) > 1 else None
    kinds = tuple(_kinds(excluded)) if search.misfits else ()
    return Diagnosis(observed, tuple(search.base), tuple(search.misfits), tuple(fits), kinds, step,
                     (len(singles), pairs), unsolved)  # fmt: skip


def hypotheses(sight: Sight, observed: Sequence[Observed]) -> Iterator[Hypothesis]:
    """Yield every single hypothesis about a record, "nothing otherwise" first."""
    yield NOTHING
    yield from module_hypotheses(sight)
    yield from conductor_hypotheses(sight)
    yield from sense_hypotheses(sight)
    probes, values = [one.probe for one in observed], [one.value for one in observed]
    yield from paper_hypotheses(probes, values, sight.record.pack.taps.keys())


def best_first(fits: Sequence[Fit]) -> list[Fit]:
    """Return fits best first, of several about the same parts the best; nothing otherwise before all."""
    found: dict[tuple[str, tuple[str, ...], str], Fit] = {}
    for fit in sorted(fits, key=lambda one: (one.hypothesis is not NOTHING, one.score)):
        found.setdefault((fit.hypothesis.kind, fit.hypothesis.parts, fit.hypothesis.says), fit)
    return list(found.values())


def _pairs(search: Search, singles: Sequence[Hypothesis]) -> tuple[list[Fit], int, bool]:
    tried, found = 0, []
    pairs = search.pairs(singles)
    for pair in islice(pairs, MOST_PAIRS):
        tried += 1
        fit = search.fit(pair)
        if isinstance(fit, Fit):
            found.append(fit)
    return best_first(found), tried, next(pairs, None) is not None


def _kinds(excluded: Sequence[Excluded]) -> Iterator[Kind]:
    by_kind: dict[str, list[Excluded]] = {}
    for one in excluded:
        by_kind.setdefault(one.hypothesis.kind, []).append(one)
    for kind, members in by_kind.items():
        readings = dict.fromkeys(one.reading for one in members)
        yield Kind(kind, len(members), tuple(readings), min(members, key=lambda one: one.widths))
