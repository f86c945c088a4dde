"""Direct-current networks: branch currents, junction potentials and resistances between junctions.

The road of a solution::

    branches -> chains, each of one and the same current                          chains.py
             -> spanning trees, strongest conductors first                       spanning.py
             -> potentials that the sources alone would give, summed exactly
             -> what the other branches' sources miss to agree with them
             -> currents driven by those misses and by current fed in            elimination.py
             -> potentials with current; both of Kirchhoff's laws checked

Junctions are any hashable names.  Numbers are ``float`` or ``fractions.Fraction``; when no float is among them, the
answer is exact.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from fractions import Fraction
from itertools import chain
from math import isfinite, lcm
from typing import Any, NamedTuple

from packcheck.files.frozen import dataclass
from packcheck.files.memory import collection_held_off
from packcheck.files.problems import OwnFault
from packcheck.network.chains import Chain, Number, gather_chains
from packcheck.network.elimination import solve_currents
from packcheck.network.resistance_distance import resistance_distances
from packcheck.network.spanning import SpanningForest, span

RESIDUAL_BOUND = 1e-9
"""Largest miss of Kirchhoff's laws let through, relative to the island's largest current or driven voltage."""


class Branch(NamedTuple):
    """One conductor or source between two junctions.

    The current from ``start`` to ``end`` is ``(V_start - V_end + emf) / resistance``: a positive ``emf`` drives current
    out of ``end``.  ``resistance`` [Ω] is above 0; ``emf`` [V] is any finite number.
    """

    start: Hashable
    end: Hashable
    resistance: Number
    emf: Number = 0


@dataclass(frozen=True)
class Solution:
    """Potentials and currents of a network.

    ``potential`` [V] by junction, each island against its own representative (0 V); ``current`` [A] by branch, positive
    from start to end; ``island`` gives each junction's representative; ``residual`` is the largest miss of Kirchhoff's
    two laws, relative to the island's largest current and driven voltage.
    """

    potential: dict[Hashable, Number]
    current: list[Number]
    island: dict[Hashable, Hashable]
    residual: float

    def voltage(self, plus: Hashable, minus: Hashable) -> Number | None:
        """Return the voltage [V] of ``plus`` against ``minus``; None when no conductor joins them."""
        if self.island[plus] != self.island[minus]:
            return None
        return self.potential[plus] - self.potential[minus]


@collection_held_off()
def solve_circuit(branches: Iterable[Branch], injected: Mapping[Hashable, Number] | None = None) -> Solution:
    """Return the direct currents and potentials of a network of resistances and sources.

    Parameters
    ----------
    branches : any topology: parallel branches, both ends at one junction, any number of islands.
    injected : current [A] fed into a junction from outside; its sum over each island is 0.

    Returns
    -------
    Solution with currents [A] in the order of ``branches`` and potentials [V].

    Raises
    ------
    OwnFault : a resistance is not a finite number above 0, an emf or current is not finite, the current fed into an
        island does not balance, or Kirchhoff's laws are missed by more than ``RESIDUAL_BOUND``.

    Notes
    -----
    Linear parts at one temperature.  A spanning tree of the strongest conductors fixes the potentials that the sources
    alone would give; only the misfit of the other branches drives current, so sources that agree drive exactly none
    (sums of the given numbers are exact: give decimals as ``Fraction`` to have 3 x 7.92 V agree with 23.76 V).
    Currents come from star-mesh elimination [1]_, never from the difference of two nearly equal potentials.

    References
    ----------
    .. [1] A. Rosen, "A new network theorem," J. Inst. Electr. Eng., vol. 62, pp. 916-918, 1924 (from memory).

    Examples
    --------
    A 12 V source of 0.1 Ω feeding 0.5 Ω: 12 / 0.6 = 20 A.

    >>> found = solve_circuit([Branch("minus", "plus", 0.1, 12.0), Branch("plus", "minus", 0.5)])
    >>> [round(current, 9) for current in found.current], round(found.voltage("plus", "minus"), 9)
    ([20.0, 20.0], 10.0)
    """
    net = _Net(list(branches), injected or {})
    chains = gather_chains(net.tail, net.head, net.resistance, net.feed)
    forest = span(len(net.names), net.tail, net.head, net.resistance, chains)
    rest = forest.walk(net.emf, 0)
    misfit = net.misfit(rest)
    _refuse_unbalanced(forest, net)
    current = _live_currents(net, forest, chains, misfit)
    shift = forest.walk([-flow * ohm for flow, ohm in zip(current, net.resistance, strict=True)], net.kind(0))
    residual = _largest_miss(net, forest, misfit, current, shift)
    volts = {at_rest: net.volts(at_rest) for at_rest in set(rest)}
    potential = {name: volts[at_rest] + moved for name, at_rest, moved in zip(net.names, rest, shift, strict=True)}
    island = {name: net.names[root] for name, root in zip(net.names, forest.root, strict=True)}
    return Solution(potential, current, island, residual)


def resistances_between(branches: Iterable[Branch], pairs: Iterable[tuple[Hashable, Hashable]]) -> list[Number]:
    """Return the resistance [Ω] between the two junctions of each pair, every source replaced by a wire.

    Parameters
    ----------
    branches : as for ``solve_circuit``; their emf is not looked at.
    pairs : names of junctions; all pairs come from one pass over the network.

    Returns
    -------
    Resistances [Ω] in the order of ``pairs``: 0 for a junction with itself, ``math.inf`` where no conductor joins the
    two or a junction has no branch at all.

    Raises
    ------
    OwnFault : a resistance is not a finite number above 0.

    Notes
    -----
    Selected inversion: the star-mesh elimination of ``solve_circuit`` run backwards, the resistances from a junction to
    its former neighbours following from those among the neighbours.  Quick for pairs that lie near each other.  The
    quantity is the resistance distance of D. J. Klein and M. Randić, J. Math. Chem., vol. 12, pp. 81-95, 1993.

    Examples
    --------
    Two 100 µΩ bars side by side, then one of 50 µΩ: 100/2 + 50 = 100 µΩ.

    >>> bars = [Branch("P", "Q", 100e-6), Branch("P", "Q", 100e-6), Branch("Q", "R", 50e-6)]
    >>> round(resistances_between(bars, [("P", "R")])[0] * 1e6, 9)
    100.0
    """
    net = _Net(list(branches), {})
    number = {name: place for place, name in enumerate(net.names)}
    wanted = [(number.get(one, -1), number.get(other, -2)) for one, other in pairs]
    return resistance_distances(len(net.names), net.tail, net.head, net.resistance, wanted)


class _Net:
    """A network with its junctions numbered in the order of their first mention, and all numbers of one kind.

    ``emf`` is counted in units of one volt / ``per_volt``, of which every source is a whole number: sums are exact.
    """

    def __init__(self, branches: list[Branch], injected: Mapping[Hashable, Number]) -> None:
        _refuse_impossible(branches, injected)
        number: dict[Hashable, int] = {}
        self.tail = [number.setdefault(b.start, len(number)) for b in branches]
        self.head = [number.setdefault(b.end, len(number)) for b in branches]
        places = [number.setdefault(junction, len(number)) for junction in injected]
        self.names = list(number)
        given = chain(((b.resistance, b.emf) for b in branches), zip(injected.values()))
        self.kind: Any = float if any(isinstance(x, float) for numbers in given for x in numbers) else Fraction
        self.resistance: list[Number] = [self.kind(b.resistance) for b in branches]
        emf = [b.emf.as_integer_ratio() for b in branches]
        self.per_volt = lcm(*{below for _, below in emf})
        self.emf = [above and above * (self.per_volt // below) for above, below in emf]
        self.feed: list[Number] = [self.kind(0)] * len(number)
        for place, fed in zip(places, injected.values(), strict=True):
            self.feed[place] = self.kind(fed)

    def volts(self, counted: int) -> Number:
        """Return a whole number of ``emf`` units as volts, rounded at most once."""
        return counted / self.per_volt if self.kind is float else Fraction(counted, self.per_volt)

    def misfit(self, rest: list[int]) -> list[Number]:
        """Return what each branch's source [V] has beyond the potentials at rest; 0 on the trees."""
        none = self.kind(0)
        missed = (rest[start] - rest[end] + emf for start, end, emf in zip(self.tail, self.head, self.emf, strict=True))
        return [self.volts(miss) if miss else none for miss in missed]


