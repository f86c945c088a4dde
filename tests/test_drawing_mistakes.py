"""Mistakes of a drawing, one at a time in shipped layouts of every shape: each is found by its rule, the rest is quiet.

What must be found is plain arithmetic on the numbers in the file: modules of 185 mm at a pitch of 175 mm share 10 mm.
"""

from __future__ import annotations

from functools import cache

import pytest

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.judge import judge
from packcheck.model.pack.from_document import read_pack
from packcheck.rules.findings import Finding, Gate
from packcheck.rules.library import load_rules

Changes = dict[str, str]
RULES = load_rules([shipped_folder("rules")], table_by_name())
MISTAKES: tuple[tuple[str, Changes, str], ...] = (
    ("eider-20", {"size: [175 mm, 330": "size: [185 mm, 330"}, "positions-overlap"),
    ("eider-20", {"first at: [0 mm, 0 mm, 600 mm]": "first at: [0 mm, 0 mm, 60 mm]"}, "positions-overlap"),
    ("eider-20", {"[205 mm, 25 mm": "[180 mm, 25 mm"}, "conductor-too-short"),
    ("eider-20", {"stack: [bar, washer-m8, bolt-m8]\n": "stack: [bar, bolt-m8]\n"}, "stack-without-washer"),
    ("eider-20", {"[lug-m8, washer-m8, bolt-m8]": "[washer-m8, lug-m8, bolt-m8]"}, "stack-part-under-conductor"),
    ("eider-20", {"[lug-m8, washer-m8, bolt-m8]": "[lug-m8, washer-m8, bolt-m10]"}, "stack-size-unlike-thread"),
    ("eider-20", {"over: [L1, L2]": "over: [L1, L3]"}, "cover-over-unknown"),
    (
        "eider-20",
        {"faces: {T: top}": "faces: {T: top, S: side}", "over: [L1, L2]": "over: [L1, S]"},
        "cover-over-no-post",
    ),
    (
        "eider-20",
        {"      R: {at: [88 mm, 270 mm, 220 mm]": "      R: {at: [88 mm, 270 mm, 2200 mm]"},
        "post-outside-module",
    ),
    ("plover-16", {"length: 592 mm": "length: 692 mm"}, "clamp-unlike-stack"),
    ("plover-16", {"length: 592 mm": "length: 560 mm"}, "clamp-unlike-stack"),
    ("plover-16", {"step: [37 mm": "step: [36 mm"}, "positions-overlap"),
    ("plover-16", {"stack: [bar, washer-m6, nut-m6]\n": "stack: [bar, washer-m6]\n"}, "stack-without-fastener"),
    ("plover-16", {"stack: [lug-m6, washer-m6, nut-m6]": "stack: [washer-m6, nut-m6]"}, "stack-without-conductor"),
    (
        "plover-16",
        {"stack: [lug-m6, washer-m6, nut-m6]": "stack: [lug-m6, washer-m6, nut-m6, shim]"},
        "stack-part-undescribed",
    ),
    ("plover-16", {"thread: M6": "thread: M5"}, "stack-size-unlike-thread"),
    ("plover-16", {"probes:": "vents: {V1: {over: P01..P15, to: outlet}}\nprobes:"}, "vent-line-incomplete"),
    ("plover-16", {"    resistance: 0.5 mΩ": "    resistance: 5 Ω"}, "quantity-not-credible"),
    ("plover-16", {"24 µΩ": "240 mΩ"}, "quantity-not-credible"),
    ("plover-16", {"rating: 125 A,": "rating: 125 A, resistance: 10 Ω,"}, "quantity-not-credible"),
    ("plover-16", {"    resistance: 0.5 mΩ": "    resistance: 50 mΩ"}, "quantity-not-credible"),
    ("eider-20", {"resistance: 200 µΩ": "resistance: 200 mΩ, rating: 100 A"}, "quantity-not-credible"),
    ("eider-20", {"    resistance: 4.5 mΩ": "    resistance: 450 mΩ"}, "quantity-not-credible"),
    ("heron-2x15", {"step: [0 mm, 0 mm, 130 mm]": "step: [0 mm, 0 mm, 120 mm]"}, "positions-overlap"),
    ("heron-2x15", {"first at: [600 mm": "first at: [400 mm"}, "positions-overlap"),
    ("heron-2x15", {"[160 mm, 25 mm": "[135 mm, 25 mm"}, "conductor-too-short"),
    ("heron-2x15", {"over: [U1, U2, top]": "over: [U1, column U2, top]"}, "cover-over-unknown"),
    ("heron-2x15", {"L: {at: [60 mm, 0 mm": "L: {at: [600 mm, 0 mm"}, "post-outside-module"),
    (
        "heron-2x15",
        {"stack: [bar, washer-m8, nut-m8, cap-m8]\n": "stack: [bar, washer-m8, nut-m6, cap-m8]\n"},
        "stack-size-unlike-thread",
    ),
    ("tern-96", {"length: 1300 mm, kind: link}      #": "length: 300 mm, kind: link}      #"}, "conductor-too-short"),
    ("tern-96", {"size: [100 mm, 20": "size: [84 mm, 20"}, "conductor-too-short"),
    ("tern-96", {"size: [48 mm, 20": "size: [30 mm, 20"}, "conductor-too-short"),
    ("tern-96", {"first at: [0 mm, 400 mm, 0 mm]": "first at: [0 mm, 300 mm, 0 mm]"}, "positions-overlap"),
    ("tern-96", {"F: {at: [13.5 mm, 18 mm, 95 mm]": "F: {at: [13.5 mm, 180 mm, 95 mm]"}, "post-outside-module"),
    (
        "skerry-24",
        {"- [P01..P24, clamp]": "- [P01..P24]", "- [bars on A, CA]": "- [bars on A, CA, clamp]"},
        "clamp-after-bars",
    ),
    ("skerry-24", {"480 mm ± 0.5": "48 mm ± 0.5"}, "clamp-unlike-stack"),
    ("skerry-24", {"V1: {over: P01..P24": "V1: {over: P02..P24"}, "vent-line-incomplete"),
    ("skerry-24", {"washer-m5: ISO 7089 M5": "washer-m5: ISO 7089 M6"}, "stack-size-unlike-thread"),
)
REFUSED: tuple[tuple[str, Changes, str], ...] = (
    ("skerry-24", {"resistance: 10 mΩ": "resistance: 10 MΩ"}, "10 MΩ, which no resistance of module type is"),
    ("skerry-24", {"22 AWG, fuse: 2 A": "22 AWG, fuse: 200 A"}, "200 A, which no fuse of harness is"),
    ("plover-16", {"30 µΩ, at most": "30 mΩ, at most"}, "30 mΩ, at most 60 µΩ"),
    ("skerry-24", {"  K2: {kind": "  P07: {kind"}, "'P07', which is already a position"),
    ("skerry-24", {"class: 8.8": "class: 8,8"}, "a decimal comma in 8,8"),
    ("skerry-24", {"- [bars on A, CA]": "- [B01..B23, CA]"}, "'B12', which its series leaves out under drop:"),
    ("heron-2x15", {"covers: {C1..C3": "covers: {Q1..Q3"}, "'Q1', which is already a device"),
)


