"""What a shop profile changes in the facts."""

from __future__ import annotations

import re

import pytest

from packcheck.facts.evidence import Adopted
from packcheck.facts.tables import table_by_name
from packcheck.files.document import parse_document, read_document
from packcheck.files.problems import InputProblems
from packcheck.files.quantities import format_quantity
from packcheck.files.shipped import shipped_folder
from packcheck.judging.adopting import adopted_by, check_limits, check_values
from packcheck.judging.check import check_file
from packcheck.model.pack.types import Bounds
from packcheck.render.json import judged_file
from packcheck.render.terminal import render_terminal
from packcheck.rules.library import load_rules
from packcheck.rules.profile import Profile, only_tightens, range_allowed, read_profile

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


RULES = load_rules([shipped_folder("rules")], table_by_name())
BY_NAME = {rule.name: rule for rule in RULES}


def limited(text: str) -> None:
    document = parse_document(f"profile: 1\nshop: Harbour bench\n{text}", "shop.yaml")
    check_limits(document, read_profile(document, RULES), RULES, table_by_name())


@pytest.mark.parametrize(("rule", "limit", "stricter", "looser"), [
    ("cell-voltage-collapsed", "cell_least_v", "2.2 V", "1.99 V"),
    ("reading-disagrees", "share_most", "0.4", "0.501"),
    ("reading-floating", "ghost_most_v", "0.5 V", "1.01 V"),
    ("module-bypassed", "share_least", "0.6", "0.499"),
    ("section-limit-by-rest-voltage", "class_a_v", "60 V", "61 V"),
])  # fmt: skip
def test_what_forbids_energizing_or_is_published_is_only_tightened(
    rule: str, limit: str, stricter: str, looser: str
) -> None:
    own = BY_NAME[rule].limits[limit]
    for value in (stricter, format_quantity(own.value, own.unit)):
        limited(f"limits:\n  {rule}:\n    {limit}: {{value: {value}, {NOTE}}}\n")
    with pytest.raises(InputProblems) as caught:
        limited(f"limits:\n  {rule}:\n    {limit}: {{value: {looser}, {NOTE}}}\n")
    (problem,) = caught.value.problems
    assert (problem.line, problem.found) == (5, looser)
    assert format_quantity(own.value, own.unit) in problem.needed


@pytest.mark.parametrize(("rule", "limit", "looser", "why"), [
    ("cell-voltage-collapsed", "cell_least_v", "1.99 V", "cell-voltage-collapsed forbids energizing, and a shop only"),
    ("section-limit-by-rest-voltage", "class_a_v", "61 V", "the number is published, and a shop only tightens it"),
    ("joint-clamp-load-high", "clamp_fraction_most", "1.01", "further off, the rule no longer says anything"),
])  # fmt: skip
def test_a_limit_is_refused_with_the_reason_that_holds_for_its_rule(
    rule: str, limit: str, looser: str, why: str
) -> None:
    with pytest.raises(InputProblems) as caught:
        limited(f"limits:\n  {rule}:\n    {limit}: {{value: {looser}, {NOTE}}}\n")
    (problem,) = caught.value.problems
    assert problem.why.startswith(why)


def test_each_limit_that_forbids_energizing_shows_by_an_example_which_way_it_loosens() -> None:
    tables = table_by_name()
    ends = {
        (rule.name, limit.name): range_allowed(rule, limit, tables[rule.each])
        for rule in RULES
        for limit in rule.limits.values()
        if only_tightens(rule, limit)
    }
    assert len(ends) >= 6
    fixed = [key for key, (least, most) in ends.items() if least == most]
    assert fixed == [("section-limit-by-rest-voltage", "class_a_v")]
    assert [key for key, (least, most) in ends.items() if least is None and most is None] == []


@pytest.mark.parametrize(("value", "is_right"), [
    ("0.19", True), ("0.1875", True), ("0.18", False), ("1", True), ("1.01", False), ("-0.5", False), ("0", False),
])  # fmt: skip
def test_another_limit_stays_within_what_makes_sense(value: str, is_right: bool) -> None:
    assert BY_NAME["joint-clamp-load-high"].limits["clamp_fraction_most"].number == 0.75
    text = f"limits:\n  joint-clamp-load-high:\n    clamp_fraction_most: {{value: {value}, {NOTE}}}\n"
    if is_right:
        limited(text)
    else:
        with pytest.raises(InputProblems, match=re.escape(value.lstrip("-"))):
            limited(text)


@pytest.mark.parametrize(("text", "found"), [
    ("torque bands:\n  M5: {band: 4 N·m to 500 N·m", "500 N·m"),
    ("values:\n  surge limit: {value: 0.1 A", "0.1 A"),
    ("values:\n  surge limit: {value: 5000 A", "5000 A"),
    ("torque bands:\n  M5: {band: 0.001 N·m to 5 N·m", "0.001 N·m"),
])  # fmt: skip
def test_a_band_or_a_surge_that_nobody_has_is_refused(text: str, found: str) -> None:
    with pytest.raises(InputProblems) as caught:
        limited(f"{text}, {NOTE}}}\n")
    (problem,) = caught.value.problems
    assert problem.line == 4
    assert problem.found.replace(" ", "").endswith(found.replace(" ", "")) or "mN" in problem.found


def test_every_adopted_number_is_printed_beside_its_default() -> None:
    file = shipped_folder("layouts") / "skerry-24" / "clean-sk-0417.yaml"
    document = read_document(shipped_folder("layouts") / "workshop-profile.yaml")
    report = check_file(file, rules=RULES, profile=read_profile(document, RULES))
    text = " ".join(render_terminal(report, width=200).split())
    assert (
        "clamp_fraction_most of joint-clamp-load-high: 0.75 in place of 0.75: studs are reused (AN, 2026-03-02)" in text
    )
    assert "surge limit, where the layout states none: 20 A in place of none" in text
    assert "torque of M5, where the layout states none: 4 N·m to 5 N·m in place of none" in text
    assert [one["value"] for one in judged_file(report)["adopted"]] == ["0.75", "1 V", "4 N·m to 5 N·m", "20 A"]
