"""The diagnosis for programs: one JSON document, its shape in ``schemas/diagnosis.json``."""

from __future__ import annotations

from typing import Any

from packcheck.diagnosis.answer import Diagnosis, Kind
from packcheck.diagnosis.foreseen import Foreseen, foresee
from packcheck.diagnosis.plan import Step
from packcheck.diagnosis.search import Fit, Observed
from packcheck.diagnosis.switched_network import Seen
from packcheck.judging.cautions import CAUTIONS
from packcheck.model.record.model import Record
from packcheck.render.diagnosis_text import NEVER_CERTAIN, headline
from packcheck.render.json import dumped

SHAPE = 1
"""The version of the shape; it grows when a key changes its meaning or goes away."""


def render_diagnosis_json(diagnosis: Diagnosis, record: Record, *, version: str, code: int) -> str:
    """Return the diagnosis as one JSON document; voltages [V], loads [A]."""
    numbers = {id(fit): number for number, fit in enumerate(diagnosis.fits, 1)}
    pairs = zip(diagnosis.observed, diagnosis.base, strict=True)
    document = {
        "packcheck diagnosis": SHAPE,
        "packcheck": version,
        "exit code": code,
        "record": record.file,
        "pack": record.serial,
        "layout": {"name": record.pack.name, "revision": record.pack.revision, "file": record.pack.file},
        "in words": headline(diagnosis),
        "no fault needed": diagnosis.nothing_needed,
        "readings": [_reading(one, base, i in diagnosis.misfits) for i, (one, base) in enumerate(pairs)],
        "predicted": [_foreseen(one) for one in foresee(record)],
        "explanations": [_explanation(fit, number) for number, fit in enumerate(diagnosis.fits, 1)],
        "next": _step(diagnosis.step, numbers),
        "excluded": [_kind(kind) for kind in diagnosis.excluded],
        "solved": {"singles": diagnosis.tried[0], "pairs": diagnosis.tried[1], "pairs left out": diagnosis.unsolved},
        "never certain": NEVER_CERTAIN,
        "cautions": list(CAUTIONS),
    }
    return dumped(document)


def _reading(one: Observed, base: Seen, misfits: bool) -> dict[str, Any]:
    probe = one.probe
    return {
        "reading": probe.reading, "between": probe.plus, "and": probe.minus, "state": probe.state,
        "load A": probe.load_a, "less": probe.less, "read V": one.value,
        "half width V": one.half, "predicted": _seen(base),
        "fits": not misfits,
    }  # fmt: skip


def _foreseen(one: Foreseen) -> dict[str, Any]:
    return {
        "what": one.spot.what, "between": one.spot.plus, "and": one.spot.minus, "state": one.state,
        "load A": one.load_a, "predicted": _seen(one.seen), "reading": one.read.probe.reading if one.read else "",
        "read V": one.read.value if one.read else None, "half width V": one.read.half if one.read else None,
        "fits": one.fits,
    }  # fmt: skip


def _seen(seen: Seen) -> dict[str, Any]:
    return {"volts": round(seen.volts, 6), "half width": round(seen.half, 6), "joined": seen.joined}


def _explanation(fit: Fit, number: int) -> dict[str, Any]:
    hypothesis = fit.hypothesis
    return {
        "number": number, "kind": hypothesis.kind, "parts": list(hypothesis.parts), "says": hypothesis.says,
        "size": round(fit.size, 9) if hypothesis.free else None,
        "size of": hypothesis.free.what if hypothesis.free else None,
        "predicted": [_seen(seen) for seen in fit.predicted],
    }  # fmt: skip


def _step(step: Step | None, numbers: dict[int, int]) -> dict[str, Any] | None:
    if step is None:
        return None
    return {
        "do": step.do, "care": step.care, "most V": round(step.volts, 3), "expected left": round(step.expected, 3),
        "outcomes": [
            {"shows": o.shows, "left": [numbers[id(fit)] for fit in o.left], "then": _step(o.then, numbers)}
            for o in step.outcomes
        ],
    }  # fmt: skip


def _kind(kind: Kind) -> dict[str, Any]:
    near = kind.nearest
    return {
        "kind": kind.kind, "count": kind.count, "by": list(kind.readings),
        "nearest": {"says": near.hypothesis.says, "reading": near.reading, "would be V": round(near.would_be_v, 6)},
    }  # fmt: skip
