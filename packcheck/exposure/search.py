"""The best order of all, found by looking at every set of things that can be fitted; for small packs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from packcheck.exposure.exposed import Model
from packcheck.exposure.planning import proposals_for
from packcheck.exposure.precedence import Key, Merit, Precedence, class_rank
from packcheck.exposure.steps import State
from packcheck.model.pack.order import DISCONNECT, Stage
from packcheck.physics.classes import CLASS_A_LIMIT_V

MOST_ACTS = 12
"""The most acts for which every set is looked at: n 2^n states."""
MOST_WEIGHED = 120
"""The most acts for which the powers of whole orders are compared."""


def standing(model: Model) -> State:
    """Return the state in which modules and devices stand and nothing else is fitted."""
    devices = frozenset(d.name for d in model.pack.devices.values() if d.kind != DISCONNECT)
    return State(positions=frozenset(model.pack.positions), devices=devices)


def merit_of(model: Model, precedence: Precedence, acts: Sequence[str]) -> Merit:
    """Return the merit of an order of acts, its power included."""
    _, merit = precedence.profile(acts)
    state, power = standing(model), 0.0
    for act in acts:
        state = state.after(model.pack, Stage("", precedence.kind(act), (act,)))
        if precedence.counts(act):
            power += model.power_sum_w(state)
    return replace(merit, power_w=power)


def best_order(model: Model, precedence: Precedence) -> list[str] | None:
    """Return the acts of the best order; None when there are too many acts to look at every set of them.

    Notes
    -----
    Dynamic programming over sets of acts.  What a set of acts leaves (voltage of the largest section, which metal is
    bare) does not depend on their order but for what is in hand, which the last act alone decides; so the best way to a
    larger set goes through the best way to a smaller one.
    """
    acts = [act for act in precedence.acts() if precedence.counts(act)]
    idle = [act for act in precedence.acts() if not precedence.counts(act)]
    early = [act for act in acts if act not in precedence.disconnects]
    late = [act for act in acts if act in precedence.disconnects]
    if len(early) > MOST_ACTS:
        return None
    steps = _Steps(model, precedence)
    best: dict[frozenset[str], tuple[Key, tuple[str, ...]]] = {frozenset(): (((), 0, (), 0.0), ())}
    for _ in early:
        further: dict[frozenset[str], tuple[Key, tuple[str, ...]]] = {}
        for done, (key, order) in best.items():
            for act in early:
                if act in done or not precedence.may_come(act, set(done)):
                    continue
                longer = steps.longer(key, (*order, act))
                known = further.get(done | {act})
                if known is None or longer < known[0]:
                    further[done | {act}] = (longer, (*order, act))
        best = further
    if not best:
        return None
    return [*best[frozenset(early)][1], *idle, *late]


class _Steps:
    """Takes one act further; the sections of a set of acts are worked out once."""

    def __init__(self, model: Model, precedence: Precedence) -> None:
        self._model, self._yard = model, precedence
        self._highest: dict[frozenset[str], float] = {}

    def longer(self, key: Key, order: tuple[str, ...]) -> Key:
        """Return the key of an order from that of the order without its last act."""
        done, last = frozenset(order), order[-1]
        if done not in self._highest:
            self._highest[done] = self._yard.profile(order)[0][-1].highest_v
        highest = self._highest[done]
        classes, acts, volts, power = key
        if self._yard.kind(last) == "covers":
            volts = (*volts, round(highest, 6))
            classes = (*classes, class_rank(volts[-1]))
        acts += highest > CLASS_A_LIMIT_V + 1e-9
        return classes, acts, volts, power + self._model.power_sum_w(self._state(order))

    def _state(self, order: tuple[str, ...]) -> State:
        kinds = {name: self._yard.kind(name) for name in order}
        conductors = frozenset(name for name in order if kinds[name] == "conductors")
        covers = frozenset(name for name in order if kinds[name] == "covers")
        start = replace(standing(self._model), conductors=conductors, covers=covers, taps="taps" in kinds)
        return start.after(self._model.pack, Stage("", kinds[order[-1]], (order[-1],)))


def plan(model: Model, precedence: Precedence) -> tuple[list[str], bool]:
    """Return the acts of the proposed order, and whether it is known to be the best of all."""
    best = best_order(model, precedence)
    if best is not None:
        return best, True
    proposals = proposals_for(model.pack, precedence)
    if len(proposals[0]) > MOST_WEIGHED:
        return min(proposals, key=lambda acts: precedence.profile(acts)[1].key), False
    return min(proposals, key=lambda acts: merit_of(model, precedence, acts).key), False
