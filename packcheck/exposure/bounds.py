"""What no order of work can avoid: the least number of acts in voltage class B, with the reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from packcheck.exposure.precedence import Precedence
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


def unavoidable(pack: Pack, precedence: Precedence | None = None) -> Bound:
    """Return what no order of work avoids in class B, with the reason.

    Take the last moment at which every section is within 60 V.  The modules of a run that the work joins end to end
    then lie in at least K pieces, K being the fewest within 60 V it can be cut into, and each gap between two pieces is
    closed by a later act, which ends in class B.  A switch that no act closes parts two runs; strings in parallel are
    runs of their own, since what lies between two modules of a string belongs to that string alone.  If one of those
    gaps is closed by a conductor, and every conductor that could close one lies under a cover, that cover follows in
    class B too.
    """
    precedence = precedence or Precedence(pack)
    runs = [run for walk in _strings(pack, precedence) for run in _runs(walk, precedence)]
    if not runs:
        return Bound(0, 0, "main − and main + are not joined in this layout: nothing can be said")
    volts = [[pack.module_type_at(name).highest_v for name in _modules(run)] for run in runs]
    pieces = [least_sections(each, CLASS_A_LIMIT_V) for each in volts]
    highest = max(sum(each) for each in volts)
    if highest <= CLASS_A_LIMIT_V:
        return Bound(0, 0, f"{_told(volts)}: no section of it passes 60 V DC; burns and sparks remain")
    inner = [edge for run in runs for edge in _between_modules(run)]
    on_path = {edge.part for edge in inner if edge.kind == "joint"}
    joins, by_devices = sum(pieces) - len(runs), sum(1 for edge in inner if edge.part in precedence.disconnects)
    covered = bool(on_path) and all(precedence.covers_over[n] for n in on_path if n in pack.conductors)
    covers = 1 if covered and joins > by_devices else 0
    single = " (one module alone is above 60 V)" if max(map(max, volts)) > CLASS_A_LIMIT_V else ""
    text = (
        f"{_told(volts)}; within 60 V they make at least {sum(pieces)} sections{single}, so at least {joins} joins end"
        " in class B"
    )
    if covers:
        text += ", and the cover over the last joint can only follow"
    return Bound(joins, covers, text)


def _told(volts: Sequence[Sequence[float]]) -> str:
    """Return how many modules in series reach which voltage, run by run where there are several."""
    if len(volts) == 1:
        return f"{len(volts[0])} modules in series reach {sum(volts[0]):.1f} V when the cells are at their highest"
    most = max(volts, key=sum)
    return (
        f"{len(volts)} runs of up to {len(most)} modules in series reach up to {sum(most):.1f} V each when the cells"
        " are at their highest"
    )


def _strings(pack: Pack, precedence: Precedence) -> Iterator[list[Edge]]:
    """Yield the way along each string in parallel, else the one from main − to main +; every switch closed."""
    edges = [edge for edge in precedence.edges if not edge.is_load]
    for bank in pack.parallel_strings:
        for string in bank:
            groups = [pack.groups[group] for series in string for group in pack.strings[series].groups]
            own = {name for group in groups for name in group}
            ends = pack.positions[groups[0][0]].minus_place, pack.positions[groups[-1][0]].plus_place
            yield _walk([edge for edge in edges if edge.kind != "module" or edge.part in own], *ends)
    if not pack.parallel_strings:
        yield _walk(edges, pack.outside["main-"], pack.outside["main+"])


def _walk(edges: Sequence[Edge], start: str, end: str) -> list[Edge]:
    return [step.edge for step in spanning_forest(edges, roots=(start,)).walk(start, end) or ()]


def _runs(walk: Sequence[Edge], precedence: Precedence) -> Iterator[list[Edge]]:
    """Yield the parts of a way between switches that no act of the work closes, those with modules in them."""
    run: list[Edge] = []
    for edge in walk:
        device = precedence.pack.devices.get(edge.part)
        if device and not device.always_closed and device.name not in precedence.disconnects:
            yield from [run] if _modules(run) else []
            run = []
        else:
            run.append(edge)
    yield from [run] if _modules(run) else []


def _modules(edges: Iterable[Edge]) -> list[str]:
    return [edge.part for edge in edges if edge.kind == "module"]


def _between_modules(edges: Sequence[Edge]) -> list[Edge]:
    """Return the edges of a way from its first module to its last: only they can join two sections of it."""
    modules = [index for index, edge in enumerate(edges) if edge.kind == "module"]
    return list(edges[modules[0] : modules[-1]]) if modules else []
