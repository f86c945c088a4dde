"""What no order of work can avoid: the least number of acts in voltage class B, with the reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from packcheck.exposure.yard import Yard
from packcheck.model.pack.model import Pack
from packcheck.network.graph import Edge
from packcheck.network.sections import least_sections
from packcheck.network.topology import spanning_forest
from packcheck.physics.classes import CLASS_A_LIMIT_V


@dataclass(frozen=True)
class Bound:
    """What no order of work avoids: acts that join sections in class B, and covers that must follow them."""

    joins: int
    covers: int
    reason: str

    @property
    def acts(self) -> int:
        """Return the least number of acts in class B."""
        return self.joins + self.covers


def unavoidable(pack: Pack, yard: Yard | None = None) -> Bound:
    """Return what no order of work avoids in class B, with the reason.

    Take the last moment at which every section is within 60 V.  The modules along the way from main − to main + then
    lie in at least K sections, K being the fewest runs within 60 V they can be cut into; one act joins two sections, so
    at least K − 1 acts end in class B.  If one of those joins is made by a conductor, and every conductor that could
    make it lies under a cover, that cover follows in class B too.
    """
    yard = yard or Yard(pack)
    edges = [edge for edge in yard.edges if not edge.is_load]
    walk = spanning_forest(edges, roots=(pack.outside["main-"],)).walk(pack.outside["main-"], pack.outside["main+"])
    modules = [step.edge.part for step in walk or () if step.edge.kind == "module"]
    if not modules:
        return Bound(0, 0, "main − and main + are not joined in this layout: nothing can be said")
    volts = [pack.module_type_at(name).highest_v for name in modules]
    needed = least_sections(volts, CLASS_A_LIMIT_V)
    total = f"{len(modules)} modules in series reach {sum(volts):.1f} V when the cells are at their highest"
    if needed == 1 and sum(volts) <= CLASS_A_LIMIT_V:
        return Bound(0, 0, f"{total}: the whole string stays within 60 V DC; burns and sparks remain")
    single = " (one module alone is above 60 V)" if max(volts) > CLASS_A_LIMIT_V else ""
    inner = _between_modules([step.edge for step in walk or ()])
    on_path = {edge.part for edge in inner if edge.kind == "joint"}
    by_devices = sum(1 for edge in inner if edge.part in yard.disconnects)
    covered = bool(on_path) and all(yard.covers_over[n] for n in on_path if n in pack.conductors)
    covers = 1 if covered and needed - 1 > by_devices else 0
    text = (
        f"{total}; within 60 V they make at least {needed} sections{single}, so at least {needed - 1} joins end in"
        " class B"
    )
    if covers:
        text += ", and the cover over the last joint can only follow"
    return Bound(needed - 1, covers, text)


def _between_modules(edges: Sequence[Edge]) -> list[Edge]:
    """Return the edges of a walk from its first module to its last: only they can join two sections of it."""
    modules = [index for index, edge in enumerate(edges) if edge.kind == "module"]
    return list(edges[modules[0] : modules[-1]]) if modules else []