def _refuse_impossible(branches: list[Branch], injected: Mapping[Hashable, Number]) -> None:
    for branch in branches:
        if not (isfinite(branch.resistance) and branch.resistance > 0):
            raise OwnFault(f"branch {branch.start} to {branch.end}: no current follows from {branch.resistance} Ω")
        if not isfinite(branch.emf):
            raise OwnFault(f"branch {branch.start} to {branch.end}: no current follows from an emf of {branch.emf} V")
    for junction, fed in injected.items():
        if not isfinite(fed):
            raise OwnFault(f"junction {junction}: a current of {fed} A cannot be fed in")


def _refuse_unbalanced(forest: SpanningForest, net: _Net) -> None:
    total: dict[int, Any] = {}
    size: dict[int, Any] = {}
    for junction, fed in enumerate(net.feed):
        if fed:
            root = forest.root[junction]
            total[root] = total.get(root, 0) + fed
            size[root] = size.get(root, 0) + abs(fed)
    for root, sum_of_feeds in total.items():
        if abs(sum_of_feeds) > RESIDUAL_BOUND * size[root]:
            raise OwnFault(f"the currents fed into the island of {net.names[root]} leave {sum_of_feeds} A over")


def _live_currents(net: _Net, forest: SpanningForest, chains: list[Chain], misfit: list[Number]) -> list[Number]:
    """Return all currents [A], solving only islands in which something drives one."""
    live = {forest.root[start] for start, miss in zip(net.tail, misfit, strict=True) if miss}
    live.update(forest.root[junction] for junction, fed in enumerate(net.feed) if fed)
    return solve_currents([chain for chain in chains if forest.root[chain.start] in live], misfit, net.feed)


