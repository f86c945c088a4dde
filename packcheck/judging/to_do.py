"""What nobody recorded, sorted into errands: by gate and stage, face by face, in the order in which hands do it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.files.name_lists import natural_key
from packcheck.judging.fewest_readings import Sparing, as_asked
from packcheck.judging.staging import StageOfWork, Stages
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import GATES, Finding, Gate, Outcome, Severity

WORKING_ORDER = (
    "eyes", "rule", "scale", "multimeter", "load tester", "cycler", "click wrench", "micro-ohmmeter",
    "insulation tester", "count", "clock",
)  # fmt: skip
"""Instruments in the order in which a bench picks them up: look, measure loose parts, join, measure joints, count."""
LAST = ("whether its cap is on", "paint mark")
"""What is looked at after everything else of a stage: cap and mark go on when the joint has been read."""


@dataclass(frozen=True)
class ToDo:
    """One errand: what to record at one or many places, on one face, with one instrument, at one stage of the work.

    ``again`` is True when it was read, but too coarsely to decide.  ``noun`` says what the places are, ``target`` what
    a torque has to be.  ``advice``: only rules without weight in the verdict ask for it.
    """

    gate: Gate
    instrument: str
    face: str
    what: tuple[str, ...]
    places: tuple[str, ...]
    noun: str
    again: bool
    rules: tuple[str, ...]
    stage: str = ""
    target: str = ""
    advice: bool = False

    @property
    def count(self) -> int:
        """Return how many things there are to record."""
        return len(self.what) * len(self.places)


@dataclass
class _Open:
    """A datum that some finding lacks: since which gate, for which rules, and whether it was read before."""

    gate: int
    again: bool
    advice: bool
    rules: dict[str, None]
    face: str


class _Key(NamedTuple):
    """What errands have in common that are said in one line."""

    gate: int
    rank: int
    stage: str
    last: bool
    face: str
    instrument: str
    again: bool
    advice: bool
    noun: str
    target: str


def to_do_list(
    findings: Iterable[Finding], noun_of: Callable[[str], str], work: Stages | None = None, sparing: Sparing = as_asked
) -> tuple[ToDo, ...]:
    """Return the errands in working order; each datum is in exactly one of them.

    Parameters
    ----------
    findings : with their consequences, which lack things too; waived ones ask for nothing.
    noun_of : the trade's word for what a name stands for.
    work : the stages of the work.
    sparing : what to record in place of a datum: one reading where it serves for several, nothing where it is known.
    """
    places: dict[tuple[_Key, str], dict[str, None]] = {}
    rules: dict[tuple[_Key, str], dict[str, None]] = {}
    for datum, wanted in _open_data(findings, sparing).items():
        key = _key(datum, wanted, noun_of, work)
        places.setdefault((key, datum.what), {})[datum.place] = None
        rules.setdefault((key, datum.what), {}).update(wanted.rules)
    alike: dict[tuple[_Key, tuple[str, ...]], list[str]] = {}
    for (key, what), names in places.items():
        alike.setdefault((key, tuple(sorted(names, key=natural_key))), []).append(what)
    in_order = sorted(alike.items(), key=lambda item: _working_order(*item[0]))
    return tuple(_errand(key, what, names, rules) for (key, names), what in in_order)


def walk(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Yield every finding, each before those that follow from it."""
    for finding in findings:
        yield finding
        yield from walk(finding.consequences)


def _key(datum: Datum, wanted: _Open, noun_of: Callable[[str], str], work: Stages | None) -> _Key:
    rank, stage = work.of(datum, GATES[wanted.gate]) if work else StageOfWork(0, "")
    face = "" if work and work.is_anywhere(datum.place) else wanted.face
    target = work.target(datum) if work else ""
    return _Key(
        wanted.gate, rank, stage, datum.what in LAST, face, datum.instrument, wanted.again, wanted.advice,
        noun_of(datum.place), target,
    )  # fmt: skip


def _errand(
    key: _Key, what: Sequence[str], places: tuple[str, ...], rules: dict[tuple[_Key, str], dict[str, None]]
) -> ToDo:
    asking = dict.fromkeys(rule for one in what for rule in rules[key, one])
    return ToDo(
        GATES[key.gate], key.instrument, key.face, tuple(what), places, key.noun, key.again, tuple(asking),
        key.stage, key.target, key.advice,
    )  # fmt: skip


def _working_order(key: _Key, places: tuple[str, ...]) -> tuple[object, ...]:
    first = natural_key(places[0]) if places else ()
    known = key.instrument in WORKING_ORDER
    instrument = (WORKING_ORDER.index(key.instrument) if known else len(WORKING_ORDER), key.instrument)
    return (*key[:5], instrument, key.again, key.advice, key.noun, first, key.target)


def _open_data(findings: Iterable[Finding], sparing: Sparing) -> dict[Datum, _Open]:
    """Return each open datum once, with the name of its place, not the place in words.

    A datum that one rule lacks and another finds too coarse was read: it is to be read again.
    """
    found: dict[Datum, _Open] = {}
    for finding in walk(findings):
        if finding.waived or finding.outcome not in (Outcome.UNPROVEN, Outcome.UNDECIDED):
            continue
        gate, again = GATES.index(finding.gate), finding.outcome is Outcome.UNDECIDED
        advice = finding.severity is Severity.ADVISE
        for datum in finding.data:
            named = datum._replace(place=finding.subject) if datum.place == finding.place else datum
            for single in (named,) if again else sparing(named):
                wanted = found.setdefault(single._replace(face=""), _Open(gate, again, advice, {}, ""))
                wanted.gate, wanted.again = min(gate, wanted.gate), again or wanted.again
                wanted.advice, wanted.face = advice and wanted.advice, wanted.face or single.face
                wanted.rules[finding.rule] = None
    return found
