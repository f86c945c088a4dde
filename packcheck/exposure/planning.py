"""Good orders of work for packs of any size, put together by rule; ``search`` finds the best one for small packs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import permutations

from packcheck.exposure.precedence import Precedence
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import DISCONNECT, Stage, places_under
from packcheck.network.graph import Edge
from packcheck.network.sections import Joined
from packcheck.network.topology import spanning_forest
from packcheck.physics.classes import CLASS_A_LIMIT_V

MOST_GROUPS_TRIED = 3
EVENING_TRIES = 7
"""How often the limit of a section is halved in search of sections as even as the number of links allows."""


def acts_of(stages: Iterable[Stage]) -> list[str]:
    """Return the single acts of an order of work, positions, clamp and devices left out."""
    return [
        item
        for stage in stages
        if stage.kind in ("conductors", "taps", "covers", "disconnect")
        for item in (("taps",) if stage.kind == "taps" else stage.items)
    ]


def stages_of_acts(pack: Pack, precedence: Precedence, acts: Sequence[str]) -> tuple[Stage, ...]:
    """Return acts as stages to show: alike in kind, face and voltage class in one; in class B one by one."""
    spans, _ = precedence.profile(acts)
    rows: list[tuple[str, tuple[object, ...], list[str]]] = []
    for act, span in zip(acts, spans, strict=True):
        kind, in_b = precedence.kind(act), span.highest_v > CLASS_A_LIMIT_V
        mark: tuple[object, ...] = (kind, in_b, _group(precedence, act) if kind == "conductors" else "")
        alone = in_b and kind in ("conductors", "disconnect")
        if rows and rows[-1][1] == mark and not alone:
            rows[-1][2].append(act)
        else:
            rows.append((kind, (*mark, act) if alone else mark, [act]))
    standing = [("positions", list(pack.positions)), *([("clamp", ["clamp"])] if pack.clamp else [])]
    devices = [d.name for d in pack.devices.values() if d.kind != DISCONNECT]
    everything = [*standing, *([("devices", devices)] if devices else []), *((kind, acts) for kind, _, acts in rows)]
    return tuple(Stage(str(i), kind, tuple(items)) for i, (kind, items) in enumerate(everything, 1))


def _group(precedence: Precedence, act: str) -> tuple[str, ...]:
    """Return the part of the pack that a conductor belongs to: the covers over it, or its faces where there is none."""
    pack, conductor = precedence.pack, precedence.pack.conductors.get(act)
    if conductor is None:
        return ()
    faces = {pack.face_of(place) for landing in conductor.lands for place in places_under(pack, landing.node)}
    return tuple(precedence.covers_over[act]) or tuple(sorted(faces))


def proposals_for(pack: Pack, precedence: Precedence) -> list[list[str]]:
    """Return good orders for a pack of any size, each as its acts, in about linear time.

    The groups of conductors under one cover are taken one after the other, leads first or leads last.  Of each group as
    much is fitted as stays in class A; conductors that would take a section beyond it are links and come last, in the
    order that keeps pieces small.  Covers go on as soon as nothing under them is missing, the disconnect last of all.
    """
    groups = list(dict.fromkeys(_group(precedence, name) for name in pack.conductors))
    few = 1 < len(groups) <= MOST_GROUPS_TRIED
    tries = [list(order) for order in permutations(groups)] if few else [groups, groups[::-1]]
    path = _along_path(pack, precedence)
    proposals = []
    for order in tries:
        members = _members(precedence, order, path)
        split = _split(precedence, [name for group in order for name in members[group]], pack)
        proposals += [_one_proposal(precedence, members, *split, leads_first) for leads_first in (False, True)]
    return proposals


def _members(
    precedence: Precedence, groups: Sequence[tuple[str, ...]], path: Sequence[str]
) -> dict[tuple[str, ...], list[str]]:
    """Return the conductors of each group, in the order of the path."""
    members: dict[tuple[str, ...], list[str]] = {group: [] for group in groups}
    for name in path:
        members[_group(precedence, name)].append(name)
    return members


def _one_proposal(
    precedence: Precedence,
    members: dict[tuple[str, ...], list[str]],
    inside: set[str],
    links: list[str],
    leads_first: bool,
) -> list[str]:
    acts: list[str] = []
    done: set[str] = set()
    for group in members.values():
        mine = [name for name in group if name in inside]
        leads = [name for name in mine if precedence.pack.conductors[name].kind == "lead"]
        bars = halving([name for name in mine if precedence.pack.conductors[name].kind != "lead"])
        for name in (*leads, *bars) if leads_first else (*bars, *leads):
            _do(precedence, acts, done, name)
    for name in halving(links):
        _do(precedence, acts, done, name)
    return [*acts, *(item for item in precedence.acts() if item not in done)]


def _do(precedence: Precedence, acts: list[str], done: set[str], item: str) -> None:
    """Do an act, and after it what has become possible: taps, then covers that hide something."""
    acts.append(item)
    done.add(item)
    if precedence.pack.taps and "taps" not in done and precedence.tapped and precedence.may_come("taps", done):
        acts.append("taps")
        done.add("taps")
    for cover, hidden in precedence.before_cover.items():
        if cover not in done and hidden and hidden <= done:
            acts.append(cover)
            done.add(cover)


def _along_path(pack: Pack, precedence: Precedence) -> list[str]:
    """Return all conductors, those on the way from main − to main + first and in its order."""
    edges = [edge for edge in precedence.edges if not edge.is_load]
    walk = spanning_forest(edges, roots=(pack.outside["main-"],)).walk(pack.outside["main-"], pack.outside["main+"])
    on_path = dict.fromkeys(step.edge.part for step in walk or () if step.edge.kind == "joint")
    return list(dict.fromkeys((*(name for name in on_path if name in pack.conductors), *pack.conductors)))


def _split(precedence: Precedence, conductors: Sequence[str], pack: Pack) -> tuple[set[str], list[str]]:
    """Return the conductors that stay in class A, and the links; sections as even as the number of links allows."""
    inside, links = _within(precedence, conductors, CLASS_A_LIMIT_V)
    if not links:
        return inside, links
    low, high = max(pack.module_type_at(name).highest_v for name in pack.positions), CLASS_A_LIMIT_V
    for _ in range(EVENING_TRIES):
        middle = (low + high) / 2
        tried = _within(precedence, conductors, middle)
        if len(tried[1]) <= len(links):
            (inside, links), high = tried, middle
        else:
            low = middle
    return inside, links


def _within(precedence: Precedence, conductors: Sequence[str], limit_v: float) -> tuple[set[str], list[str]]:
    joined, inside, links = precedence.standing(), set(), []
    for name in conductors:
        edges = precedence.by_part.get(name, [])
        if _would_span(joined, edges) <= limit_v + 1e-9:
            for edge in edges:
                joined.add(edge)
            inside.add(name)
        else:
            links.append(name)
    return inside, links


def _would_span(joined: Joined, edges: Sequence[Edge]) -> float:
    """Return the highest voltage [V] of the section a conductor would make: its landings are all at one potential."""
    low = high = 0.0
    seen = set()
    for edge in edges:
        root, (_, at) = joined.root(edge.start)
        if root not in seen:
            seen.add(root)
            below, above = joined.ends_v(root)
            low, high = min(low, below - at), max(high, above - at)
    return high - low


def halving(names: Sequence[str]) -> list[str]:
    """Return names so that joins made in this order keep pieces small: every second one, then every second of the rest.

    >>> halving(["1", "2", "3", "4", "5", "6", "7"])
    ['1', '3', '5', '7', '2', '6', '4']
    """
    return [name for _, _, name in sorted((i & -i, i, name) for i, name in enumerate(names, 1))]
