"""What a shop profile changes in the facts."""

from __future__ import annotations

import pytest

from packcheck.adopting import adopted_by, check_values
from packcheck.document import parse_document
from packcheck.errors import InputProblems
from packcheck.facts.evidence import Adopted
from packcheck.pack.model import Bounds
from packcheck.rules.profile import Profile, read_profile

NOTE = "by: E. Hale, at: 2026-09-01, why: as measured"


def profile(text: str) -> Profile:
    document = parse_document(f"profile: 1\nshop: Harbour bench\n{text}", "shop.yaml")
    shop = read_profile(document, ())
    check_values(document, shop)
    return shop


def test_no_profile_adopts_nothing() -> None:
    assert adopted_by(None) == Adopted()


def test_a_torque_band_is_adopted_by_thread() -> None:
    adopted = adopted_by(profile(f"torque bands:\n  M5: {{band: 4 N·m to 5 N·m, {NOTE}}}\n"))
    assert adopted == Adopted({"M5": Bounds(4.0, 5.0)}, None)


def test_the_surge_limit_is_adopted() -> None:
    assert adopted_by(profile(f"values:\n  surge limit: {{value: 20 A, {NOTE}}}\n")).surge_limit_a == 20.0


@pytest.mark.parametrize(
    ("entry", "found", "do"),
    [
        ("surge limt: {value: 20 A", "a value for 'surge limt', which nothing uses", "did you mean 'surge limit'?"),
        ("zzz: {value: 20 A", "a value for 'zzz', which nothing uses", "take it out"),
        ("surge limit: {value: 20 V", "a value in V", "write the value in A"),
        ("surge limit: {value: 20", "a value in no unit", "write the value in A"),
    ],
)
def test_a_value_that_nothing_uses_is_refused_at_its_line(entry: str, found: str, do: str) -> None:
    with pytest.raises(InputProblems) as caught:
        profile(f"values:\n  {entry}, {NOTE}}}\n")
    (problem,) = caught.value.problems
    assert (problem.line, problem.found, problem.do) == (4, found, do)
