"""The one change of a layout, one more cover or one more link, that lowers the exposure of an order of work most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from packcheck.exposure.exposed import Exposure, Model
from packcheck.exposure.steps import Bareness, states_of
from packcheck.files.name_lists import list_places
from packcheck.model.pack.order import Covers, Stage, faces_of
from packcheck.physics.classes import CLASS_A_LIMIT_V

MOST_POSITIONS = 400
"""Packs larger than this are not searched for a change: it takes the whole order once per candidate."""


@dataclass(frozen=True)
class Weight:
    """What a change is judged by: class B pairs in reach, and the sum of E²/(4R) [W], both added over the stages."""

    class_b_pairs: int
    power_w: float


@dataclass(frozen=True)
class Change:
    """A change in words, and what it makes of the exposure."""

    words: str
    before: Weight
    after: Weight


@dataclass(frozen=True)
class _Candidate:
    words: str
    stages: tuple[Stage, ...]
    bodies: frozenset[str] = frozenset()
    first: int = 0


def weigh(exposures: Sequence[Exposure]) -> Weight:
    """Return the weight of a story."""
    return Weight(sum(e.class_b_pairs for e in exposures), sum(e.power_sum_w for e in exposures))


def best_change(model: Model, stages: Sequence[Stage], exposures: Sequence[Exposure]) -> Change | None:
    """Return the change that lowers the exposure most; None when none lowers it, or the pack is too large.

    Candidates: a cover over the conductors of one face that are fitted before the first class B stage, a cap on a sense
    connector, a cover over the ends of leads at devices, and for each face one more link in the largest section.
    """
    if len(model.pack.positions) > MOST_POSITIONS:
        return None
    before = weigh(exposures)
    found = [
        Change(candidate.words, before, weigh(_changed(model, candidate)))
        for candidate in _candidates(model, tuple(stages), exposures)
    ]
    best = min(found, key=lambda change: (change.after.class_b_pairs, change.after.power_w), default=None)
    better = best and (best.after.class_b_pairs, best.after.power_w) < (before.class_b_pairs, before.power_w * 0.999)
    return best if better else None


def _changed(model: Model, candidate: _Candidate) -> list[Exposure]:
    bareness = Bareness(model.pack, model.geometry, model.asked.caps, {"one more": candidate.bodies})
    rows = list(states_of(model.pack, candidate.stages, model.start(candidate.stages)))
    return [
        model.exposure(
            stage, replace(state, covers=state.covers | {"one more"}) if i >= candidate.first else state, bareness
        )
        for i, (stage, state) in enumerate(rows)
    ]


def _candidates(model: Model, stages: tuple[Stage, ...], exposures: Sequence[Exposure]) -> Iterator[_Candidate]:
    high = [i for i, e in enumerate(exposures) if e.highest_v > CLASS_A_LIMIT_V]
    bridged = [i for i, e in enumerate(exposures) if e.pairs]
    if not bridged:
        return
    first = high[0] if high else bridged[-1]
    by_name = {body.name: body for body in model.geometry.bodies}
    fitted = {name for stage in stages[:first] if stage.kind == "conductors" for name in stage.items}
    fitted |= {place for e in exposures[:first] for place in e.bare if by_name[place].kind == "post"}
    bare = {name for e in exposures[first:] for name in e.bare if by_name[name].part in fitted or name in fitted}
    for face in dict.fromkeys(by_name[name].face for name in sorted(bare)):
        bodies = frozenset(n for n in bare if by_name[n].face == face and by_name[n].kind in ("bar", "post"))
        if bodies:
            words = (
                f"one more cover, over {list_places(bodies, 8)} on face {face}, on before step {stages[first].number}"
            )
            yield _Candidate(words, stages, bodies, first)
    for connector in dict.fromkeys(body.part for body in by_name.values() if body.kind == "pin"):
        pins = frozenset(name for name, body in by_name.items() if body.part == connector)
        yield _Candidate(f"one more cover: a cap on connector {connector} while it is open", stages, pins)
    ends = frozenset(name for name, body in by_name.items() if body.kind == "lead end")
    if ends:
        yield _Candidate("one more cover, over the ends of leads at devices as soon as they are on", stages, ends)
    yield from _more_links(model, stages, exposures, first)


def _more_links(
    model: Model, stages: tuple[Stage, ...], exposures: Sequence[Exposure], first: int
) -> Iterator[_Candidate]:
    """Yield orders in which one more bar of the largest section before class B waits until the other links are in."""
    last = max((i for i, s in enumerate(stages) if s.kind == "conductors" and i >= first), default=None)
    section = exposures[first - 1].largest if first else None
    if last is None or section is None:
        return
    inside = [edge.part for edge in section.edges if edge.kind == "joint"]
    for face in model.pack.faces:
        here = [
            name
            for name in dict.fromkeys(inside)
            if name in model.pack.conductors and faces_of(model.pack, model.pack.conductors[name]) == {face}
        ]
        late = {name for stage in stages[last:] for name in stage.items}
        here = [name for name in here if name not in late and _cover_comes_after(model, stages, name, last)]
        if here:
            name = here[len(here) // 2]
            parts = [s._replace(items=tuple(x for x in s.items if x != name)) for s in stages]
            moved = [
                *parts[: last + 1],
                Stage(f"{stages[last].number}, link", "conductors", (name,)),
                *parts[last + 1 :],
            ]
            yield _Candidate(
                f"one more link: {name} waits until after step {stages[last].number}",
                tuple(s for s in moved if s.items),
            )


def _cover_comes_after(model: Model, stages: Sequence[Stage], name: str, last: int) -> bool:
    over = set(Covers(model.pack).over(model.pack.conductors[name]))
    return not any(over & set(stage.items) for stage in stages[: last + 1] if stage.kind == "covers")
