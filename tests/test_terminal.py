"""The report as people read it."""

from __future__ import annotations

import re

import pytest
from goldens import assert_golden
from hypothesis import given, settings
from hypothesis import strategies as st
from judgements import ABOUT, COARSE, REVERSED, TIGHT, finding, judgement, report, untorqued

from packcheck.files.origin import in_text
from packcheck.files.problems import Problem
from packcheck.judging.report import About, build_report
from packcheck.render.page import Page, printable
from packcheck.render.paragraph import Choice
from packcheck.render.problems import MOST_SHOWN, render_problems
from packcheck.render.terminal import MOST_UNPROVEN, SHORT_CAUTION, render_terminal, verdict_words
from packcheck.rules.findings import Finding, Gate, Judgement, Outcome, Severity, Tally, Verdict

EVERY_KIND = (REVERSED, *TIGHT, COARSE, *untorqued())
LAYOUT = About("gannet-6.yaml", "layout", "gannet-6", "Bench block, 6 sticks in one string", 2)
CASES = {
    "do-not-energize": (report(Verdict.DO_NOT_ENERGIZE, *EVERY_KIND), Choice()),
    "do-not-energize-brief": (report(Verdict.DO_NOT_ENERGIZE, *EVERY_KIND), Choice(brief=True)),
    "hold-to-do-list-only": (report(Verdict.HOLD, *untorqued()), Choice()),
    "no-rule-broken-all": (report(Verdict.NO_RULE_BROKEN), Choice(everything=True)),
    "layout-no-rule-broken": (report(Verdict.NO_RULE_BROKEN, about=LAYOUT), Choice()),
}


@pytest.mark.parametrize("name", CASES)
def test_text_is_as_kept(name: str) -> None:
    answer, choice = CASES[name]
    assert_golden(f"terminal-{name}.txt", render_terminal(answer, choice=choice))


@pytest.mark.parametrize("gate", Gate)
@pytest.mark.parametrize("verdict", Verdict)
@pytest.mark.parametrize("about", [ABOUT, LAYOUT], ids=["record", "layout"])
def test_the_first_line_is_the_verdict_at_the_gate(verdict: Verdict, gate: Gate, about: About) -> None:
    answer = build_report(judgement(verdict, gate=gate), about)
    first = render_terminal(answer).splitlines()[0]
    assert first == verdict_words(answer)
    assert f"'{gate.value}'" in first
    assert first.startswith({Verdict.DO_NOT_ENERGIZE: "DO NOT", Verdict.HOLD: "HOLD"}.get(verdict, "NO RULE BROKEN"))


@pytest.mark.parametrize("choice", [Choice(), Choice(everything=True)], ids=repr)
@pytest.mark.parametrize("verdict", Verdict)
def test_cautions_end_every_answer(verdict: Verdict, choice: Choice) -> None:
    answer = report(verdict, *EVERY_KIND)
    text = " ".join(render_terminal(answer, choice=choice).split())
    assert all(caution in text for caution in answer.cautions)
    assert len(answer.cautions) == 8
    assert text.endswith(answer.cautions[-1])


@pytest.mark.parametrize("verdict", Verdict)
def test_a_brief_answer_ends_with_a_short_caution(verdict: Verdict) -> None:
    text = " ".join(render_terminal(report(verdict, *EVERY_KIND), choice=Choice(brief=True)).split())
    assert text.endswith(SHORT_CAUTION)
    assert len(SHORT_CAUTION) < 300


@pytest.mark.parametrize("verdict", Verdict)
def test_never_says_safe(verdict: Verdict) -> None:
    assert not re.search(r"\bsafe", render_terminal(report(verdict, *EVERY_KIND)), re.IGNORECASE)


@pytest.mark.parametrize("width", [0, 40, 60, 61, 80, 100, 120, 400])
@pytest.mark.parametrize("choice", [Choice(), Choice(brief=True)], ids=repr)
def test_no_line_is_wider_than_the_terminal(width: int, choice: Choice) -> None:
    text = render_terminal(report(Verdict.DO_NOT_ENERGIZE, *EVERY_KIND), width=width, choice=choice)
    assert max(map(len, text.splitlines())) <= min(120, max(40, width))


