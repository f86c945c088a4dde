"""Names of two words: `front cover` is the cover that is called so wherever an order or the work names it."""

from __future__ import annotations

import re

import pytest
from faulty_builds import shipped_rules

from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check
from packcheck.model.opening import Text, open_bytes
from packcheck.model.pack.order import meaning
from packcheck.rules.findings import Gate, Severity, Verdict

FOLDER = shipped_folder("layouts") / "skerry-24"


def renamed(pattern: str, into: str) -> tuple[Text, bytes]:
    """Return the layout of 24 sticks, and its clean record, with a name written otherwise in both."""
    layout, record = ((FOLDER / name).read_text("utf-8") for name in ("skerry-24.yaml", "clean-sk-0417.yaml"))
    assert re.search(pattern, layout)
    told = re.sub(pattern, into, record)
    return Text(re.sub(pattern, into, layout).encode(), "skerry-24.yaml"), told.encode()


@pytest.mark.parametrize(
    ("pattern", "into"),
    [
        (r"\bCA\b", "front cover"),
        (r"\bSD\b", "service plug"),
        (r"\bF1\b", "main fuse"),
        (r"\bP(\d\d)\b", r"seat \1"),
        (r"\bB(\d\d)\b", r"bar \1"),
    ],
)
def test_a_name_of_two_words_changes_nothing_in_a_clean_record(pattern: str, into: str) -> None:
    layout, record = renamed(pattern, into)
    judgement = check(record, "record.yaml", rules=shipped_rules(), gate=Gate.RELEASE, layout=layout).judgement
    assert [f.rule for f in judgement.findings if f.severity is not Severity.ADVISE] == []
    assert judgement.verdict is Verdict.NO_RULE_BROKEN


def test_words_that_name_nothing_are_other_work() -> None:
    layout, _ = renamed(r"\bCA\b", "front cover")
    pack = open_bytes(*layout).pack
    assert list(meaning(pack, "front cover")) == [("covers", "front cover")]
    assert list(meaning(pack, "rear cover")) == [("others", "rear cover")]
