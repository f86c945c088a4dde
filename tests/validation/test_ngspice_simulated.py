"""Circuits of simulated builds against the circuit simulator ngspice (Debian package, ``ngspice -b``)."""

from __future__ import annotations

from pathlib import Path

import pytest
from spice import REASON_MISSING, may_be_skipped, ngspice_solution

from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file
from packcheck.network.circuit import Branch
from packcheck.simulate.build import Build
from packcheck.simulate.circuit import Circuit
from packcheck.simulate.elements import elements
from packcheck.simulate.scribe import Bench

pytestmark = [pytest.mark.ngspice, pytest.mark.skipif(may_be_skipped(), reason=REASON_MISSING)]


def odd(build: Build) -> Build:
    """Return a build with one module turned about and, where there are groups, a ring current in one of them."""
    first, *_, last = build.modules
    return build.turned(first).with_module(last, emf_v=build.modules[last].emf_v * 0.9)


@pytest.mark.parametrize("name", ["skerry-24", "heron-2x15", "tern-96"])
def test_potentials_are_those_of_ngspice(name: str, tmp_path: Path) -> None:
    bench = Bench(open_file(shipped_folder("layouts") / name / f"{name}.yaml").pack)
    parts = list(elements(odd(bench.build("1")), bench.pack.states[bench.plan.whole_state].closed))
    circuit = Circuit(parts)
    branches = [Branch(part.start, part.end, part.ohm, part.emf_v) for part in parts]
    potential, _ = ngspice_solution(tmp_path, branches, circuit.island)
    most = max(map(abs, potential.values()))
    for node, root in circuit.island.items():
        ours = circuit.potential_v[node] - circuit.potential_v[root]
        assert ours == pytest.approx(potential[node] - potential[root], abs=1e-7 * most)
