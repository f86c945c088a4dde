"""Facts about the layout's own order of work: what each step joins, and what is bare while it does."""

from __future__ import annotations

from collections import Counter
from dataclasses import field
from functools import lru_cache

from packcheck.facts.drawn import Drawn
from packcheck.files.frozen import dataclass
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import Covers, Order, Stage, faces_of, plans_class_b, read_order
from packcheck.network.graph import Edge
from packcheck.network.sections import Joined, least_sections
from packcheck.network.topology import spanning_forest
from packcheck.physics.classes import CLASS_A_LIMIT_V
from packcheck.rules.catalogue import Row, Value


@dataclass(frozen=True)
class OrderFacts:
    """Rows about an order: one of the order itself, one per step that fits something."""

    order: tuple[Row, ...] = ()
    steps: tuple[Row, ...] = ()


@dataclass
class _Site:
    """The work so far: which bars lie open on which face, which covers are on, how often class B was joined into."""

    joined: Joined
    open_bars: dict[str, set[str]] = field(default_factory=dict)
    covers: set[str] = field(default_factory=set)
    joins_in_b: int = 0


@lru_cache(maxsize=4)
def order_facts(drawn: Drawn) -> OrderFacts:
    """Return the facts about the order of work that the layout states; no rows where it states none.

    One pass over the edges in the order of the work: open-circuit voltages at the highest cell voltage, nothing solved.
    """
    pack = drawn.pack
    if not pack.order:
        return OrderFacts()
    order = read_order(pack)
    steps, site = _steps(drawn, order)
    return OrderFacts((_order_row(drawn, order, site.joins_in_b),), tuple(steps))


def _steps(drawn: Drawn, order: Order) -> tuple[list[Row], _Site]:
    pack, covers = drawn.pack, Covers(drawn.pack)
    by_part: dict[str, list[Edge]] = {}
    highest = {name: pack.module_type_at(name).highest_v for name in pack.positions}
    site = _Site(Joined(highest))
    for edge in drawn.network.edges:
        if edge.kind == "module" or (edge.kind == "device" and pack.devices[edge.part].always_closed):
            site.joined.add(edge)
        else:
            by_part.setdefault(edge.part, []).append(edge)
    under = _under(pack, covers)
    rows = []
    for stage in order.stages:
        if stage.kind == "covers":
            _cover(site, stage, under)
        joins = _join(pack, site, stage, by_part)
        if stage.kind in ("conductors", "disconnect"):
            rows.append(_row(pack, site, stage, joins))
    return rows, site


def _under(pack: Pack, covers: Covers) -> dict[str, list[str]]:
    """Return the conductors that lie wholly under each cover."""
    under: dict[str, list[str]] = {}
    for conductor in pack.conductors.values():
        for cover in covers.wholly_over(conductor):
            under.setdefault(cover, []).append(conductor.name)
    return under


def _cover(site: _Site, stage: Stage, under: dict[str, list[str]]) -> None:
    for cover in stage.items:
        site.covers.add(cover)
        hidden = set(under.get(cover, ()))
        for bars in site.open_bars.values():
            bars -= hidden


def _join(pack: Pack, site: _Site, stage: Stage, by_part: dict[str, list[Edge]]) -> int:
    """Join what a stage fits and return how many of its acts joined sections into one above 60 V."""
    if stage.kind not in ("conductors", "disconnect"):
        return 0
    count = 0
    for item in stage.items:
        edges = by_part.get(item, ())
        roots = {site.joined.root(node)[0] for edge in edges for node in (edge.start, edge.end)}
        live = sum(1 for root in roots if site.joined.span(root).modules)
        after = [site.joined.add(edge) for edge in edges]
        count += live > 1 and bool(after) and after[-1].highest_v > CLASS_A_LIMIT_V + 1e-9
        conductor = pack.conductors.get(item)
        if conductor is not None and conductor.kind != "lead" and not conductor.insulated:
            for face in faces_of(pack, conductor):
                site.open_bars.setdefault(face, set()).add(item)
    site.joins_in_b += count
    return count


