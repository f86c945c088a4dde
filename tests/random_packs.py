"""Random battery packs as networks, with the mistakes that builders make; every number is a decimal fraction."""

from __future__ import annotations

import random
from fractions import Fraction

from packcheck.network.circuit import Branch


def random_pack(
    rng: random.Random,
    strings: int,
    modules: int,
    parallel: int = 1,
    mistakes: int = 2,
    leaks: int = 3,
    is_open: bool = False,
) -> list[Branch]:
    """Return a pack of ``strings`` strings of ``modules`` groups of ``parallel`` modules; each joint is a branch.

    ``mistakes`` adds reversed modules, stray bars and cut links; ``leaks`` adds insulation resistances to a chassis.
    """
    branches = []
    for string in range(strings):
        branches += _string(rng, string, modules, parallel)
        if strings > 1 or not is_open:
            branches.append(Branch("minus", (string, 0, "-"), _micro_ohm(rng)))
            branches.append(Branch((string, modules - 1, "+"), "plus", _micro_ohm(rng)))
    if not is_open:
        branches.append(Branch("plus", "minus", Fraction(rng.randint(50, 5000), 100)))
    nodes = list(dict.fromkeys(node for branch in branches for node in (branch.start, branch.end)))
    for node in rng.sample(nodes, min(leaks, len(nodes))):
        branches.append(Branch(node, "chassis", Fraction(rng.randint(20, 900) * 10**6)))
    for _ in range(mistakes):
        _add_mistake(rng, branches, nodes)
    return branches


def _micro_ohm(rng: random.Random) -> Fraction:
    return Fraction(rng.randint(20, 150), 10**6)


def _string(rng: random.Random, string: int, modules: int, parallel: int) -> list[Branch]:
    branches = []
    for place in range(modules):
        minus, plus = (string, place, "-"), (string, place, "+")
        for member in range(parallel):
            post = (string, place, member)
            emf, inner = Fraction(792 + rng.randint(-9, 9), 100), Fraction(rng.randint(8000, 16000), 10**6)
            branches.append(Branch(minus, post, inner, emf))
            branches.append(Branch(post, plus, _micro_ohm(rng)))
        if place + 1 < modules:
            bar = (string, place, "bar")
            branches.append(Branch(plus, bar, _micro_ohm(rng)))
            branches.append(Branch(bar, (string, place + 1, "-"), _micro_ohm(rng)))
    return branches


def _add_mistake(rng: random.Random, branches: list[Branch], nodes: list[object]) -> None:
    kind = rng.choice(["reversed module", "stray bar", "link left out"])
    if kind == "stray bar":
        one, other = rng.sample(nodes, 2)
        branches.append(Branch(one, other, _micro_ohm(rng)))
        return
    sources = [number for number, branch in enumerate(branches) if branch.emf]
    if kind == "reversed module":
        place = rng.choice(sources)
        branches[place] = branches[place]._replace(emf=-branches[place].emf)
    else:
        links = [number for number, branch in enumerate(branches) if not branch.emf]
        del branches[rng.choice(links)]


def as_floats(branches: list[Branch]) -> list[Branch]:
    """Return the same network in floating-point numbers."""
    return [Branch(b.start, b.end, float(b.resistance), float(b.emf)) for b in branches]