def _largest_miss(
    net: _Net, forest: SpanningForest, misfit: list[Number], current: list[Number], shift: list[Number]
) -> float:
    """Return the largest miss of Kirchhoff's two laws, relative to the island's largest current and driven voltage."""
    over = list(net.feed)
    strongest: list[Any] = [abs(fed) for fed in net.feed]
    highest: list[Any] = [abs(moved) for moved in shift]
    astray: list[Any] = [0] * len(shift)
    for start, end, flow, miss, ohm in zip(net.tail, net.head, current, misfit, net.resistance, strict=True):
        if not flow and not miss:
            continue
        root = forest.root[start]
        over[start] -= flow
        over[end] += flow
        size, missed, off = abs(flow), abs(miss), abs(shift[start] - shift[end] + miss - flow * ohm)
        if size > strongest[root]:
            strongest[root] = size
        if missed > highest[root]:
            highest[root] = missed
        if off > astray[root]:
            astray[root] = off
    for junction, moved in enumerate(shift):
        if abs(moved) > highest[forest.root[junction]]:
            highest[forest.root[junction]] = abs(moved)
    largest = 0.0
    for junction, root in enumerate(forest.root):
        if over[junction]:
            largest = max(largest, float(abs(over[junction]) / strongest[root]))
        if astray[junction]:
            largest = max(largest, float(astray[junction] / highest[junction]))
    if not largest <= RESIDUAL_BOUND:
        raise OwnFault(f"Kirchhoff's laws are missed by {largest:.1e} of the largest value; at most {RESIDUAL_BOUND}")
    return largest