def text_of(name: str, changes: Changes) -> str:
    text = (shipped_folder("layouts") / name / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new, 1)
    return text


def findings_of(text: str) -> dict[str, Finding]:
    """Return the first finding of each rule in a layout."""
    facts = build_facts(read_pack(parse_document(text, "drawn.yaml")))
    judgement = judge(RULES, facts, table_by_name(), gate=Gate.RELEASE, layout_only=True)
    return {finding.rule: finding for finding in reversed(judgement.findings)}


@cache
def found_as_shipped(name: str) -> frozenset[str]:
    return frozenset(findings_of(text_of(name, {})))


@pytest.mark.parametrize("name", ["eider-20", "heron-2x15", "plover-16", "skerry-24", "tern-96"])
def test_a_shipped_layout_has_none_of_these_mistakes(name: str) -> None:
    assert not found_as_shipped(name) & {rule for _, _, rule in MISTAKES}


@pytest.mark.parametrize(("name", "changes", "rule"), MISTAKES)
def test_a_mistake_of_the_drawing_is_found_by_its_rule(name: str, changes: Changes, rule: str) -> None:
    found = findings_of(text_of(name, changes))
    assert rule in found.keys() - found_as_shipped(name)
    assert found[rule].gate is Gate.FIT_BARS


@pytest.mark.parametrize(("name", "changes", "words"), REFUSED)
def test_what_no_pack_can_have_is_refused(name: str, changes: Changes, words: str) -> None:
    with pytest.raises(InputProblems) as refused:
        read_pack(parse_document(text_of(name, changes), "drawn.yaml"))
    assert words in " ".join(problem.found for problem in refused.value.problems)


def test_modules_of_185_mm_at_a_pitch_of_175_mm_share_10_mm_and_the_line_is_said() -> None:
    text = text_of("eider-20", {"size: [175 mm, 330": "size: [185 mm, 330"})
    finding = findings_of(text)["positions-overlap"]
    assert "share 10 mm along x" in finding.found
    line = next(i for i, words in enumerate(text.splitlines(), 1) if words.startswith("  L1-M01..L1-M10:"))
    assert finding.origin is not None
    assert (finding.origin.file, finding.origin.line) == ("drawn.yaml", line)


def test_two_m8_posts_175_mm_apart_ask_a_bar_for_183_mm() -> None:
    finding = findings_of(text_of("eider-20", {"[205 mm, 25 mm": "[182.9 mm, 25 mm"}))["conductor-too-short"]
    assert "183 mm at least" in finding.found
    assert "conductor-too-short" not in findings_of(text_of("eider-20", {"[205 mm, 25 mm": "[183 mm, 25 mm"}))


@pytest.mark.parametrize(
    "missing", ["  W5: {lands: [P01.B, K2.2], length: 520 mm}", "  W2: {lands: [SD.2, P13.B], length: 160 mm}"]
)
def test_where_a_lead_is_forgotten_the_open_way_is_named_and_not_every_device_on_it(missing: str) -> None:
    found = findings_of(text_of("skerry-24", {missing: ""}))
    assert "layout-path-open" in found
    assert "device-off-path-as-drawn" not in found
    assert "device-off-path-as-drawn" in {after.rule for after in found["layout-path-open"].consequences}


@pytest.mark.parametrize("spelled", ["m6", "M 6", "M6x1", "M6 x 1.0", "m6×1"])
def test_a_coarse_thread_is_the_same_however_it_is_spelled(spelled: str) -> None:
    """The coarse pitch of M6 is 1 mm (ISO 261)."""
    text = text_of("plover-16", {"thread: M6": f"thread: {spelled}"})
    assert read_pack(parse_document(text, "drawn.yaml")).joint_types["post"].thread == "M6"
    assert findings_of(text).keys() == found_as_shipped("plover-16")


def test_a_fine_thread_stays_one() -> None:
    text = text_of("plover-16", {"thread: M6": "thread: M6x0.75"})
    assert read_pack(parse_document(text, "drawn.yaml")).joint_types["post"].thread == "M6x0.75"