def _row(pack: Pack, site: _Site, stage: Stage, joins: int) -> Row:
    largest, off = site.joined.largest, [name for name in pack.covers if name not in site.covers]
    opened = {face: bars for face, bars in site.open_bars.items() if bars}
    beside = Counter(bar for bars in opened.values() for bar in bars - set(stage.items))
    work = list_places(stage.items, 6)
    name = f"step {stage.number.rstrip('+')}, {work}"
    values: dict[str, Value] = {
        "step": name,
        "work": work,
        "is_disconnect": stage.kind == "disconnect",
        "joins_in_class_b": joins,
        "planned_class_b": _is_planned(pack, stage),
        "rest_v": largest.rest_v,
        "highest_v": largest.highest_v,
        "covers_off": len(off),
        "covers_off_names": list_places(off) if off else "none",
        "faces_open": len(opened),
        "faces_open_names": list_places(opened) if opened else "none",
        "bare_beside": len(beside),
        "bare_beside_names": list_places(beside) if beside else "none",
    }
    return Row(name, values, {}, frozenset(stage.items), f"{name} of the layout's order")


def _is_planned(pack: Pack, stage: Stage) -> bool:
    """Return whether the order says ``class B`` in the step of a stage or before it: sections only grow."""
    digits = stage.step.rstrip("+")
    steps = pack.order[: int(digits)] if digits.isdigit() else pack.order
    return any(plans_class_b(word) for words in steps for word in words)


def _before_clamp(pack: Pack, order: Order) -> list[str]:
    """Return, by step, the bars and links that the order puts on before the stack is clamped."""
    clamp = next((i for i, stage in enumerate(order.stages) if stage.kind == "clamp"), 0)
    named = [stage for stage in order.stages[:clamp] if stage.kind == "conductors" and not stage.unnamed]
    stiff = {stage.number: [n for n in stage.items if pack.conductors[n].kind != "lead"] for stage in named}
    return [f"{list_places(names)} in step {number}" for number, names in stiff.items() if names]


def _under_covers(pack: Pack, order: Order) -> list[str]:
    """Return, by step and cover, the conductors that the order puts on under a cover of an earlier step."""
    covers, on = Covers(pack), dict[str, str]()
    found: dict[tuple[str, str], list[str]] = {}
    for stage in order.stages:
        if stage.kind == "covers":
            on |= dict.fromkeys(stage.items, stage.step)
        if stage.kind == "conductors" and not stage.unnamed:
            for name in stage.items:
                for cover in covers.over(pack.conductors[name]):
                    if on.get(cover, stage.step) != stage.step:
                        found.setdefault((stage.step, cover), []).append(name)
    return [
        f"{list_places(names)} in step {number} under {cover} of step {on[cover]}"
        for (number, cover), names in found.items()
    ]


def _order_row(drawn: Drawn, order: Order, joins_in_b: int) -> Row:
    pack = drawn.pack
    walk = spanning_forest(drawn.edges, roots=(drawn.minus,)).walk(drawn.minus, drawn.plus) or []
    volts = [pack.module_type_at(step.edge.part).highest_v for step in walk if step.edge.kind == "module"]
    sections = least_sections(volts, CLASS_A_LIMIT_V)
    unknown = [f"'{word}' in step {number}" for number, word in order.unknown]
    values: dict[str, Value] = {
        "order": f"order of {pack.name}",
        "left_out": len(order.left_out),
        "left_out_names": list_places(order.left_out) if order.left_out else "none",
        "unknown": len(unknown),
        "unknown_words": ", ".join(unknown) or "none",
        "clamp_first": not (early := _before_clamp(pack, order)),
        "before_clamp": "; ".join(early),
        "covers_last": not (under := _under_covers(pack, order)),
        "under_covers": "; ".join(under),
        "joins_in_class_b": joins_in_b,
        "sections_needed": sections if volts else None,
        "least_joins": max(sections - 1, 0) if volts else None,
    }
    return Row(f"order of {pack.name}", values, {}, frozenset((f"order of {pack.name}",)), "the layout's order of work")
