"""A module type that no position is planned with may still be fitted: what is drawn of it is judged too."""

from __future__ import annotations

import pytest
from faulty_builds import every_finding, shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_opened
from packcheck.model.opening import open_bytes
from packcheck.rules.findings import Gate

LAYOUT = (shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml").read_text("utf-8")
SHELF = "short-stick: {chemistry: NiMH, cells: 5, nominal: 6.0 V"
"""A stick of five cells, which stands nowhere in that layout: 1.2 V a cell."""


def found(text: str) -> set[str]:
    report = check_opened(open_bytes(text.encode(), "skerry-24.yaml", None), shipped_rules(), Gate.RELEASE, None)
    return {f.rule for f in every_finding(report.judgement) if f.subject == "short-stick"}


@pytest.mark.parametrize(
    ("changed", "rules"),
    [
        (SHELF, set()),
        ("short-stick: {chemistry: NiMH, cells: 15, nominal: 6.0 V", {"module-nominal-unlike-chemistry"}),
        ("short-stick: {chemistry: NiMH, cells: 5, nominal: 16.0 V", {"module-nominal-unlike-chemistry"}),
    ],
    ids=["as drawn", "a cell of 0.4 V", "a cell of 3.2 V"],
)
def test_what_is_drawn_of_it_is_held_against_its_chemistry(changed: str, rules: set[str]) -> None:
    assert LAYOUT.count(SHELF) == 1
    told = found(LAYOUT.replace(SHELF, changed))
    assert told >= rules
    assert bool(told) is bool(rules)
