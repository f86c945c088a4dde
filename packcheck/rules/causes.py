"""Which rules explain which: what a rule follows from, directly or through others."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from packcheck.rules.rule import Rule


def causes_of(rule: str, follows_from: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """Return every rule that a rule follows from, directly or through others; itself only in a circle."""
    found: set[str] = set()
    waiting = list(follows_from.get(rule, ()))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting.extend(follows_from.get(name, ()))
    return frozenset(found)


def causes_by_rule(rules: Iterable[Rule]) -> dict[str, frozenset[str]]:
    """Return the causes of each rule; rules that follow from each other in a circle explain nothing."""
    return _causes(tuple((rule.name, rule.follows_from) for rule in rules))


@lru_cache(maxsize=8)
def _causes(follows: tuple[tuple[str, tuple[str, ...]], ...]) -> dict[str, frozenset[str]]:
    follows_from = dict(follows)
    every = {name: causes_of(name, follows_from) for name in follows_from}
    return {name: frozenset(c for c in causes if name not in every.get(c, ())) for name, causes in every.items()}
