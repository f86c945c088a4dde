"""Rows of joints and of a pack, by hand, and the judgement of two rules on them."""

from __future__ import annotations

from collections.abc import Iterable

from rule_fixtures import PATH_RULE, RULE, TABLES, rule_from

from packcheck.judging.judge import judge
from packcheck.rules.catalogue import Measured, Row, Value
from packcheck.rules.findings import Gate, Judgement
from packcheck.rules.rule import Rule

TORQUE = rule_from(RULE)
PATH = rule_from(PATH_RULE)
BAND: dict[str, Value] = {"fitted": True, "torque_low_n_m": 4.0, "torque_high_n_m": 5.0}
GOOD = Measured(4.4, 4.6)


def joint(name: str = "B01/P01", **values: Value) -> Row:
    return Row(name, {**BAND, **values}, touches=frozenset({name}), place=f"{name}, planned −", face="front")


def judged(
    *joints: Row, rules: Iterable[Rule] = (TORQUE,), gate: Gate = Gate.RELEASE, pack: Row | None = None
) -> Judgement:
    facts = {"joint": joints, "pack": (pack,) if pack else ()}
    return judge(rules, facts, TABLES, gate=gate)
