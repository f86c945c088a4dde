"""The chassis is a place of every pack, drawn or not: a lead that touches it, and what is read against it."""

from __future__ import annotations

import pytest
from faulty_builds import Build, every_finding, judged
from workshop import Data, record_of, stick_layout

from packcheck.model.pack.model import CHASSIS
from packcheck.rules.findings import Gate, Outcome, Verdict

RULES = ("reading-floating", "reading-ghost")


@pytest.fixture(scope="module")
def built() -> Build:
    """Return a build of ten modules; its layout has nothing at the chassis."""
    b = Build(stick_layout(10), release=True)
    assert all(landing.node != CHASSIS for _, landing in b.pack.joints.values())
    return b


def with_leads(b: Build, **lands: list[str]) -> Data:
    return {**b.clean, "leads": {**b.clean.get("leads", {}), **{name: {"lands": ends} for name, ends in lands.items()}}}


def read_against_chassis(b: Build, volts: float) -> Data:
    row = {"between": b.ends[0], "and": CHASSIS, "value": f"{volts} V", "state": "plug out"}
    return {**b.clean, "readings": {**b.clean["readings"], "frame": row}}


def test_a_lead_to_the_chassis_is_judged_where_the_drawing_has_no_chassis(built: Build) -> None:
    post = next(iter(built.pack.places))
    judgement = judged(record_of(with_leads(built, X1=[post, CHASSIS]), built.pack))
    assert judgement.verdict is Verdict.DO_NOT_ENERGIZE
    assert {f.subject for f in every_finding(judgement) if f.rule == "conductor-stray"} == {"X1"}


def test_two_leads_to_the_chassis_short_what_lies_between_them(built: Build) -> None:
    first, second = (next(n for n in built.pack.places if n.startswith(p)) for p in ("P02.", "P05."))
    judgement = judged(record_of(with_leads(built, X1=[first, CHASSIS], X2=[second, CHASSIS]), built.pack))
    assert any("X1, X2" in f.found for f in every_finding(judgement) if f.rule.startswith("loop-"))


@pytest.mark.parametrize(("share", "outcome"), [(0.5, None), (0.93, None), (0.97, Outcome.BROKEN)])
def test_half_the_voltage_against_the_chassis_is_how_insulation_reads(
    built: Build, share: float, outcome: Outcome | None
) -> None:
    """A sound pack reads some of its voltage there through its insulation; nearly all of it tells of a bridge.

    By hand, for 95 % of U behind 100 Ω/V on a meter of 10 MΩ: 0.95 × 10 MΩ / (10 MΩ + 8 kΩ) = 0.949 of 80 V.
    """
    total = float(built.clean["readings"]["total"]["value"].split()[0])
    judgement = judged(record_of(read_against_chassis(built, round(share * total, 2)), built.pack), Gate.RELEASE)
    found = {f.rule: f.outcome for f in every_finding(judgement) if f.rule in RULES and "frame" in f.place}
    assert found == ({"reading-floating": outcome} if outcome else {})
