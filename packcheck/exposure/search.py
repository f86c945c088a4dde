"""The best order of all, found by looking at every set of things that can be fitted; for small packs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from packcheck.exposure.planning import Merit, Yard
from packcheck.exposure.steps import State
from packcheck.exposure.story import Model
from packcheck.pack.order import DISCONNECT, Stage
from packcheck.physics.classes import CLASS_A_LIMIT_V

MOST_ACTS = 10
"""The most acts for which every set is looked at: n 2^n states."""

Key = tuple[tuple[float, ...], int, float]


def standing(model: Model) -> State:
    """Return the state in which modules and devices stand and nothing else is fitted."""
    devices = frozenset(d.name for d in model.pack.devices.values() if d.kind != DISCONNECT)
    return State(positions=frozenset(model.pack.positions), devices=devices)


def merit_of(model: Model, yard: Yard, acts: Sequence[str]) -> Merit:
    """Return the merit of an order of acts, its power included."""
    _, merit = yard.profile(acts)
    state, power = standing(model), 0.0
    for act in acts:
        state = state.after(model.pack, Stage("", yard.kind(act), (act,)))
        if yard.counts(act):
            power += model.power_sum_w(state)
    return replace(merit, power_w=power)


def best_order(model: Model, yard: Yard) -> list[str] | None:
    """Return the acts of the best order; None when there are too many acts to look at every set of them.

    Notes
    -----
    Dynamic programming over sets of acts.  What a set of acts leaves (voltage of the largest section, which metal is
    bare) does not depend on their order but for what is in hand, which the last act alone decides; so the best way to a
    larger set goes through the best way to a smaller one.
    """
    acts = [act for act in yard.acts() if yard.counts(act)]
    idle = [act for act in yard.acts() if not yard.counts(act)]
    early = [act for act in acts if act not in yard.disconnects]
    late = [act for act in acts if act in yard.disconnects]
    if len(early) > MOST_ACTS:
        return None
    best: dict[frozenset[str], tuple[Key, tuple[str, ...]]] = {frozenset(): (((), 0, 0.0), ())}
    for _ in early:
        further: dict[frozenset[str], tuple[Key, tuple[str, ...]]] = {}
        for done, (key, order) in best.items():
            for act in early:
                if act in done or not yard.may_come(act, set(done)):
                    continue
                longer = _longer(model, yard, key, (*order, act))
                known = further.get(done | {act})
                if known is None or longer < known[0]:
                    further[done | {act}] = (longer, (*order, act))
        best = further
    if not best:
        return None
    return [*best[frozenset(early)][1], *idle, *late]


def _longer(model: Model, yard: Yard, key: Key, order: tuple[str, ...]) -> Key:
    """Return the key of an order from that of the order without its last act."""
    spans, _ = yard.profile(order)
    state = standing(model)
    for act in order:
        state = state.after(model.pack, Stage("", yard.kind(act), (act,)))
    highest = spans[-1].highest_v
    ends = yard.kind(order[-1]) == "covers"
    stretches = (*key[0], round(highest, 6)) if ends else key[0]
    return stretches, key[1] + (highest > CLASS_A_LIMIT_V + 1e-9), key[2] + model.power_sum_w(state)
