"""Clean builds of every shape and several sizes: no rule finds anything above advice in them."""

from __future__ import annotations

import pytest
from faulty_builds import Build, above_advice, judged
from workshop import grouped_layout, rack_layout, stick_layout, trayed_layout

from packcheck.rules.findings import Gate, Verdict


@pytest.mark.parametrize("layout", [
    *(stick_layout(n) for n in (4, 5, 9, 16, 23, 32, 40)),
    *(grouped_layout(s, p) for s, p in ((4, 1), (5, 2), (6, 8), (9, 4), (14, 3))),
    *(trayed_layout(n) for n in (3, 4, 9)),
    *(rack_layout(counts) for counts in ([4, 4], [5, 5, 5], [8, 8], [4, 4, 4, 4])),
], ids=lambda layout: f"{layout['name']} {next(iter(layout['positions']))}")  # fmt: skip
@pytest.mark.parametrize("seed", [1, 2])
def test_a_clean_build_is_never_flagged(layout: dict[str, object], seed: int) -> None:
    b = Build(layout, seed=seed, release=True)
    judgement = judged(b.record(), Gate.RELEASE)
    assert [(f.rule, f.subject, f.outcome.value) for f in above_advice(judgement)] == []
    assert judgement.verdict is Verdict.NO_RULE_BROKEN
