"""How many pairs of bare metal a step leaves within reach, and their power in all: every pair held against every one.

Distances are those of boxes, done here by hand; what stands between two nodes and behind them comes from the dense
solution of ``tests/oracle``; the most that a source gives is E²/(4R) (maximum power transfer, Kuphaldt, Lessons in
Electric Circuits, vol. I, ch. 10).
"""

from __future__ import annotations

from itertools import combinations
from math import inf, sqrt

import pytest
from exposure_packs import example_24
from oracle.algebra import Circuit
from oracle.drawing import Part
from workshop import Data, grouped_layout, pack_of, stick_layout, trayed_layout

from packcheck.exposure.exposed import Asked, Exposure, Model
from packcheck.geometry.bodies import Body
from packcheck.model.pack.order import read_order

CLASS_B_V = 60.0
SHAPES: dict[str, Data] = {
    "example": example_24(), "groups": grouped_layout(4, 2), "trays": trayed_layout(6), "sticks": stick_layout(8),
}  # fmt: skip


def apart_mm(a: Body, b: Body) -> float:
    """Return the distance of two boxes along each axis, squared and added, less what lead ends swing."""
    each = [max(0.0, abs(p - q) - s - t) for p, q, s, t in zip(a.centre, b.centre, a.half, b.half, strict=True)]
    return max(0.0, sqrt(sum(d * d for d in each)) - a.swing_mm - b.swing_mm)


def may_bridge(a: Body, b: Body) -> bool:
    """Return whether two bodies can be bridged at all: pins within their connector, two ends of one lead never."""
    if "pin" in (a.kind, b.kind):
        return a.kind == b.kind and a.part == b.part
    return a.part != b.part or "lead end" not in (a.kind, b.kind)


def by_hand(exposure: Exposure, model: Model) -> tuple[int, int, float]:
    """Return the pairs, those in class B, and their power [W]."""
    bodies = {body.name: body for body in model.geometry.bodies}
    reach = max(one.length_mm for one in model.geometry.reaches)
    pairs, in_b, power = 0, 0, 0.0
    for section in exposure.sections:
        circuit = Circuit(Part(e.name, e.start, e.end, e.resistance_ohm, e.emf_v) for e in section.charged)
        inside = [bodies[name] for name in exposure.bare if bodies[name].node in circuit.index]
        for a, b in combinations(inside, 2):
            volts = abs(circuit.volts(a.node, b.node))
            if volts > 1e-6 and may_bridge(a, b) and apart_mm(a, b) <= reach:
                wire_a = model.pack.sense_limit_a or inf if a.kind == "pin" else inf
                pairs, in_b = pairs + 1, in_b + (volts > CLASS_B_V)
                power += min(volts**2 / 4 / circuit.resistance(a.node, b.node), volts * wire_a)
    return pairs, in_b, power


@pytest.mark.parametrize("caps", [True, False])
@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_the_pairs_and_the_power_of_every_step(shape: str, caps: bool) -> None:
    pack = pack_of(SHAPES[shape])
    model = Model(pack, Asked(caps=caps))
    seen = 0
    for exposure in model.story(read_order(pack).stages):
        pairs, in_b, power = by_hand(exposure, model)
        assert (exposure.pairs, exposure.class_b_pairs) == (pairs, in_b), exposure.stage.number
        assert exposure.power_sum_w == pytest.approx(power), exposure.stage.number
        assert model.power_sum_w(exposure.state) == pytest.approx(power)
        seen += pairs
    assert seen > 5
