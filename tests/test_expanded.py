"""``packcheck show``: a layout written out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from goldens import assert_golden

from packcheck.opening import open_file
from packcheck.pack.model import Pack
from packcheck.pack.parts import needed_parts
from packcheck.render.expanded import render_expanded
from packcheck.shipped import shipped_folder


def pack_of(name: str) -> Pack:
    return open_file(shipped_folder("layouts") / name / f"{name}.yaml").pack


@pytest.fixture(scope="module")
def skerry() -> Pack:
    return pack_of("skerry-24")


def test_text_is_as_kept(skerry: Pack) -> None:
    assert_golden("show-skerry-24.txt", render_expanded(replace(skerry, file="skerry-24.yaml")))


@pytest.mark.parametrize("name", ["skerry-24", "tern-96"])
def test_every_part_is_a_row(name: str) -> None:
    pack = pack_of(name)
    first_words = {line.split()[0] for line in render_expanded(pack).splitlines() if line.startswith("  ")}
    for names in (pack.positions, pack.conductors, pack.joints, pack.devices, pack.taps, needed_parts(pack)):
        assert names
        assert set(names) <= first_words


def test_polarity_stands_beside_each_place(skerry: Pack) -> None:
    text = render_expanded(skerry)
    assert "P01.A (+), P02.A (−)" in text


def test_what_a_layout_leaves_out_is_said(skerry: Pack) -> None:
    bare = replace(skerry, taps={}, covers={}, clamp=None, order=(), plan={})
    text = render_expanded(bare)
    for gap in ("no serial plan", "no order of work", "no sense taps", "no covers", "no clamp"):
        assert f"  - {gap}" in text


def test_a_joint_type_without_a_band_is_named(skerry: Pack) -> None:
    post = skerry.joint_types["post"]
    bandless = replace(skerry, joint_types={"post": replace(post, torque_n_m=type(post.torque_n_m)())})
    assert "no torque band for joint type post" in render_expanded(bandless)