def test_place_found_needed_why_do_stand_in_this_order() -> None:
    text = render_terminal(report(Verdict.DO_NOT_ENERGIZE, REVERSED))
    labels = re.findall(r"^   (Place|Found|Needed|Why|Do|Follows|Rule|Written) ", text, re.MULTILINE)
    assert labels == ["Place", "Needed", "Why", "Do", "Follows", "Rule", "Written"]


def test_found_is_said_where_the_headline_has_not_said_it() -> None:
    names = [f"B{n}/P{n}" for n in range(10, 15)]
    tight = (finding("joint-torque-high", name, found=f"{name} was tightened to {name[1:3]} N·m") for name in names)
    text = render_terminal(report(Verdict.HOLD, *tight))
    assert "1. joint torque high, 5 joints: B10/P10, B11/P11, B12/P12, B13/P13, B14/P14" in text
    labels = re.findall(r"^   (Place|Found|Needed|Why|Do|Rule) ", text, re.MULTILINE)
    assert labels == ["Found", "Needed", "Why", "Do", "Rule"]


def test_colour_only_underlines_what_the_words_say() -> None:
    answer = report(Verdict.DO_NOT_ENERGIZE, *EVERY_KIND)
    coloured = render_terminal(answer, colour=True)
    assert coloured.startswith("\x1b[")
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == render_terminal(answer)


def test_differing_findings_beyond_six_are_counted_and_all_lists_them() -> None:
    many = tuple(finding("joint-torque-out-of-band", f"B{n:02d}/P{n:02d}", found=f"B{n:02d}/P{n:02d}: {n} N·m")
                 for n in range(10, 20))  # fmt: skip
    answer = report(Verdict.HOLD, *many)
    assert "and 4 more (--all lists them)" in render_terminal(answer)
    everything = render_terminal(answer, choice=Choice(everything=True))
    assert "more (--all" not in everything
    assert all(f"B{n}/P{n}: {n} N·m" in everything for n in range(10, 20))


def test_all_counts_met_and_not_applicable_for_every_rule() -> None:
    text = render_terminal(report(Verdict.HOLD, COARSE), choice=Choice(everything=True))
    row = next(line for line in text.splitlines() if line.strip().endswith("fuse-breaks-too-little"))
    assert row.split() == ["0", "0", "0", "0", "1", "fuse-breaks-too-little"]


def test_nothing_checked_is_said_in_so_many_words() -> None:
    idle = Judgement(Gate.PLUG_IN, Verdict.HOLD, (), (Tally("module-reversed", not_applicable=6),))
    text = render_terminal(build_report(idle, ABOUT))
    assert text.startswith("HOLD")
    assert "nothing was checked" in text


def test_waived_findings_are_shown_as_waived_and_not_as_findings() -> None:
    waived = finding("joint-resistance-unread", "B01/P01", Outcome.UNPROVEN, waived="E. Hale, 2026-09-01: none here.")
    text = render_terminal(report(Verdict.NO_RULE_BROKEN, waived))
    assert "IN DETAIL" not in text
    assert "so this does not count: not recorded at B01/P01" in text


def test_no_rule_broken_says_what_was_waived() -> None:
    text = render_terminal(report(Verdict.NO_RULE_BROKEN, finding("rule", "P01", waived="E. Hale")))
    assert text.startswith("NO RULE BROKEN, what is waived apart, at gate 'plug in'")


def test_advice_is_counted_and_shown_apart() -> None:
    advice = finding("bar-scratched", "P01", severity=Severity.ADVISE)
    text = render_terminal(report(Verdict.NO_RULE_BROKEN, advice))
    assert text.startswith("NO RULE BROKEN at gate 'plug in'")
    assert "no fault; 1 of advice, which weighs nothing." in text
    assert "IN DETAIL" not in text
    assert "ADVICE, without weight in the verdict\n\n- P01 was found wrong" in text


def test_nothing_is_called_broken_where_nothing_is() -> None:
    advice = finding("bar-scratched", "P01", severity=Severity.ADVISE, consequences=(finding("other", "P02"),))
    answer = report(
        Verdict.NO_RULE_BROKEN, advice, finding("bar-unread", "P02", Outcome.UNPROVEN, severity=Severity.ADVISE)
    )
    for choice in (Choice(), Choice(brief=True), Choice(everything=True)):
        text = render_terminal(answer, choice=choice)
        rest = text.removeprefix("NO RULE BROKEN").replace("'no rule broken'", "").replace("'no\n    rule broken'", "")
        assert "broken" not in rest.lower()


