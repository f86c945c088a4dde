"""The shop profile: adopted limits and waivers, each with who, when and why; and every mistake in one."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction

import jsonschema
import pytest
from rule_fixtures import PATH_RULE, RULE, TABLES, changed, rule_from

from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import schema_folder
from packcheck.judging.judge import judge
from packcheck.rules import profile as profile_module
from packcheck.rules.catalogue import Measured, Row
from packcheck.rules.findings import Gate, Judgement, Outcome, Verdict
from packcheck.rules.profile import Note, Profile, read_profile

PROFILE = """\
profile: 1
shop: The Skerry Workshop
limits:
  joint-torque-out-of-band:
    slack: {value: 0.2 N·m, by: R. Vane, at: 2026-03-01, why: our wrenches are read by eye}
torque bands:
  M6: {band: 4 N·m to 5 N·m, by: R. Vane, at: 2026-03-01, why: strength class 8.8 in aluminium}
values:
  surge current: {value: 100 A, by: R. Vane, at: 2026-03-01, why: what the links carry}
waivers:
  joint-torque-out-of-band: {by: R. Vane, at: 2026-03-02, why: we weld}
"""
RULES = (rule_from(RULE), rule_from(PATH_RULE))
NO_WAIVER = ("waivers:\n  joint-torque-out-of-band: {by: R. Vane, at: 2026-03-02, why: we weld}\n", "")


def read(*changes: tuple[str, str]) -> Profile:
    return read_profile(parse_document(changed(PROFILE, *changes), "shop.yaml"), RULES)


def judged(profile: Profile | None, high: float, path: bool = True) -> Judgement:
    values = {"fitted": True, "torque_n_m": Measured(high, high), "torque_low_n_m": 4.0, "torque_high_n_m": 5.0}
    facts = {"joint": (Row("B01/P01", values),), "pack": (Row("SK-24", {"path": path}),)}
    return judge(RULES, facts, TABLES, gate=Gate.PLUG_IN, profile=profile)


def test_complete_profile_is_read() -> None:
    profile = read()
    slack = profile.limits["joint-torque-out-of-band"]["slack"]
    assert (profile.shop, slack.value, slack.unit) == ("The Skerry Workshop", Fraction(1, 5), "N·m")
    assert slack.note == Note("R. Vane", "2026-03-01", "our wrenches are read by eye")
    assert (profile.torque_bands["M6"].band.low, profile.torque_bands["M6"].band.high) == (4, 5)
    assert (profile.values["surge current"].value, profile.values["surge current"].unit) == (100, "A")
    assert profile.waivers["joint-torque-out-of-band"].sentence() == "R. Vane, 2026-03-02: we weld"


def test_smallest_profile_is_read() -> None:
    profile = read_profile(parse_document("profile: 1\nshop: S\n", "shop.yaml"), RULES)
    assert (profile.limits, profile.torque_bands, profile.values, profile.waivers) == ({}, {}, {}, {})


@pytest.mark.parametrize("kind", ["layout", "record"])
def test_another_file_in_its_place_is_told_so_once(kind: str) -> None:
    text = f"{kind}: 1\nname: skerry-24\nfaces: {{A: front}}\n" + (
        "layout: skerry-24.yaml\n" if kind == "record" else ""
    )
    with pytest.raises(InputProblems) as caught:
        read_profile(parse_document(text, "skerry-24.yaml"), RULES)
    (problem,) = caught.value.problems
    assert (problem.line, problem.found, problem.needed) == (1, f"a {kind}", "a shop profile")


@pytest.mark.parametrize(
    ("old", "new", "line", "found", "do"),
    [
        ("profile: 1", "profile: 2", 1, "the form 2", ""),
        ("profile: 1", "profile: true", 1, "the form True", ""),
        ("shop: The Skerry Workshop\n", "", 1, "no key shop", ""),
        ("limits:", "limit:", 3, "the key limit", "Did you mean limits?"),
        (
            "limits:\n  joint-torque-out-of-band",
            "limits:\n  joint-torque-of-band",
            4,
            "joint-torque-of-band",
            "Did you mean joint-torque-out-of-band?",
        ),
        ("slack:", "slak:", 5, "slak", "Did you mean slack?"),
        ("value: 0.2 N·m", "value: 0.2", 5, "0.2", ""),
        ("value: 0.2 N·m", "value: 0.2 mm", 5, "0.2 mm", ""),
        ("value: 0.2 N·m", "value: much", 5, "much", ""),
        ("at: 2026-03-01, why: our", "at: last spring, why: our", 5, "last spring", ""),
        ("at: 2026-03-01, why: our", "at: 2026-02-30, why: our", 5, "2026-02-30", ""),
        (", why: our wrenches are read by eye", "", 5, "no key why", ""),
        ("band: 4 N·m to 5 N·m", "band: at least 4 N·m", 7, "at least 4 N·m", ""),
        ("band: 4 N·m to 5 N·m", "band: 4 to 5", 7, "4", ""),
        ("value: 100 A", "value: [100 A]", 9, "a list", ""),
        (
            "waivers:\n  joint-torque-out-of-band",
            "waivers:\n  joint-torque",
            11,
            "joint-torque",
            "Did you mean joint-torque-out-of-band?",
        ),
        (
            "waivers:\n  joint-torque-out-of-band",
            "waivers:\n  main-path-open",
            11,
            "a waiver of main-path-open",
            "Take the waiver out.",
        ),
        ("{by: R. Vane, at: 2026-03-02, why: we weld}", "we weld", 11, "we weld", ""),
    ],
)
def test_mistake_is_placed(old: str, new: str, line: int, found: str, do: str) -> None:
    with pytest.raises(InputProblems) as bad:
        read((old, new))
    assert any(p.line == line and found in p.found and do in p.do for p in bad.value.problems), bad.value.problems
    assert all(p.file == "shop.yaml" for p in bad.value.problems)


def test_adopted_limit_takes_the_place_of_the_rules_own() -> None:
    profile = read(NO_WAIVER)
    assert judged(None, 3.85).findings[0].outcome is Outcome.BROKEN
    assert judged(profile, 3.85).findings == ()
    assert judged(profile, 3.8).findings == ()
    assert judged(profile, 3.79).findings[0].found == "B01/P01 at B01/P01: 3.79 N·m, slack 0.2 N·m"


def test_waived_finding_stays_but_does_not_hold() -> None:
    judgement = judged(read(), 9.0)
    assert judgement.verdict is Verdict.NO_RULE_BROKEN
    assert [(f.outcome, f.waived) for f in judgement.findings] == [(Outcome.BROKEN, "R. Vane, 2026-03-02: we weld")]
    assert judged(read(NO_WAIVER), 9.0).verdict is Verdict.HOLD


def test_waiver_of_a_never_energize_rule_has_no_effect_however_it_came_about() -> None:
    forged = Profile("S", {}, {}, {}, {"main-path-open": Note("R. Vane", "2026-03-02", "in a hurry")})
    judgement = judged(forged, 4.5, path=False)
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE
    assert judgement.findings[0].waived == ""


def test_schema_and_reader_know_the_same_keys_and_the_schema_accepts_the_profile() -> None:
    schema = json.loads((schema_folder() / "profile.json").read_text(encoding="utf-8"))
    assert tuple(key for key in schema["properties"] if key != "$schema") == profile_module.KEYS
    checker = jsonschema.Draft202012Validator.TYPE_CHECKER.redefine(
        "number", lambda _, value: isinstance(value, int | Decimal) and not isinstance(value, bool)
    )
    validator = jsonschema.validators.extend(jsonschema.Draft202012Validator, type_checker=checker)
    assert list(validator(schema).iter_errors(parse_document(PROFILE, "shop.yaml").root)) == []
