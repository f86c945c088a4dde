"""The formulas that answers rest on, as people write them: what a page shows beside the numbers it put in.

Each stands beside the function that reckons it; symbols are those of the numbers shown with it.
"""

from __future__ import annotations

from typing import NamedTuple


class Formula(NamedTuple):
    """A formula in words: its name, itself, its source, and how far it holds ("" where that is said by the source)."""

    name: str
    text: str
    source: str
    holds: str = ""


SHORT_CIRCUIT = Formula(
    "Current of a short circuit",
    "I = E / (R + R_out)",
    "Ohm's law; every module a voltage behind a resistance",
    "the first moment: cells sag, fuses open, and stray inductance slows the rise",
)
"""``arc.short_circuit_current_a``."""

GREATEST_POWER = Formula(
    "Greatest power into an arc or a poor contact",
    "P = E² / (4 · R)",
    "maximum power transfer: Kuphaldt, Lessons in Electric Circuits, volume I, chapter 10",
    "a bound, reached at half the voltage",
)
"""``arc.maximum_power_w``."""

PATH_RESISTANCE = Formula(
    "Resistance of the path between the mains",
    "R = R_modules + R_joints + R_devices",
    "resistances in series; bodies of conductors count with their joints",
    "one path without branches; a path with branches is solved as a network",
)
"""The sum along ``network.topology.Forest.walk``."""

READING = Formula(
    "Voltage expected at a reading",
    "V = sum of the module voltages between the leads, each with its sign",
    "Kirchhoff's voltage law, with the module voltages on record",
    "nothing connected outside, no current",
)
"""``network.solution.solve`` where the way between the leads has no loop."""

ACCURACY = Formula(
    "Uncertainty of a reading",
    "U = a · |x| + b",
    "accuracy of the instrument as the record states it, share of the reading and fixed part added",
    "half the width of the interval; nothing is taken off for luck",
)
"""``record.instruments.Measuring.entry``."""

LOOP_CURRENT = Formula(
    "Current in a closed loop",
    "I = V / R",
    "Kirchhoff's voltage law around the loop",
    "a loop that shares no part with another one",
)
"""``network.rings.Ring``."""

LOOP_HEAT = Formula("Heat in a closed loop", "P = I² · R", "Joule's law", "as the current")
"""``network.rings.Ring``."""

SURGE = Formula(
    "Current at the moment members are joined in parallel",
    "I = |V − V_rest| / (r + R_rest)",
    "Millman's theorem: Kuphaldt, Lessons in Electric Circuits, volume I, chapter 10",
    "the others stand at V_rest behind R_rest; bars and joints, which lessen it, are left out",
)
"""``parallel_sources.surges_a``."""

GAP_VOLTAGE = Formula(
    "Voltage across a gap",
    "V = |V_a − V_b|",
    "Kirchhoff's voltage law, every module at its highest",
    "across an open switch the rest of the string counts where it is more",
)
"""``facts.of_gaps.find_gaps``."""

CREEPAGE = Formula(
    "Creepage distance needed",
    "d = the row of the table at V or next above it",
    "IEC 60664-1 table F.4, basic insulation, as reprinted in a terminal-block maker's catalogue",
    "up to 1250 V; reinforced insulation takes twice the distance",
)
"""``creepage.creepage_mm``."""

CLAMP_LOAD = Formula(
    "Clamp load of a joint",
    "F = 1000 · T / (K · d)",
    "Shigley, 9th ed., eq. (8-27) turned round",
    "T in N·m, d in mm; K scatters by about a quarter, and a prevailing torque comes off before",
)
"""``bolted_joints.clamp_load_n``."""

STRESS_AREA = Formula(
    "Stress area of a thread", "A = π / 4 · (d − 0.9382 · p)²", "ISO 898-1, 9.1.6", "coarse metric threads, mm"
)
"""``bolted_joints.stress_area_mm2``."""

PROOF_LOAD = Formula(
    "Proof load of a thread",
    "F_p = A · S",
    "ISO 898-1 (1999 layout), as reprinted in a fastener maker's table; stainless: ISO 3506-1, from memory",
    "within 1 % of printed tables, which round it",
)
"""``bolted_joints.proof_load_n``."""

PROOF_SHARE = Formula(
    "Clamp load as a share of the proof load",
    "share = F / F_p",
    "Shigley, 9th ed., eq. (8-31): 0.75 is usual where a joint is taken apart again",
)
"""``bolted_joints.proof_fraction``."""

TOOL_RANGE = Formula(
    "Lowest torque a tool is fit for",
    "T_low = the more of 0.2 · T_max and the lowest mark",
    "ISO 6789:2003: tools are tested at 20, 60 and 100 %",
    "hand tools, type II class A",
)
"""``torque_tool.tool_range_n_m``."""

FUSING = Formula(
    "Current that melts a sense wire",
    "I = 10244 · (d / 25.4)^1.5",
    "W. H. Preece, Proceedings of the Royal Society, 1884 to 1888; constant as quoted in handbooks",
    "bare copper in air, d in mm; good to some tens of per cent",
)
"""``wire.fusing_current_a``."""

FORMULAS: tuple[Formula, ...] = (
    SHORT_CIRCUIT, PATH_RESISTANCE, GREATEST_POWER, LOOP_CURRENT, LOOP_HEAT, SURGE, READING, ACCURACY, GAP_VOLTAGE,
    CREEPAGE, CLAMP_LOAD, STRESS_AREA, PROOF_LOAD, PROOF_SHARE, TOOL_RANGE, FUSING,
)  # fmt: skip
"""Every formula, in the order in which a page shows them."""
