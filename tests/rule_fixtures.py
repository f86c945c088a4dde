"""A small fact table and one complete rule file over it, for the tests of rules, profile and judge."""

from __future__ import annotations

from packcheck.files.document import parse_document
from packcheck.rules.catalogue import Column, Table
from packcheck.rules.rule import Rule
from packcheck.rules.rule_file import read_rule

JOINT = Table(
    "joint",
    "One row per joint.",
    "joint",
    (
        Column("joint", "text", "name of the joint", "layout"),
        Column("fitted", "flag", "the joint was made", "record", "", "whether the joint was made", "eyes"),
        Column("torque_n_m", "measured", "torque read", "record", "N·m", "torque", "torque wrench"),
        Column("torque_low_n_m", "number", "least torque", "layout", "N·m"),
        Column("torque_high_n_m", "number", "most torque", "layout", "N·m"),
        Column("resistance_ohm", "measured", "resistance read", "record", "Ω", "resistance", "micro-ohmmeter"),
        Column("mark", "text", "colour of the mark", "record", "", "mark", "eyes"),
    ),
)
PACK = Table(
    "pack", "The pack.", "pack", (Column("path", "flag", "a path joins the mains", "record", "", "path", "eyes"),)
)
TABLES = {table.name: table for table in (JOINT, PACK)}

RULE = """\
rule: joint-torque-out-of-band
title: Every joint is tightened inside its torque band
family: torque
severity: fix-before-release
gate: plug in
each: joint
where: fitted
require: torque_low_n_m - slack <= torque_n_m <= torque_high_n_m
limits:
  slack: {value: 0.1 N·m, why: the scale of a wrench, basis: [{kind: common practice}]}
says:
  met: "{joint}: {torque_n_m} lies inside {torque_low_n_m:bare} to {torque_high_n_m}"
  found: "{joint} at {place}: {torque_n_m}, slack {slack}"
  needed: "{torque_low_n_m} to {torque_high_n_m}"
follows from: []
why: A loose joint burns.
remedy: Undo it and tighten it again.
teaching: The click does not show the setting.
basis: [{kind: published, document: A handbook, clause: "3"}, {kind: derived, from: the layout}]
examples:
  - {outcome: met, because: inside, facts: {fitted: true, torque_n_m: 4.5 ± 0.2, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: met, because: slack, facts: {fitted: true, torque_n_m: 3.9, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: broken, because: up, facts: {fitted: true, torque_n_m: 6.2 ± 0.2, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: broken, because: unfit still shows it, facts: {fitted: true, torque_n_m: 6 unfit, torque_high_n_m: 5}}
  - {outcome: undecided, because: big, facts: {fitted: true, torque_n_m: 4 to 6, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: unproven, because: not read, facts: {fitted: true, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: unproven, because: due, facts: {fitted: true, torque_n_m: 4 unfit, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: unproven, because: at least, facts: {torque_n_m: at least 9, torque_low_n_m: 4, torque_high_n_m: 5}}
  - {outcome: not applicable, because: not made, facts: {fitted: false, torque_n_m: 9}}
"""

PATH_RULE = """\
rule: main-path-open
title: The mains are joined
family: series
severity: never-energize
gate: fit bars
each: pack
require: path
says: {met: the mains are joined, found: the mains are not joined, needed: a path}
why: Nothing works.
remedy: Find the gap.
teaching: Look at the drawing.
basis: [{kind: common practice}]
examples:
  - {outcome: met, because: joined, facts: {path: true}}
  - {outcome: broken, because: open, facts: {path: false}}
  - {outcome: unproven, because: nobody looked, facts: {}}
"""


def rule_from(text: str, *changes: tuple[str, str]) -> Rule:
    """Return the rule that a text states after some changes to it."""
    return read_rule(parse_document(changed(text, *changes), "rule.yaml"), TABLES)


def changed(text: str, *changes: tuple[str, str]) -> str:
    """Return the text with each first part replaced by its second; one that is not there is a mistake of the test."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return text
