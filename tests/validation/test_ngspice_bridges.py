"""Random bridges in random half-built packs against the circuit simulator ngspice (Debian package, ``ngspice -b``).

Each is solved by ngspice with the bridge in place as a resistor; its current is compared with the one that follows from
open-circuit voltage and resistance between the two conductors, to 1e-6.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from spice import REASON_MISSING, may_be_skipped, ngspice_solution
from workshop import grouped_layout, pack_of, stick_layout

from packcheck.exposure.bridges import Bridges
from packcheck.exposure.sections import Sections
from packcheck.exposure.steps import State
from packcheck.geometry.reach import build_geometry
from packcheck.network.circuit import Branch, solve_circuit
from packcheck.network.graph import branches, network_of_layout

pytestmark = [pytest.mark.ngspice, pytest.mark.skipif(may_be_skipped(), reason=REASON_MISSING)]
BRIDGES = 64


@pytest.mark.parametrize("seed", range(BRIDGES))
def test_random_bridge(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    members = rng.choice([1, 1, 2, 3])
    layout = stick_layout(rng.randint(4, 24)) if members == 1 else grouped_layout(rng.randint(4, 12), members)
    pack = pack_of(layout)
    edges = [
        edge._replace(
            resistance_ohm=edge.resistance_ohm * rng.uniform(0.5, 3), emf_v=edge.emf_v * rng.uniform(0.9, 1.1)
        )
        for edge in network_of_layout(pack).edges
    ]
    sections = Sections(pack, edges)
    fitted = frozenset(name for name in pack.conductors if rng.random() < 0.85)
    state = State(frozenset(pack.positions), fitted, frozenset(pack.devices), frozenset({"SD"} if seed % 2 else ()))
    key, section = max(sections.of(state).values(), key=lambda found: len(found[1].modules))
    geometry = build_geometry(pack, (10_000.0,))
    inside = [i for i, body in enumerate(geometry.bodies) if body.node in section.rest]
    external_ohm = rng.choice([1e-4, 1e-3, 1e-2])
    bridges = Bridges(geometry, sections, external_ohm)
    found = None
    while found is None:  # some pairs are one conductor's ends, or have no voltage between them
        found = bridges.of_section(key, section, rng.sample(inside, 2)).worst[0]
    bridged = [*branches(section.edges), Branch(*found.nodes, external_ohm, 0.0)]
    _, current = ngspice_solution(tmp_path, bridged, solve_circuit(bridged).island)
    assert abs(current[-1]) == pytest.approx(found.source.current_rest_a, rel=1e-6, abs=1e-9 * max(map(abs, current)))
