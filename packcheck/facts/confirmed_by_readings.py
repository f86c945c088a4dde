"""What the readings of a record confirm of it: the facing of modules, the presence of conductors."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cached_property

from packcheck.facts.checked_readings import Checked
from packcheck.facts.evidence import Evidence
from packcheck.model.pack.model import Position
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.model import Reading
from packcheck.network.graph import Edge
from packcheck.network.topology import Step
from packcheck.rules.catalogue import Datum


def is_sharp_and_agrees(checked: Checked, members: int = 1) -> bool:
    """Return whether a reading agrees so closely that one module missing or turned round on its way would have shown.

    A missing module changes the reading by its voltage, one of ``members`` in parallel turned round by twice its
    voltage over ``members``; a reading that agrees within half of that has not seen one.
    """
    difference = checked.difference
    if difference is None or not difference.fit or not checked.modules:
        return False
    return max(abs(difference.low), abs(difference.high)) < checked.smallest_module_v * min(0.5, 1 / members)


class Confirmed:
    """What the readings that agree confirm: the facing of modules, the presence of conductors."""

    def __init__(self, evidence: Evidence, checked: Sequence[Checked]) -> None:
        self.evidence = evidence
        self._modules: set[str] = set()
        self._joints: set[str] = set()
        self._signs: dict[str, str] = {}
        self._tried: set[str] = set()
        self._unfit: dict[str, set[str]] = {}
        self._waits: dict[str, Datum] = {}
        for one in checked:
            self._take(one)
        self._take_rest_readings()

    def _take(self, one: Checked) -> None:
        self._take_sign(one.reading)
        if not one.walk or not is_sharp_and_agrees(one):
            across = [step.edge.part for step in one.walk or self._drawn_walk(one.reading)]
            self._tried.update(across)
            if one.waits_for:
                self._waits.update(dict.fromkeys((*across, *one.across_if_fitted), one.waits_for))
            if one.difference and not one.difference.fit:
                for part in across:
                    self._unfit.setdefault(part, set()).add(one.difference.instrument)
            return
        groups, positions = self.evidence.pack.groups, self.evidence.pack.positions
        self._joints.update(step.edge.name for step in one.walk if step.edge.kind == "joint")
        for edge in one.modules:
            members = groups[positions[edge.part].group]
            self._modules.add(edge.part)
            if len(members) > 1 and is_sharp_and_agrees(one, len(members)):
                self._modules.update(members)

    def _drawn_walk(self, reading: Reading) -> Sequence[Step]:
        """Return the way between a reading's leads as the layout has it, everything closed."""
        return self.evidence.drawn.forest.walk(reading.minus, reading.plus) or ()

    def tried(self, name: str) -> bool:
        """Return whether a reading was taken across a part that then did not confirm it."""
        return name in self._tried

    def datum(self, name: str, reading: Datum) -> Datum:
        """Return what to record next for a part that nothing confirms: a reading, or what one that was taken lacks."""
        return self._waits.get(name, reading)

    def unfit_across(self, name: str) -> set[str]:
        """Return the instruments that were read across a part and could prove nothing."""
        return self._unfit.get(name, set())

    def _take_sign(self, reading: Reading) -> None:
        places, value = self.evidence.pack.places, reading.value_v
        plus, minus = places.get(reading.plus), places.get(reading.minus)
        if plus and minus and plus.position == minus.position and value.low * value.high > 0:
            self._signs[plus.position] = plus.post if value.value > 0 else minus.post

    def _take_rest_readings(self) -> None:
        """Take rest voltages read in place, red lead on the post written as +: they show where + is."""
        for module in self.evidence.record.modules.values() if self.evidence.record else ():
            entry = module.rest_v
            if entry is None or module.plus is None or module.stated_as_drawn or entry.state in ("", LOOSE):
                continue
            posts = self.evidence.pack.module_type_at(module.position).posts
            if entry.low * entry.high > 0 and module.position not in self._signs:
                other = next(post for post in posts if post != module.plus)
                self._signs[module.position] = module.plus if entry.value > 0 else other
                if entry.fit and entry.value > 0:
                    self._modules.add(module.position)

    def plus_of(self, position: Position) -> str | None:
        """Return the post that a reading shows as +, or None where none was taken between the two posts."""
        return self._signs.get(position.name)

    def module(self, position: str) -> bool | None:
        """Return True when a reading confirms the module's facing, None otherwise."""
        return True if position in self._modules else None

    def conductor(self, name: str) -> bool | None:
        """Return True when readings confirm that every landing of the conductor joins, None otherwise.

        No voltage can tell the landings on one side of one parallel group apart: one of them stands for all.
        """
        return True if self._sides[name] and self._sides[name] <= self._sides_crossed[name] else None

    @cached_property
    def _sides(self) -> dict[str, set[str]]:
        return self._sides_of(edge for edge in self.evidence.built.edges if edge.kind == "joint")

    @cached_property
    def _sides_crossed(self) -> dict[str, set[str]]:
        edges = self.evidence.built.edges
        return self._sides_of(edge for edge in edges if edge.kind == "joint" and edge.name in self._joints)

    def _sides_of(self, joints: Iterable[Edge]) -> dict[str, set[str]]:
        sides: dict[str, set[str]] = defaultdict(set)
        for edge in joints:
            sides[edge.part].add(self._side(edge.start))
        return sides

    def _side(self, node: str) -> str:
        """Return a name for a place that all places on one side of its parallel group share."""
        position = self.evidence.pack.positions.get(self.evidence.pack.part_at(node))
        return node if position is None else position.group + self.evidence.pack.polarity_of(node)
