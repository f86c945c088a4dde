"""What the shipped rules say: live shorts before all else, and no number of another pack."""

from __future__ import annotations

import re

import pytest

from packcheck.facts.tables import table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.rules.findings import Gate
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule

RULES = load_rules([shipped_folder("rules")], table_by_name())
NUMBER_OF_A_PACK = re.compile(r"(?<![\w.,])\d[\d.,]*\s?(?:m|µ|k|M)?(?:V|A|Ω|W)\b")
TRUE_OF_EVERY_PACK = {
    "0 V": "nothing at all",
    "1.2 V": "one NiMH cell",
    "3.3 V": "one LFP cell",
    "4.20 V": "full for one chemistry",
    "60 V": "where voltage class B begins",
    "2 mV": "the accuracy of a meter, as makers write it",
    "10 MΩ": "input of a usual meter",
    "100 A": "what a rate of heat is told for",
    "0.1 mΩ": "what a rate of heat is told for",
    "0.5 mΩ": "what a rate of heat is told for",
    "1 mΩ": "what a washer too many adds",
    "1 W": "0.1 mΩ at 100 A",
    "5 W": "0.5 mΩ at 100 A",
    "10 W": "1 mΩ at 100 A",
}


def test_live_shorts_stand_first_and_hang_under_nothing() -> None:
    """What burns the hand now is told before what merely explains it."""
    first = {rule.name: rule for rule in RULES if rule.stands_first}
    assert set(first) == {"bare-conductors-touch", "layout-loop", "loop-shorts-modules", "loop-closed-by-switch"}
    assert [rule.name for rule in first.values() if rule.follows_from] == []
    gates = {name: rule.gate for name, rule in first.items()}
    assert gates.pop("loop-closed-by-switch") is Gate.PLUG_IN, "nothing flows before a switch is closed"
    assert set(gates.values()) == {Gate.FIT_BARS}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_why_and_remedy_print_no_number_of_another_pack(rule: Rule) -> None:
    """They are printed for every pack; the numbers of the pack in hand stand in what was found."""
    numbers = {n for text in (rule.why, rule.remedy) for n in NUMBER_OF_A_PACK.findall(text)}
    assert numbers <= set(TRUE_OF_EVERY_PACK)


def test_a_number_of_another_pack_is_seen() -> None:
    told = "7.92 V over 10 mΩ is 790 A and 6.3 kW; 60 V is a limit, M5 and P12 are names"
    assert NUMBER_OF_A_PACK.findall(told) == ["7.92 V", "10 mΩ", "790 A", "6.3 kW", "60 V"]
