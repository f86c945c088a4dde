"""A pack of two modules, main − a bare post with an eyelet on it; its clean record is written and counted by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from faulty_builds import above_advice, shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text, open_bytes
from packcheck.model.pack.order import read_order
from packcheck.model.pack.parts import needed_parts
from packcheck.rules.findings import Gate, Verdict

SAMPLES = Path(__file__).parent / "samples"
LAYOUT = Text((SAMPLES / "knot-2.yaml").read_bytes(), "knot-2.yaml")
CLEAN = (SAMPLES / "knot-2-clean.yaml").read_text("utf-8")


def found(record: str) -> tuple[Verdict, list[tuple[str, str]]]:
    judgement = check(record.encode(), "r.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=LAYOUT).judgement
    return judgement.verdict, [(f.rule, f.subject) for f in above_advice(judgement)]


def test_the_clean_record_breaks_no_rule() -> None:
    assert found(CLEAN) == (Verdict.NO_RULE_BROKEN, [])


@pytest.mark.parametrize("part", ["washer-m4", "nut-m4"])
def test_the_eyelet_on_the_bare_post_has_its_own_washer_and_nut(part: str) -> None:
    """Six lugs of three leads, and the eyelet of a0: seven of each."""
    assert needed_parts(open_bytes(*LAYOUT).pack)[part] == 7
    issued = {"washer-m4": (10, 7, 3), "nut-m4": (8, 7, 1)}[part]
    row = f"{part}: [{issued[0]}, 7, {issued[2]}, 0]"
    assert row in CLEAN
    told = CLEAN.replace(row, f"{part}: [{issued[0]}, 6, {issued[2] + 1}, 0]")
    assert found(told) == (Verdict.HOLD, [("part-count-off", part)])


def test_an_order_that_never_clamps_the_stack_leaves_something_out() -> None:
    path = shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml"
    pack = open_bytes(path.read_bytes(), path.name).pack
    assert read_order(pack).left_out == ()
    unclamped = [tuple(word for word in words if word != "clamp") for words in pack.order]
    assert read_order(replace(pack, order=tuple(unclamped))).left_out == ("clamp",)
