"""``packcheck show``: a layout written out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from goldens import assert_golden

from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.render.expanded import render_expanded

SAMPLE = Path(__file__).parent / "samples" / "gannet-6.yaml"
SHIPPED = sorted(path for path in shipped_folder("layouts").glob("*/*.yaml") if path.stem == path.parent.name)


@pytest.fixture(scope="module")
def gannet() -> Pack:
    return open_file(SAMPLE).pack


def test_text_is_as_kept(gannet: Pack) -> None:
    assert_golden("show-gannet-6.txt", render_expanded(replace(gannet, file="gannet-6.yaml")))


def test_shipped_layouts_are_found() -> None:
    assert len(SHIPPED) >= 2


@pytest.mark.parametrize("path", [SAMPLE, *SHIPPED], ids=lambda path: path.stem)
def test_every_part_is_a_row(path: Path) -> None:
    pack = open_file(path).pack
    first_words = {line.split()[0] for line in render_expanded(pack).splitlines() if line.startswith("  ")}
    assert pack.positions
    for names in (pack.positions, pack.conductors, pack.joints, pack.devices, pack.taps, needed_parts(pack)):
        assert set(names) <= first_words


def test_polarity_stands_beside_each_place(gannet: Pack) -> None:
    text = render_expanded(gannet)
    assert "P01.A (+), P02.A (−)" in text


def test_what_a_layout_leaves_out_is_said(gannet: Pack) -> None:
    bare = replace(gannet, taps={}, covers={}, clamp=None, order=(), plan={})
    text = render_expanded(bare)
    for gap in ("no serial plan", "no order of work", "no sense taps", "no covers", "no clamp"):
        assert f"  - {gap}" in text


def test_a_joint_type_without_a_band_is_named(gannet: Pack) -> None:
    post = gannet.joint_types["post"]
    bandless = replace(gannet, joint_types={"post": replace(post, torque_n_m=type(post.torque_n_m)())})
    assert "no torque band for joint type post" in render_expanded(bandless)
