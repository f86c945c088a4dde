"""Random packs against the circuit simulator ngspice (Debian package, ``ngspice -b``).

ngspice forms potentials from the grounded node outwards, so its own currents carry rounding errors of about
1e-16 x string voltage / joint resistance; in a pack without any loop it reports such currents instead of none.
Therefore currents are compared to 1e-9 of the largest current in the pack or, if larger, of the largest current that
one module could drive through its own resistance; potentials to 1e-9 of the largest potential.

Where a part of the pack hangs on insulation alone (giga-ohms beside micro-ohms), ngspice's potentials are off by up to
0.1 % (exact arithmetic tells which side errs); there the insulation is left out here, and the case belongs to
``test_exact_fractions``.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from printed import solved
from random_packs import as_floats, random_pack
from spice import REASON_MISSING, may_be_skipped, ngspice_solution

from packcheck.network.circuit import Branch

pytestmark = [pytest.mark.ngspice, pytest.mark.skipif(may_be_skipped(), reason=REASON_MISSING)]

SHAPES = {
    "one string": (1, 24, 1),
    "groups in parallel": (1, 20, 4),
    "two strings": (2, 40, 1),
    "rack": (6, 30, 1),
    "rack of groups": (4, 16, 3),
}


def without_lone_insulation(branches: list[Branch]) -> list[Branch]:
    metal = [branch for branch in branches if branch.end != "chassis"]
    return branches if len(set(solved(metal).island.values())) == 1 else metal


def assert_same_as_ngspice(folder: Path, branches: list[Branch]) -> None:
    found = solved(branches)
    potential, current = ngspice_solution(folder, branches, found.island)
    highest = max(abs(float(v)) for v in found.potential.values())
    for name, value in found.potential.items():
        assert abs(float(value) - potential[name]) <= 1e-9 * highest, name
    strongest = max(map(abs, [*current, *(b.emf / b.resistance for b in branches)]))
    for branch, ours, theirs in zip(branches, found.current, current, strict=True):
        assert abs(ours - theirs) <= 1e-9 * strongest, branch


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("seed", range(12))
def test_random_packs_with_mistakes(tmp_path: Path, shape: str, seed: int) -> None:
    rng = random.Random(f"{shape} {seed}")
    strings, modules, parallel = SHAPES[shape]
    pack = random_pack(
        rng, strings, rng.randint(2, modules), parallel, mistakes=rng.randint(0, 4), is_open=seed % 3 == 0
    )
    assert_same_as_ngspice(tmp_path, without_lone_insulation(as_floats(pack)))


@pytest.mark.parametrize(
    ("strings", "modules", "parallel"), [(1, 1000, 1), (10, 100, 1), (1, 250, 4), (4, 125, 2)], ids=lambda n: str(n)
)
def test_random_packs_of_a_thousand_modules(tmp_path: Path, strings: int, modules: int, parallel: int) -> None:
    pack = random_pack(random.Random(modules), strings, modules, parallel, mistakes=3)
    assert_same_as_ngspice(tmp_path, without_lone_insulation(as_floats(pack)))


def test_floating_parts(tmp_path: Path) -> None:
    rng = random.Random(7)
    first = as_floats(random_pack(rng, 1, 8, is_open=True, mistakes=0, leaks=0))
    second = as_floats(random_pack(rng, 2, 6, mistakes=1, leaks=0))
    renamed = [branch._replace(start=("second", branch.start), end=("second", branch.end)) for branch in second]
    found = solved(first + renamed)
    assert len(set(found.island.values())) >= 2
    assert_same_as_ngspice(tmp_path, first + renamed)
