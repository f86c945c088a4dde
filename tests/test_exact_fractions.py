"""The floating-point solution against the exact one of the same network, computed in fractions."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from random_packs import as_floats, random_pack

from packcheck.network.circuit import Branch, Solution, resistances_between, solve_circuit


def largest_errors(branches: list[Branch]) -> tuple[float, float, Solution]:
    """Return the largest relative error of a current and of a voltage across a branch, and the exact solution."""
    exact = solve_circuit(branches)
    assert exact.residual == 0
    rounded = solve_circuit(as_floats(branches))
    currents = [relative(a, b) for a, b in zip(rounded.current, exact.current, strict=True)]
    voltages = [relative(rounded.potential[name], value) for name, value in exact.potential.items()]
    return max(currents), max(voltages), exact


def relative(value: float | Fraction, exact: float | Fraction) -> float:
    return float(abs(Fraction(value) - exact) / abs(exact)) if exact else float(abs(value))


@pytest.mark.parametrize("seed", range(40))
def test_small_packs_with_mistakes_and_insulation(seed: int) -> None:
    """Every single current, from kiloamperes in a stray bar to nanoamperes of leakage, is good to 1e-9 of itself."""
    rng = random.Random(seed)
    pack = random_pack(
        rng, rng.randint(1, 3), rng.randint(2, 12), rng.randint(1, 3), rng.randint(0, 3), is_open=seed % 2 == 0
    )
    current_error, potential_error, _ = largest_errors(pack)
    assert current_error <= 1e-9
    assert potential_error <= 1e-9


@pytest.mark.parametrize(("strings", "modules"), [(1, 3000), (2, 1500), (1, 10000)])
def test_large_packs_with_few_loops(strings: int, modules: int) -> None:
    pack = random_pack(random.Random(modules), strings, modules, mistakes=3, leaks=2)
    current_error, potential_error, exact = largest_errors(pack)
    assert max(map(abs, exact.current)) > 1
    assert current_error <= 1e-9
    assert potential_error <= 1e-9


def test_joint_beside_insulation() -> None:
    """20 µΩ joints in a ring with 1 GΩ arms to a chassis: resistances exact to 1e-13 on both sides."""
    branches = [Branch(k, (k + 1) % 40, Fraction(20 + k, 10**6)) for k in range(40)]
    branches += [Branch(k, "chassis", Fraction(10**9 + k)) for k in range(40)]
    pairs: list[tuple[object, object]] = [(k, (k + 3) % 40) for k in range(40)] + [(k, "chassis") for k in range(40)]
    exact = resistances_between(branches, pairs)
    rounded = resistances_between(as_floats(branches), pairs)
    assert max(map(relative, rounded, exact)) <= 1e-13
