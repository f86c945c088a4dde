"""Numbers that a whole pack hangs on, each against plain arithmetic written out here."""

from __future__ import annotations

import pytest
from workshop import pack_of, stick_layout

from packcheck.facts.build import build_facts
from packcheck.geometry.bodies import posts_of

STICKS = 24
LAYOUT = stick_layout(STICKS)


def test_the_clamp_load_of_a_joint_without_a_nut_factor() -> None:
    """F = T / (K d) with K = 0.20 (Shigley, 9th ed., equation 8-27, table 8-15, zinc-plated): 5 N·m on M5 is 5000 N."""
    rows = {row.subject: row.values for row in build_facts(pack_of(LAYOUT))["joint_type"]}
    assert rows["post"]["clamp_load_at_high_n"] == pytest.approx(5.0 / (0.20 * 0.005), rel=1e-9)
    assert rows["post"]["clamp_load_at_high_n"] == pytest.approx(5000, rel=1e-9)


def test_the_current_of_a_short_between_the_mains() -> None:
    """Ohm's law: 24 sticks of 8.7 V and 10 mΩ, and no more than a tenth of that again in bars, joints and leads."""
    (pack,) = build_facts(pack_of(LAYOUT))["pack"]
    most = STICKS * 8.7 / (STICKS * 0.010)
    assert isinstance(pack.values["prospective_a"], float)
    assert most / 1.1 < pack.values["prospective_a"] < most


def test_a_layout_with_and_without_a_fuse() -> None:
    """A fuse counts as one only where a device of that kind is drawn."""
    for kind, fused in (("fuse", True), ("shunt", False)):
        one = {"kind": kind, "rating": "80 A"} if fused else {"kind": kind, "resistance": "1 mΩ"}
        (pack,) = build_facts(pack_of({**LAYOUT, "devices": {**LAYOUT["devices"], "F1": one}}))["pack"]
        assert pack.values["has_fuse"] is fused


def test_bare_posts_without_described_hardware_are_ten_millimetres_wide() -> None:
    """Common practice, no source: neighbours of a row 20 mm apart then leave 20 - 10 = 10 mm between them."""
    parts = {"washer-m5": {}, "nut-m5": {}, "cap-m5": {"conducts": False}}
    posts = {post.name: post for post in posts_of(pack_of({**LAYOUT, "parts": parts}))}
    assert posts["P01.A"].distance_mm(posts["P02.A"]) == 10.0
