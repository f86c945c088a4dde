"""What nobody recorded, sorted into errands: by gate, instrument and face, in the order of the work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from packcheck.files.name_lists import natural_key
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import GATES, Finding, Gate, Outcome

WORKING_ORDER = (
    "eyes", "rule", "scale", "multimeter", "load tester", "cycler", "click wrench", "micro-ohmmeter",
    "insulation tester", "count", "clock",
)  # fmt: skip
"""Instruments in the order in which a bench picks them up: look, measure loose parts, join, measure joints, count."""


@dataclass(frozen=True)
class ToDo:
    """One errand: what to record at one or many places, on one face, with one instrument, by one gate.

    ``again`` is True when it was read, but too coarsely to decide.  ``noun`` says what the places are.
    """

    gate: Gate
    instrument: str
    face: str
    what: tuple[str, ...]
    places: tuple[str, ...]
    noun: str
    again: bool
    rules: tuple[str, ...]

    @property
    def count(self) -> int:
        """Return how many things there are to record."""
        return len(self.what) * len(self.places)


@dataclass
class _Open:
    """A datum that some finding lacks: since which gate, for which rules, and whether it was read before."""

    gate: int
    again: bool
    rules: dict[str, None]


_Key = tuple[int, str, str, bool, str]


def to_do_list(findings: Iterable[Finding], noun_of: Callable[[str], str]) -> tuple[ToDo, ...]:
    """Return the errands in working order; each datum is in exactly one of them.

    Parameters
    ----------
    findings : with their consequences, which lack things too; waived ones ask for nothing.
    noun_of : the trade's word for what a name stands for.
    """
    open_data = _open_data(findings)
    places: dict[tuple[_Key, str], dict[str, None]] = {}
    rules: dict[tuple[_Key, str], dict[str, None]] = {}
    for datum, wanted in open_data.items():
        key = (wanted.gate, datum.instrument, datum.face, wanted.again, noun_of(datum.place))
        places.setdefault((key, datum.what), {})[datum.place] = None
        rules.setdefault((key, datum.what), {}).update(wanted.rules)
    alike: dict[tuple[_Key, tuple[str, ...]], list[str]] = {}
    for (key, what), names in places.items():
        alike.setdefault((key, tuple(sorted(names, key=natural_key))), []).append(what)
    errands = (_errand(key, what, names, rules) for (key, names), what in alike.items())
    return tuple(sorted(errands, key=_working_order))


def walk(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Yield every finding, each before those that follow from it."""
    for finding in findings:
        yield finding
        yield from walk(finding.consequences)


def _errand(
    key: _Key, what: Sequence[str], places: tuple[str, ...], rules: dict[tuple[_Key, str], dict[str, None]]
) -> ToDo:
    gate, instrument, face, again, noun = key
    asking = dict.fromkeys(rule for one in what for rule in rules[key, one])
    return ToDo(GATES[gate], instrument, face, tuple(what), places, noun, again, tuple(asking))


def _working_order(errand: ToDo) -> tuple[object, ...]:
    first = natural_key(errand.places[0]) if errand.places else ()
    known = errand.instrument in WORKING_ORDER
    instrument = (WORKING_ORDER.index(errand.instrument) if known else len(WORKING_ORDER), errand.instrument)
    return (GATES.index(errand.gate), instrument, errand.face, errand.again, errand.noun, first, errand.what)


def _open_data(findings: Iterable[Finding]) -> dict[Datum, _Open]:
    """Return each open datum once, with the name of its place, not the place in words.

    A datum that one rule lacks and another finds too coarse was read: it is to be read again.
    """
    found: dict[Datum, _Open] = {}
    for finding in walk(findings):
        if finding.waived or finding.outcome not in (Outcome.UNPROVEN, Outcome.UNDECIDED):
            continue
        gate, again = GATES.index(finding.gate), finding.outcome is Outcome.UNDECIDED
        for datum in finding.data:
            named = datum._replace(place=finding.subject) if datum.place == finding.place else datum
            wanted = found.setdefault(named, _Open(gate, again, {}))
            wanted.gate, wanted.again = min(gate, wanted.gate), again or wanted.again
            wanted.rules[finding.rule] = None
    return found
