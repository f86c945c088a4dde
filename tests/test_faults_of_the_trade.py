"""The assembly faults of the trade: each is found by a rule that the matrix of faults exercises, or it is said why not.

The short names: T polarity and topology, J joints and bars, G hygiene and counts, L parallel strings and groups, R the
record itself.
"""

from __future__ import annotations

from faulty_builds import shipped_rules
from kinds_of_fault import ROWS, TOPOLOGY, UNSEEN, build

CATALOGUE = {
    "T01 one module turned end for end": "module-reversed",
    "T02 a whole block turned": "block-reversed",
    "T03 two modules turned in different blocks": "module-reversed",
    "T04 the whole stack mirrored": "stack-mirrored",
    "T05 a bar over the wrong pair of posts": "conductor-moved",
    "T06 a bar beside the service disconnect": "disconnect-bypassed",
    "T07 a bar missing": "conductor-not-fitted",
    "T08 a module left out, a bar in its place": "module-not-fitted",
    "T09 a module of another type": "module-wrong-type",
    "T10 main leads swapped": "mains-swapped",
    "T11 a serial twice, or none": "serial-doubled",
    "T12 two trays joined in the wrong order": "conductor-moved",
    "J01 a nut only finger tight": "joint-torque-low",
    "J02 torque set in the wrong unit": "torque-unit-slip",
    "J03 over-torque": "joint-torque-high",
    "J04 cross-threaded or bottomed nut": "joint-resistance-high",
    "J05 a washer between post and bar": "joint-resistance-high",
    "J06 oxide, paint or residue on the faces": "joint-resistance-above-peers",
    "J07 a washer missing": "part-count-off",
    "J08 a bar cracked or thin": "conductor-damaged",
    "J09 a bar of the wrong part": "conductor-wrong-part",
    "J10 a cap missing": "post-cap-missing",
    "J11 torqued before compression": "joint-torqued-before-clamp",
    "G01 a part left over": "part-unaccounted",
    "G02 more fitted than the layout has": "part-count-off",
    "G03 a tool not returned": "tool-not-returned",
    "G05 a cover off": "cover-not-fitted",
    "L01 a group joined at unequal voltages": "group-surge",
    "L02 a member reversed inside a group": "module-reversed",
    "L03 a member of a group not connected": "group-member-unjoined",
    "L04 groups of unequal size": "group-unequal-size",
    "L09 strings of unequal length in parallel": "string-unequal-length",
    "R02 an instrument out of calibration": "instrument-overdue",
    "R05 parts and total disagree": "sum-disagrees",
    "R07 a decimal or unit slip": "rest-voltage-slip",
}
NOT_FOUND = {
    "J12 re-torqued by backing off": "only a layout that asks for the method of the re-check finds it: tests/catalogue",
    "G04 swarf or dust": "only a layout that asks for an entry about cleaning finds it: tests/catalogue",
    "G06 condensation": "only a layout that asks for the humidity, or for isolation, finds it: tests/catalogue",
}
ONLY_THROUGH = {
    "J04": "its torque is right: only the joint's resistance shows it, and only if it was read",
    "J07": "the count shows it, and the re-check when the joint has moved; not which joint",
}


def test_the_catalogue_is_complete_and_each_entry_is_found_by_a_rule_that_the_matrix_exercises() -> None:
    asked = [
        *(f"T{i:02d}" for i in range(1, 13)), *(f"J{i:02d}" for i in range(1, 13)), *(f"G{i:02d}" for i in range(1, 7)),
        "L01", "L02", "L03", "L04", "L09", "R02", "R05", "R07",
    ]  # fmt: skip
    assert sorted(entry.partition(" ")[0] for entry in [*CATALOGUE, *NOT_FOUND]) == sorted(asked)
    assert set(CATALOGUE.values()) <= {rule.name for rule in shipped_rules()}
    exercised = {rule for kind in [*TOPOLOGY, *UNSEEN, *ROWS] for fault in kind.faults(build(kind.pack))
                 for rule, _ in (*fault.top, *fault.folded)}  # fmt: skip
    elsewhere = {"group-member-unjoined", "group-unequal-size", "string-unequal-length", "sum-disagrees"}
    assert set(CATALOGUE.values()) - exercised == elsewhere
    assert set(ONLY_THROUGH) <= {entry.partition(" ")[0] for entry in CATALOGUE}
