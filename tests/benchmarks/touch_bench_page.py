"""The bench page in a real Chromium: 24 modules from an empty record to the verdict, by touch; some minutes.

``python -m pytest tests/benchmarks/touch_bench_page.py``; six modules are touched in ``tests/test_bench_page.py``.
"""

from __future__ import annotations

from pathlib import Path

from at_the_bench import (  # noqa: F401
    NEEDS,
    NOTHING_LEFT,
    SKERRY,
    Build,
    Hand,
    days_ago,
    filled_in,
    opened,
    pack_of,
    put_where_it_is_not_drawn,
    running_browser,
    served,
    told_again,
    verdict,
)
from browser import Browser

from packcheck.rules.findings import Gate, Verdict

pytestmark = NEEDS


def test_twenty_four_modules_from_an_empty_record_to_the_verdict(browser: Browser, tmp_path: Path) -> None:
    record = tmp_path / "sk-1.yaml"
    build = Build(pack_of(SKERRY), wrong={"B11": ("P12.A", "P13.A")})
    with served(SKERRY, record, "--pack", "SK-1", "--port", "0") as (_, address):
        page = opened(browser, address)
        hand = Hand(page, build)
        hand.introduce("MK")
        hand.at(days_ago(2))
        put_where_it_is_not_drawn(hand, "B11")
        page.tap_text("I have read this")
        told_again(hand, "B11", ("P11.A", "P12.A"))
        del build.wrong["B11"]
        filled_in(hand, "document.querySelector('#stage').value.startsWith('release')")
        assert verdict(record, SKERRY, Gate.CLOSE_CONTACTORS) is Verdict.NO_RULE_BROKEN
        hand.at(days_ago(1))
        filled_in(hand, NOTHING_LEFT)
        assert verdict(record, SKERRY) is Verdict.NO_RULE_BROKEN
        assert browser.complaints() == []