def test_advice_about_the_drawing_is_one_line_of_a_record_and_whole_in_a_layout() -> None:
    drawn = [finding(f"gap-{n}", f"B0{n}", severity=Severity.ADVISE, drawn=True) for n in range(3)]
    of_record = render_terminal(report(Verdict.NO_RULE_BROKEN, *drawn))
    assert "no fault; 3 remarks on the drawing." in of_record
    assert "3 remarks for the engineer" in of_record
    assert "`packcheck check gannet-6.yaml`" in of_record
    assert "was found wrong" not in of_record
    of_layout = render_terminal(report(Verdict.NO_RULE_BROKEN, *drawn, about=LAYOUT))
    assert of_layout.count("was found wrong") == 3


def test_a_fault_of_the_drawing_counts_in_a_record_and_is_told_in_full_to_the_engineer() -> None:
    drawn = finding("fuse-voltage-low", "F1", severity=Severity.NEVER_ENERGIZE, drawn=True)
    text = render_terminal(report(Verdict.DO_NOT_ENERGIZE, drawn))
    assert "Do now    Take the drawing to the engineer" in text
    assert "1. F1 was found wrong. This is about the drawing: `packcheck check" in " ".join(text.split())
    assert "   Why " not in text


def test_many_unproven_rules_are_told_shortly_and_all_tells_them_in_full() -> None:
    many = [finding(f"rule-{n}", "P01", Outcome.UNPROVEN) for n in range(MOST_UNPROVEN + 1)]
    answer = report(Verdict.HOLD, finding("broken-rule", "P01"), *many)
    short, full = render_terminal(answer), render_terminal(answer, choice=Choice(everything=True))
    assert "9 rules cannot be told yet: nobody recorded what they need." in " ".join(short.split())
    assert "rule-3" not in short
    assert [len(re.findall("^   Why ", text, re.MULTILINE)) for text in (short, full)] == [1, 10]


def test_what_cannot_be_told_while_a_cause_stands_is_one_line() -> None:
    untold = tuple(finding("module-unconfirmed", f"P{n:02d}", Outcome.UNPROVEN) for n in range(4, 9))
    text = render_terminal(report(Verdict.HOLD, finding("cause", "P03", consequences=untold)))
    assert "cannot be told until then, with the number of places: module unconfirmed (5)" in " ".join(text.split())


@given(st.text(max_size=60), st.text(max_size=60))
@settings(max_examples=60)
def test_no_text_from_a_file_can_steer_the_terminal(name: str, found: str) -> None:
    text = render_terminal(report(Verdict.HOLD, finding("rule", name, found=found, place=name)))
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    page = Page(60)
    page.say("x" * 55 + " 4.5 N·m and more")
    assert page.text().splitlines()[1].startswith("4.5 N·m")


def test_printable_spells_control_characters() -> None:
    assert printable("a\x1b[31m\u202eb\nc") == "a<1B>[31m<202E>b c"


def problem(line: int, **changes: str) -> Problem:
    values = {"found": "4.5", "needed": "a torque with its unit", "why": "a bare number has no unit",
              "do": "write 4.5 N·m", "excerpt": "  torque: 4.5\n          ^"} | changes  # fmt: skip
    return Problem(in_text("gannet-6.yaml", line, 11), **values)


def test_input_problems_show_place_line_caret_and_the_five_answers() -> None:
    assert_golden("problems.txt", render_problems([problem(7), problem(19, why="", do="")]))


def test_a_caret_stays_under_its_column_in_a_long_line() -> None:
    excerpt = "key: " + "v" * 105 + "\n" + " " * 90 + "^"
    lines = render_problems([problem(3, excerpt=excerpt)], width=60).splitlines()
    source = next(line for line in lines if "vvv" in line)
    assert lines[lines.index(source) + 1].index("^") - source.index("key") == 90


def test_problems_beyond_forty_are_counted() -> None:
    text = render_problems([problem(line) for line in range(1, MOST_SHOWN + 4)])
    assert "and 3 more; mend these first" in text


def test_findings_are_the_same_for_any_order_of_places() -> None:
    ordered: tuple[Finding, ...] = untorqued()
    backwards = render_terminal(report(Verdict.HOLD, *reversed(ordered)))
    assert backwards == render_terminal(report(Verdict.HOLD, *ordered))
