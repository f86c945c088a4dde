"""A switch that does not open, read past in a clean record: one finding, and its headline names the switch."""

from __future__ import annotations

import re

import pytest
from faulty_builds import above_advice, shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text
from packcheck.rules.findings import Gate, Verdict

CLEAN = {"skerry-24": "clean-sk-0417", "plover-16": "clean-pl-0052", "tern-96": "clean-tn-0009"}
"""Packs whose contactors are all main contactors, with their clean records."""


@pytest.mark.parametrize(
    ("pack", "row", "volts", "rule", "subject"),
    [
        ("skerry-24", "past K1", "190.2", "contactor-not-shown-open", "K1"),
        ("skerry-24", "past K2", "190.2", "contactor-not-shown-open", "K2"),
        ("skerry-24", "mains out", "190.2", "disconnect-not-shown-open", "SD"),
        ("plover-16", "past K1", "52.9", "contactor-not-shown-open", "K1"),
        ("tern-96", "past K1", "347.5", "contactor-not-shown-open", "K1"),
    ],
)
def test_a_voltage_past_an_open_switch_is_one_finding_about_the_switch(
    pack: str, row: str, volts: str, rule: str, subject: str
) -> None:
    folder = shipped_folder("layouts") / pack
    text = (folder / f"{CLEAN[pack]}.yaml").read_text("utf-8")
    line = re.search(rf"^  {row}:.*$", text, re.MULTILINE)
    assert line, "the clean record has that reading"
    told = re.sub(r"-?0\.0\d+", volts, line[0], count=1)
    assert told != line[0]
    layout = Text((folder / f"{pack}.yaml").read_bytes(), f"{pack}.yaml")
    record = text.replace(line[0], told).encode()
    judgement = check(record, "record.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=layout).judgement
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE
    assert [(f.rule, f.subject) for f in above_advice(judgement)] == [(rule, subject)]
    assert {c.rule for c in judgement.findings[0].consequences} == {"reading-floating", "reading-ghost"}
