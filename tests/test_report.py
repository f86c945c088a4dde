"""The report: paragraphs, to-do list, exit codes."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest
from judgements import COARSE, REVERSED, TIGHT, finding, judgement, report, untorqued

from packcheck.judging.report import exit_code
from packcheck.rules.catalogue import Datum
from packcheck.rules.findings import Finding, Gate, Outcome, Severity, Verdict


def test_forty_missing_torques_are_one_paragraph_and_one_errand_per_face() -> None:
    answer = report(Verdict.HOLD, *untorqued())
    (paragraph,) = answer.paragraphs
    assert (len(paragraph.findings), paragraph.noun, paragraph.outcome) == (40, "joint", Outcome.UNPROVEN)
    assert [(errand.instrument, errand.face, len(errand.places)) for errand in answer.to_do] == [
        ("click wrench", "A", 20), ("click wrench", "B", 20),
    ]  # fmt: skip


def test_paragraphs_stand_worst_first() -> None:
    never = finding("a", "P01", Outcome.UNPROVEN, severity=Severity.NEVER_ENERGIZE)
    advice = finding("b", "P01", severity=Severity.ADVISE)
    unproven, broken = finding("c", "P01", Outcome.UNPROVEN), finding("d", "P01")
    answer = report(Verdict.HOLD, never, unproven, advice, broken)
    assert [paragraph.rule for paragraph in answer.paragraphs] == ["d", "a", "c", "b"]


def test_paragraphs_of_one_weight_keep_the_order_of_the_judgement() -> None:
    answer = report(Verdict.DO_NOT_ENERGIZE, REVERSED, *TIGHT, COARSE, *untorqued())
    assert [(p.rule, p.outcome.value) for p in answer.paragraphs] == [
        ("module-reversed", "broken"),
        ("joint-torque-out-of-band", "broken"),
        ("rest-voltage-out-of-window", "undecided"),
        ("joint-torque-out-of-band", "unproven"),
    ]


def test_consequences_are_listed_once_however_many_causes_name_them() -> None:
    shared = finding("total-away-from-sum", "total")
    causes = [finding("module-reversed", subject, consequences=(shared,)) for subject in ("P03", "P05")]
    (paragraph,) = report(Verdict.DO_NOT_ENERGIZE, *causes).paragraphs
    assert [follower.subject for follower in paragraph.consequences] == ["total"]


def test_a_deeper_consequence_is_listed_too() -> None:
    deep = finding("c", "P03", consequences=(finding("b", "B02", consequences=(finding("a", "total"),)),))
    (paragraph,) = report(Verdict.HOLD, deep).paragraphs
    assert [follower.rule for follower in paragraph.consequences] == ["b", "a"]


def open_at(rule: str, datum: Datum, gate: Gate, outcome: Outcome = Outcome.UNPROVEN, **more: object) -> Finding:
    return finding(rule, datum.place, outcome, gate=gate, data=(datum,), **more)


def test_errands_stand_in_the_order_gate_instrument_face() -> None:
    answer = report(
        Verdict.HOLD,
        open_at("r1", Datum("re-check", "B01/P01", "click wrench", "A"), Gate.RELEASE),
        open_at("r2", Datum("rest voltage", "P02", "multimeter", "B"), Gate.FIT_BARS),
        open_at("r2", Datum("rest voltage", "P01", "multimeter", "A"), Gate.FIT_BARS),
        open_at("r3", Datum("torque", "B01/P01", "click wrench", "A"), Gate.PLUG_IN),
        open_at("r4", Datum("serial number", "P01", "eyes", "A"), Gate.FIT_BARS),
    )
    assert [(errand.gate.value, errand.instrument, errand.face) for errand in answer.to_do] == [
        ("fit bars", "eyes", "A"), ("fit bars", "multimeter", "A"), ("fit bars", "multimeter", "B"),
        ("plug in", "click wrench", "A"), ("release", "click wrench", "A"),
    ]  # fmt: skip


def test_a_datum_two_rules_ask_for_is_one_errand_at_the_earlier_gate() -> None:
    datum = Datum("torque", "B01/P01", "click wrench", "A")
    answer = report(Verdict.HOLD, open_at("late", datum, Gate.RELEASE), open_at("early", datum, Gate.PLUG_IN))
    (errand,) = answer.to_do
    assert (errand.gate, errand.places, errand.rules) == (Gate.PLUG_IN, ("B01/P01",), ("late", "early"))


def test_what_a_consequence_lacks_is_still_to_be_recorded() -> None:
    lacking = open_at("r", Datum("torque", "B01/P01", "click wrench"), Gate.PLUG_IN)
    answer = report(Verdict.HOLD, finding("cause", "P01", consequences=(lacking,)))
    assert [errand.what for errand in answer.to_do] == [("torque",)]


def test_what_is_lacking_at_the_same_places_is_one_errand() -> None:
    both = (Datum("serial number", "P01", "eyes", "A"), Datum("module type", "P01", "eyes", "A"))
    elsewhere = Datum("serial number", "P02", "eyes", "B")
    answer = report(Verdict.HOLD, finding("r", "P01", Outcome.UNPROVEN, data=both),
                    open_at("r", elsewhere, Gate.PLUG_IN))  # fmt: skip
    assert [(errand.what, errand.places) for errand in answer.to_do] == [
        (("serial number", "module type"), ("P01",)), (("serial number",), ("P02",)),
    ]  # fmt: skip
    assert sum(errand.count for errand in answer.to_do) == 3


def test_errands_name_the_subject_not_the_place_in_words() -> None:
    words = "position P02, + planned at P02.B"
    lacking = finding("r", "P02", Outcome.UNPROVEN, place=words, data=(Datum("serial number", words, "eyes"),))
    (errand,) = report(Verdict.HOLD, lacking).to_do
    assert (errand.places, errand.noun) == (("P02",), "module")


def test_a_reading_too_coarse_is_to_be_read_again() -> None:
    (errand,) = report(Verdict.HOLD, COARSE).to_do
    assert errand.again


def test_waived_findings_ask_for_nothing() -> None:
    waived = open_at("r", Datum("joint resistance", "B01/P01", "micro-ohmmeter"), Gate.PLUG_IN, waived="E. Hale")
    assert report(Verdict.NO_RULE_BROKEN, waived).to_do == ()


@pytest.mark.parametrize(
    ("verdict", "findings", "code"),
    [
        (Verdict.NO_RULE_BROKEN, (), 0),
        (Verdict.NO_RULE_BROKEN, (finding("advice", "P01", severity=Severity.ADVISE),), 0),
        (Verdict.HOLD, TIGHT, 1),
        (Verdict.HOLD, (COARSE,), 3),
        (Verdict.HOLD, untorqued(1), 3),
        (Verdict.HOLD, (), 3),
        (Verdict.HOLD, (COARSE, finding("advice", "P01", severity=Severity.ADVISE)), 3),
        (Verdict.HOLD, (COARSE, finding("waived", "P01", waived="E. Hale")), 3),
        (Verdict.HOLD, (finding("cause", "P01", Outcome.UNPROVEN, consequences=TIGHT),), 1),
        (Verdict.DO_NOT_ENERGIZE, (REVERSED,), 1),
    ],
)
def test_exit_code_follows_the_verdict(verdict: Verdict, findings: tuple[Finding, ...], code: int) -> None:
    assert exit_code(judgement(verdict, *findings)) == code


def test_counts_come_from_the_tallies() -> None:
    answer = report(Verdict.DO_NOT_ENERGIZE, REVERSED, *TIGHT, COARSE, *untorqued())
    assert [answer.count(outcome) for outcome in Outcome] == [6, 1, 40, 15, 1]
    assert answer.rules_judged == 5


def test_a_rule_with_nothing_to_apply_to_is_not_counted_as_applied() -> None:
    answer = report(Verdict.NO_RULE_BROKEN)
    assert len(answer.judgement.tallies) == 4
    assert answer.rules_judged == 3


def test_a_report_cannot_be_changed() -> None:
    answer = report(Verdict.HOLD, COARSE)
    with pytest.raises(FrozenInstanceError):
        answer.paragraphs = ()  # type: ignore[misc]
