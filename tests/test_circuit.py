"""Laws that every solved network must keep, and the refusals of the solver."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from packcheck.files.problems import OwnFault
from packcheck.network import circuit
from packcheck.network.circuit import Branch, resistances_between, solve_circuit

OHMS = st.builds(
    lambda digits, power: Fraction(digits) * Fraction(10) ** power, st.integers(1, 999), st.integers(-6, 7)
)
VOLTS = st.one_of(st.just(Fraction(0)), st.builds(Fraction, st.integers(-9999, 9999), st.just(1000)))


@st.composite
def networks(draw: st.DrawFn, least: int = 1) -> list[Branch]:
    """Draw any network: parallel branches, closed branches and separate islands included."""
    nodes = st.integers(0, draw(st.integers(1, 9)))
    branch = st.builds(Branch, nodes, nodes, OHMS, VOLTS)
    return draw(st.lists(branch, min_size=least, max_size=20))


def floats(branches: list[Branch]) -> list[Branch]:
    return [Branch(b.start, b.end, float(b.resistance), float(b.emf)) for b in branches]


@given(networks())
@settings(max_examples=150, deadline=None)
def test_exact_solution_keeps_ohms_and_kirchhoffs_laws_exactly(branches: list[Branch]) -> None:
    found = solve_circuit(branches)
    balance = dict.fromkeys(found.potential, Fraction(0))
    for branch, current in zip(branches, found.current, strict=True):
        assert found.voltage(branch.start, branch.end) + branch.emf == current * branch.resistance
        balance[branch.start] -= current
        balance[branch.end] += current
    assert set(balance.values()) <= {0}
    assert found.residual == 0
    for name, root in found.island.items():
        assert found.island[root] == root
        assert found.potential[root] == 0 or name != root


@given(networks())
@settings(max_examples=150, deadline=None)
def test_floats_agree_with_fractions(branches: list[Branch]) -> None:
    """Fractions of the very floats: the loop sums of rounded decimals differ, and both sides must see the same ones."""
    rounded = floats(branches)
    exact = solve_circuit([Branch(b.start, b.end, Fraction(b.resistance), Fraction(b.emf)) for b in rounded])
    found = solve_circuit(rounded)
    scale = max(abs(float(i)) for i in exact.current)
    for ours, true in zip(found.current, exact.current, strict=True):
        assert float(ours) == pytest.approx(float(true), rel=1e-9, abs=1e-15 * scale)


@given(networks(), st.data())
@settings(max_examples=75, deadline=None)
def test_superposition(branches: list[Branch], data: st.DataObject) -> None:
    first = [data.draw(st.booleans()) for _ in branches]
    one = solve_circuit([b if keep else b._replace(emf=0) for b, keep in zip(branches, first, strict=True)])
    rest = solve_circuit([b._replace(emf=0) if keep else b for b, keep in zip(branches, first, strict=True)])
    assert solve_circuit(branches).current == [a + b for a, b in zip(one.current, rest.current, strict=True)]


@given(networks(least=2), st.data())
@settings(max_examples=75, deadline=None)
def test_reciprocity(branches: list[Branch], data: st.DataObject) -> None:
    """A source in branch j drives through branch k what the same source in k drives through j."""
    j, k = data.draw(st.integers(0, len(branches) - 1)), data.draw(st.integers(0, len(branches) - 1))
    silent = [b._replace(emf=0) for b in branches]
    in_j = [b._replace(emf=7) if place == j else b for place, b in enumerate(silent)]
    in_k = [b._replace(emf=7) if place == k else b for place, b in enumerate(silent)]
    assert solve_circuit(in_j).current[k] == solve_circuit(in_k).current[j]


@given(networks(), st.integers(1, 50), st.integers(1, 50))
@settings(max_examples=75, deadline=None)
def test_scale_laws(branches: list[Branch], volts: int, ohms: int) -> None:
    plain = solve_circuit(branches)
    scaled = solve_circuit([b._replace(resistance=b.resistance * ohms, emf=b.emf * volts) for b in branches])
    assert scaled.current == [i * volts / ohms for i in plain.current]
    assert scaled.potential == {name: v * volts for name, v in plain.potential.items()}


@given(networks(), st.randoms(use_true_random=False))
@settings(max_examples=75, deadline=None)
def test_names_order_and_direction_do_not_matter(branches: list[Branch], rng: object) -> None:
    plain = solve_circuit(branches)
    order = list(range(len(branches)))
    rng.shuffle(order)  # type: ignore[attr-defined]
    flipped = [Branch(f"n{b.end}", f"n{b.start}", b.resistance, -b.emf) for b in (branches[k] for k in order)]
    other = solve_circuit(flipped)
    assert other.current == [-plain.current[k] for k in order]
    for branch in branches:
        assert other.voltage(f"n{branch.start}", f"n{branch.end}") == plain.voltage(branch.start, branch.end)


@given(networks(), st.data())
@settings(max_examples=75, deadline=None)
def test_resistance_is_the_voltage_that_one_ampere_makes(branches: list[Branch], data: st.DataObject) -> None:
    nodes = sorted({node for b in branches for node in (b.start, b.end)})
    one, other = data.draw(st.sampled_from(nodes)), data.draw(st.sampled_from(nodes))
    silent = [b._replace(emf=0) for b in branches]
    found = resistances_between(silent, [(one, other), (other, one)])
    if one == other:
        assert found == [0, 0]
        return
    if solve_circuit(silent).voltage(one, other) is None:
        assert found == [math.inf, math.inf]
        return
    driven = solve_circuit(silent, {one: 1, other: -1})
    assert found == [driven.voltage(one, other)] * 2


@given(networks())
@settings(max_examples=75, deadline=None)
def test_foster_sum_is_junctions_less_islands(branches: list[Branch]) -> None:
    found = resistances_between(branches, [(b.start, b.end) for b in branches])
    islands = solve_circuit(branches).island
    assert sum(r / b.resistance for r, b in zip(found, branches, strict=True)) == len(islands) - len(
        set(islands.values())
    )


@given(networks())
@settings(max_examples=100, deadline=None)
def test_resistances_in_floats_agree_with_fractions(branches: list[Branch]) -> None:
    pairs = [(a, b) for a in range(6) for b in range(a)]
    assert resistances_between(floats(branches), pairs) == pytest.approx(
        [float(r) for r in resistances_between(branches, pairs)], rel=1e-12
    )


@given(networks(), st.integers(0, 19))
@settings(max_examples=50, deadline=None)
def test_another_branch_never_raises_a_resistance(branches: list[Branch], place: int) -> None:
    fewer = [b for k, b in enumerate(branches) if k != place % len(branches)]
    pairs = [(a, b) for a in range(5) for b in range(a)]
    for less, more in zip(resistances_between(branches, pairs), resistances_between(fewer, pairs), strict=True):
        assert less <= more


def test_agreeing_sources_drive_exactly_nothing() -> None:
    """Decimals given as fractions add up exactly, so 3 x 7.92 V holds 23.76 V without any current, even over 20 µΩ."""
    strings = [Branch(k, k + 1, 0.010, Fraction("7.92")) for k in range(3)]
    found = solve_circuit([*strings, Branch(0, 3, 20e-6, Fraction("23.76")), Branch(0, "chassis", 1e9)])
    assert found.current == [0.0] * 5
    assert found.voltage(3, 0) == pytest.approx(23.76, rel=1e-15)


def test_open_string_has_its_potentials_and_no_current() -> None:
    found = solve_circuit([Branch(k, k + 1, 0.01, 8.0) for k in range(24)])
    assert found.current == [0.0] * 24
    assert found.voltage(24, 0) == 192.0
    assert set(found.island.values()) == {0}


def test_reversed_module_lowers_the_string() -> None:
    found = solve_circuit([Branch(k, k + 1, 0.01, -8.0 if k == 5 else 8.0) for k in range(24)])
    assert found.voltage(24, 0) == 176.0


def test_closed_branch_carries_its_short_circuit_current() -> None:
    found = solve_circuit([Branch("post", "post", 0.01, 7.92), Branch("post", "far", 1.0)])
    assert found.current == pytest.approx([792.0, 0.0])


def test_islands_do_not_see_each_other() -> None:
    found = solve_circuit([Branch("a", "b", 1.0, 5.0), Branch("c", "d", 1.0, 3.0)])
    assert found.voltage("b", "a") == 5.0
    assert found.voltage("b", "d") is None
    assert found.island == {"a": "a", "b": "a", "c": "c", "d": "c"}
    assert resistances_between([Branch("a", "b", 1.0), Branch("c", "d", 1.0)], [("a", "d"), ("a", "nowhere")]) == [
        math.inf,
        math.inf,
    ]


def test_nothing_at_all() -> None:
    found = solve_circuit([])
    assert (found.potential, found.current, found.residual) == ({}, [], 0.0)
    assert resistances_between([], []) == []


def test_whole_numbers_are_solved_exactly() -> None:
    found = solve_circuit([Branch("a", "b", 3, 1), Branch("b", "a", 4)])
    assert found.current == [Fraction(1, 7), Fraction(1, 7)]


@pytest.mark.parametrize("ohm", [0, -1.0, 0.0, math.inf, math.nan, Fraction(0)])
def test_impossible_resistance_is_refused(ohm: float) -> None:
    with pytest.raises(OwnFault, match="joint to bar"):
        solve_circuit([Branch("joint", "bar", ohm)])
    with pytest.raises(OwnFault, match="joint to bar"):
        resistances_between([Branch("joint", "bar", ohm)], [])


@pytest.mark.parametrize("volt", [math.inf, math.nan])
def test_impossible_emf_or_feed_is_refused(volt: float) -> None:
    with pytest.raises(OwnFault, match="emf"):
        solve_circuit([Branch("a", "b", 1.0, volt)])
    with pytest.raises(OwnFault, match="fed in"):
        solve_circuit([Branch("a", "b", 1.0)], {"a": volt, "b": -volt})


def test_unbalanced_feed_is_refused() -> None:
    with pytest.raises(OwnFault, match="island of a"):
        solve_circuit([Branch("a", "b", 1.0), Branch("c", "d", 1.0)], {"a": 1.0, "d": -1.0})


def test_large_kirchhoff_residual_is_the_programs_own_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    """A solver that errs by a millionth is caught, whichever law it breaks."""
    true_solve = circuit.solve_currents

    def erring(*given: object) -> list[float]:
        return [float(i) * (1 + 1e-6 * k) for k, i in enumerate(true_solve(*given))]  # type: ignore[arg-type]

    def all_too_large(*given: object) -> list[float]:
        return [float(i) * (1 + 1e-6) for i in true_solve(*given)]  # type: ignore[arg-type]

    ring = [Branch(0, 1, 0.1, 12.0), Branch(1, 2, 0.2), Branch(2, 0, 0.3)]
    for wrong in (erring, all_too_large):
        monkeypatch.setattr(circuit, "solve_currents", wrong)
        with pytest.raises(OwnFault, match="Kirchhoff"):
            solve_circuit(ring)
