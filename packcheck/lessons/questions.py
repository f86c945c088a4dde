"""What a trainee asks, in words -> a question that can be answered on a layout; or what is wrong with it."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.files.problems import WrongUsage, nearest_name
from packcheck.simulate.asked.question import KINDS, Kind, Question, states_of
from packcheck.simulate.scribe import Bench

LONGEST = 60
"""Most characters of a word that is said again in a message."""


def question_of(bench: Bench, words: Sequence[str], state: str = "") -> Question:
    """Return the question that words ask.

    Parameters
    ----------
    bench : the layout.
    words : the kind, then the names; none where there is one thing alone that it can be asked of.
    state : the switching state in which a voltage is read; that with most switches open where left out.

    Raises
    ------
    WrongUsage : there is no such kind, no such thing on this layout, or a name too few or too many.
    """
    if not words:
        raise WrongUsage(f"found no question, needed one of: {', '.join(KINDS)}")
    word, *given = words
    kind = KINDS[_known("kind of question", word, tuple(KINDS))]
    names = tuple(kind.names(bench))
    if not names:
        raise WrongUsage(f"{word} cannot be asked on {bench.pack.name}: its layout has nothing for it")
    if not given and len(names) == kind.count:
        given = list(names)
    if len(given) != kind.count:
        raise WrongUsage(f"{word}: found {_counted(len(given))}, needed {_counted(kind.count)} of: {_listed(names)}")
    found = tuple(_known(f"name that {word} can be asked of", name, names) for name in given)
    if len(set(found)) < len(found):
        raise WrongUsage(f"{word}: found {found[0]} twice, needed two places")
    return Question(word, found, _state(bench, word, kind, state))


def _state(bench: Bench, word: str, kind: Kind, state: str) -> str:
    known = states_of(bench.pack)
    if not kind.in_state:
        if state:
            raise WrongUsage(f"{word}: found the state '{state[:LONGEST]}', needed none: only volts is read in a state")
        return ""
    return _known("switching state", state, known) if state else known[0]


def _known(what: str, name: str, known: Sequence[str]) -> str:
    if name in known:
        return name
    alike = [one for one in known if one.casefold() == name.casefold()]
    near = alike[0] if len(alike) == 1 else nearest_name(name[:LONGEST], known)
    needed = f"did you mean '{near}'?" if near else f"needed one of: {_listed(known)}"
    raise WrongUsage(f"found no {what} '{name[:LONGEST]}'; {needed}")


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names[:12]) + " …" * (len(names) > 12)


def _counted(count: int) -> str:
    return f"{count} names" if count != 1 else "1 name"
