"""The exposure through the work for programs: one JSON document, its shape in ``schemas/exposure.json``."""

from __future__ import annotations

from math import inf
from typing import Any

from packcheck.exposure.answer import Answer, exit_code
from packcheck.exposure.bridges import Bridge, Source
from packcheck.exposure.exposed import Exposure
from packcheck.exposure.precedence import Merit
from packcheck.judging.cautions import CAUTIONS
from packcheck.model.pack.order import Stage
from packcheck.render.exposure_words import INDICATIVE, NO_PERMISSION, work_words
from packcheck.render.json import dumped, written
from packcheck.rules.findings import Finding

SHAPE = 1
"""The version of the shape; it grows when a key changes its meaning or goes away."""


def render_exposure_json(answer: Answer, *, version: str) -> str:
    """Return the exposure as one JSON document; voltages [V], currents [A], powers [W], lengths [mm]."""
    pack, asked, proposal = answer.pack, answer.asked, answer.proposal
    document = {
        "packcheck exposure": SHAPE,
        "packcheck": version,
        "exit code": exit_code(answer),
        "layout": {"name": pack.name, "revision": pack.revision, "file": pack.file},
        "record": answer.record.file if answer.record else None,
        "asked": {"tools mm": list(asked.tools_mm), "external ohm": asked.external_ohm, "earthed": asked.earthed,
                  "caps": "planned" if asked.caps else "off"},
        "reaches": [{"what": reach.words, "length mm": reach.length_mm} for reach in answer.geometry.reaches],
        "order": answer.shown_order,
        "teardown": answer.is_teardown,
        "first above 60 V": _passing(answer),
        "steps": [_step(exposure) for exposure in answer.exposures],
        "proposed": {
            "stages": [_stage(stage) for stage in proposal.stages], **_merit(proposal.merit),
            "every order looked at": proposal.is_best,
        },
        "own order": _merit(answer.own) if answer.own else None,
        "not named by the order": list(answer.left_out),
        "least acts in class B": {"joins": proposal.bound.joins, "covers": proposal.bound.covers,
                                  "reason": proposal.bound.reason},
        "change": _change(answer),
        "work": [{"step": row.step.number, "at": row.step.at.isoformat() if row.step.at else None,
                  **_step(row.exposure)} for row in answer.worked],
        "findings": [_finding(finding) for finding in answer.findings],
        "indicative": list(INDICATIVE),
        "permits nothing": NO_PERMISSION,
        "cautions": list(CAUTIONS),
    }  # fmt: skip
    return dumped(document)


def _passing(answer: Answer) -> dict[str, Any] | None:
    passing = answer.passing
    if passing is None:
        return None
    number = passing.stage.number if passing.stage else None
    return {"step": number, "act": passing.act, "before V": passing.before_v, "after V": passing.after_v}


def _stage(stage: Stage) -> dict[str, Any]:
    return {
        "number": stage.number,
        "kind": stage.kind,
        "items": list(stage.items),
        "off": stage.off,
        "words": work_words(stage),
    }


def _step(exposure: Exposure) -> dict[str, Any]:
    asks = exposure.asks
    return {
        "stage": _stage(exposure.stage),
        "bare": list(exposure.bare),
        "sections": [
            {"modules": list(section.modules), "rest V": section.rest_v, "highest V": section.highest_v}
            for section in exposure.sections
        ],
        "largest end to end": _source(exposure.across) if exposure.across else None,
        "worst": _bridge(exposure.worst_of_all),
        "worst by reach": [_bridge(bridge) for bridge in exposure.worst],
        "pairs in reach": exposure.pairs,
        "class B pairs in reach": exposure.class_b_pairs,
        "sum of powers W": exposure.power_sum_w,
        "two hands V": exposure.touch_v,
        "floating sections in reach": exposure.floating,
        "across the next bridge V": exposure.then_v,
        "asks": {"class": asks.voltage_class, "gloves": asks.gloves, "second person": asks.second_person,
                 "cover first": list(asks.cover_first), "notes": list(asks.notes)},
    }  # fmt: skip


def _source(source: Source) -> dict[str, Any]:
    return {
        "rest V": source.rest_v, "highest V": source.highest_v, "resistance ohm": source.resistance_ohm,
        "current at rest A": source.current_rest_a, "current A": source.current_a,
        "power bound at rest W": source.power_rest_w, "power bound W": source.power_w,
        "arc holds at 1 mm at rest": source.arc_rest is not None, "arc holds at 1 mm": source.arc is not None,
        "sense wire carries A": source.limit_a if source.limit_a < inf else None,
        "class": source.voltage_class,
    }  # fmt: skip


def _bridge(bridge: Bridge | None) -> dict[str, Any] | None:
    if bridge is None:
        return None
    return {
        "between": [bridge.a, bridge.b],
        "nodes": list(bridge.nodes),
        "gap mm": bridge.gap_mm if bridge.gap_drawn else None,
        "way": bridge.way,
        "by": bridge.by,
        **_source(bridge.source),
    }


def _merit(merit: Merit) -> dict[str, Any]:
    return {
        "stretches V": list(merit.stretches_v),
        "acts in class B": merit.class_b_acts,
        "sum of pairs times power W": merit.power_w,
    }


def _change(answer: Answer) -> dict[str, Any] | None:
    change = answer.change
    if change is None:
        return None
    return {
        "words": change.words,
        "before": {"class B pairs": change.before.class_b_pairs, "sum of powers W": change.before.power_w},
        "after": {"class B pairs": change.after.class_b_pairs, "sum of powers W": change.after.power_w},
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "fault": finding.rule, "title": finding.title, "outcome": finding.outcome.value, "subject": finding.subject,
        "place": finding.place, "found": finding.found, "needed": finding.needed, "why": finding.why, "do": finding.do,
        "data": [datum.what for datum in finding.data],
        "written": written(finding.origin),
    }  # fmt: skip
