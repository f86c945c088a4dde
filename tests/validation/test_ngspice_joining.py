"""Currents of joining sources in parallel, and of rings, against ngspice and against plain nodal algebra.

The netlists are written by ``tests/oracle``, which shares no line with the program.  LIEC: T. R. Kuphaldt, Lessons in
Electric Circuits, volume I, DC, chapter 10 (Millman's theorem: 28 V behind 4 Ω, 7 V behind 1 Ω).
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
import spice
from oracle.algebra import Circuit
from oracle.drawing import Part
from oracle.netlist import potentials
from printed import assert_printed

from packcheck.network.graph import Edge
from packcheck.network.rings import driven_rings
from packcheck.network.solution import solve
from packcheck.physics.parallel_sources import surges_a

needs_ngspice = pytest.mark.skipif(spice.may_be_skipped(), reason="ngspice is not installed")


def test_liec_millman_two_batteries_joined() -> None:
    """28 V behind 4 Ω onto 7 V behind 1 Ω: 21 V over 5 Ω; by Millman both then stand at 11.2 V, as printed."""
    (first, _), (second, _) = surges_a([(28, 28), (7, 7)], [4, 1])
    assert first == second == pytest.approx(4.2)
    assert_printed(28 - 4 * first, "11.2")


@pytest.mark.parametrize("lift_v", [0.0, 0.03, -1.2, -7.3])
@pytest.mark.parametrize("members", [2, 3, 5, 10, 24])
@needs_ngspice
def test_one_onto_all_others(members: int, lift_v: float, tmp_path: Path) -> None:
    rng = random.Random(members * 1000 + int(lift_v * 100))
    volts = [round(rng.uniform(3.60, 3.66), 4) for _ in range(members)]
    ohms = [round(rng.uniform(0.4e-3, 2.0e-3), 7) for _ in range(members)]
    volts[-1] = round(volts[-1] + lift_v, 4)
    for number in (0, members - 1):
        rest = [Part(f"m{j}", "n", "p", ohms[j], volts[j]) for j in range(members) if j != number]
        alone = Part("alone", "n", "q", ohms[number], volts[number])
        by_hand = abs(Circuit([*rest, alone]).on_joining("p", "q"))
        (across,) = potentials([*rest, alone, Part("join", "p", "q", 1e-12)], [("q", "n")], tmp_path)
        least, most = surges_a([(v, v) for v in volts], ohms)[number]
        assert least == most == pytest.approx(by_hand, rel=1e-9, abs=1e-9)
        assert most == pytest.approx(abs(volts[number] - across) / ohms[number], rel=1e-4, abs=1e-3)


def test_an_interval_holds_the_current_of_every_voltage_in_it() -> None:
    rng = random.Random(7)
    for _ in range(200):
        members = rng.randint(2, 8)
        ohms = [rng.uniform(0.4e-3, 2e-3) for _ in range(members)]
        spans = [(v - h, v + h) for v, h in ((rng.uniform(3.5, 3.7), rng.uniform(0, 0.02)) for _ in range(members))]
        bounds = surges_a(spans, ohms)
        volts = [rng.choice((low, high, rng.uniform(low, high))) for low, high in spans]
        for number, (least, most) in enumerate(bounds):
            rest = [Part(f"m{j}", "n", "p", ohms[j], volts[j]) for j in range(members) if j != number]
            alone = Part("alone", "n", "q", ohms[number], volts[number])
            current = abs(Circuit([*rest, alone]).on_joining("p", "q"))
            assert least - 1e-9 <= current <= most + 1e-9


def edges_of(parts: list[Part]) -> list[Edge]:
    return [
        Edge(p.start, p.end, p.name, "module" if p.emf else "joint", p.name, p.ohm, p.emf, as_drawn=p.name != "x")
        for p in parts
    ]


@pytest.mark.parametrize("members", [1, 2, 3, 6])
@needs_ngspice
def test_bar_across_one_member_of_a_group(members: int, tmp_path: Path) -> None:
    """Four groups in series with bars of 60 µΩ; a bar x from − to + of the second group shorts every member of it."""
    rng = random.Random(members)
    parts = []
    for group in range(4):
        for member in range(members):
            ohm = round(rng.uniform(0.5e-3, 1.5e-3), 7)
            parts.append(Part(f"g{group}m{member}", f"n{group}", f"n{group + 1}", ohm, 3.65))
    parts.append(Part("x", "n1", "n2", 60e-6))
    (ring,) = driven_rings(edges_of(parts), lambda edges: solve(edges).currents)
    (across,) = potentials(parts, [("n2", "n1")], tmp_path)
    assert ring.driving_v == pytest.approx(3.65)
    assert ring.current_a == pytest.approx(across / 60e-6, rel=1e-6)
    assert ring.current_a == pytest.approx(abs(Circuit(parts).amperes("x")), rel=1e-9)


@pytest.mark.parametrize("members", [2, 3, 5])
@needs_ngspice
def test_member_turned_in_its_group(members: int, tmp_path: Path) -> None:
    """One member drives against the others: twice its voltage around each ring through it, solved together."""
    parts = [Part(f"m{j}", "n", "p", 1e-3 + j * 1e-4, 3.65) for j in range(members - 1)]
    parts.append(Part("x", "p", "n", 1e-3, 3.65))
    rings = driven_rings(edges_of(parts), lambda edges: solve(edges).currents)
    (across,) = potentials(parts, [("p", "n")], tmp_path)
    assert [ring.driving_v for ring in rings] == pytest.approx([7.3])
    assert rings[0].current_a == pytest.approx((3.65 + across) / 1e-3, rel=1e-6)


def test_like_poles_in_parallel_are_no_ring() -> None:
    parts = [Part(f"m{j}", "n", "p", 1e-3, 3.65 + 0.002 * j) for j in range(5)]
    assert driven_rings(edges_of(parts), lambda edges: solve(edges).currents) == []
