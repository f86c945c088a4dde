"""What is read again, drawn at random: which joints, modules and readings, and how likely that finds what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from math import ceil, comb

from packcheck.model.record.model import Record

USUAL_COUNT = 5
"""How many of each kind are drawn where nothing else is asked; common practice, no source."""
USUAL_SHARE = 0.1
"""The share of wrong ones for which the chance of finding one is told; common practice, no source."""


@dataclass(frozen=True)
class Drawn:
    """Of ``lot`` things of a kind, those drawn; the chance [1] that one of ``wrong`` wrong ones is among them."""

    kind: str
    names: tuple[str, ...]
    lot: int
    wrong: int
    chance: float


def chance_of_one(lot: int, wrong: int, drawn: int) -> float:
    """Return the chance [1] that at least one of the wrong ones of a lot is among those drawn without putting back.

    1 − C(lot − wrong, drawn) / C(lot, drawn): one minus the hypergeometric probability of none.

    Raises
    ------
    ValueError : fewer than none, or more wrong or drawn than there are.
    """
    if not (0 <= wrong <= lot and 0 <= drawn <= lot):
        raise ValueError(f"{wrong} wrong and {drawn} drawn of {lot}")
    return 1 - comb(lot - wrong, drawn) / comb(lot, drawn)


def number_needed(lot: int, wrong: int, chance: float) -> int:
    """Return how many are drawn of a lot so that one of the wrong ones is among them with at least this chance [1]."""
    return next(drawn for drawn in range(lot + 1) if chance_of_one(lot, wrong, drawn) >= chance)


def draw(names: Sequence[str], count: int, number: int, kind: str) -> tuple[str, ...]:
    """Return so many of the names, in their order, as a number draws them.

    The SHA-256 of number, kind and name puts them in a row, of which the first are taken: anybody can draw them again.
    """
    row = sorted(names, key=lambda name: sha256(f"{number}/{kind}/{name}".encode()).digest())
    taken = set(row[:count])
    return tuple(name for name in names if name in taken)


def drawn_from(
    record: Record, number: int, *, count: int = USUAL_COUNT, wrong: int | None = None, chance: float | None = None
) -> tuple[Drawn, ...]:
    """Return what is read again of each kind that the record has readings of.

    Parameters
    ----------
    record : what was fitted and read.
    number : what draws: the same number draws the same.
    count : how many of each kind; ``chance`` overrides it.
    wrong : how many wrong ones of a kind the chance is told for; a tenth of them where none is given, at least one.
    chance : draw so many that one of the wrong ones is among them with this chance [1].
    """
    found = []
    for kind, names in _kinds(record).items():
        if names:
            lot = len(names)
            bad = min(lot, ceil(USUAL_SHARE * lot) if wrong is None else wrong)
            many = min(lot, count) if chance is None else number_needed(lot, bad, chance)
            found.append(Drawn(kind, draw(names, many, number, kind), lot, bad, chance_of_one(lot, bad, many)))
    return tuple(found)


def _kinds(record: Record) -> Mapping[str, Sequence[str]]:
    return {
        "torque of joints": [name for name, joint in record.joints.items() if joint.torque_n_m],
        "resistance of joints": [name for name, joint in record.joints.items() if joint.resistance_ohm],
        "rest voltage of modules": [name for name, module in record.modules.items() if module.rest_v],
        "voltage readings": [reading.name for reading in record.readings],
    }
