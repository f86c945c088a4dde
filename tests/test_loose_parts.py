"""Loose parts of a layout: what of their size follows from the standard they are made to."""

from __future__ import annotations

from math import hypot
from typing import Any

import pytest
from workshop import pack_of, stick_layout

from packcheck.files.problems import InputProblems
from packcheck.model.pack.types import PartSize


def part(spec: Any) -> PartSize:
    layout = stick_layout(4)
    layout["parts"]["odd-part"] = spec
    return pack_of(layout).parts["odd-part"]


@pytest.mark.parametrize("written", ["ISO 4762 M5 x 20", "ISO 4762 M5x20", "ISO 4762 M5 × 20"])
def test_a_screw_is_as_long_as_its_head_and_shank(written: str) -> None:
    """ISO 4762 M5: head 8.72 mm wide and 5 mm high; 20 mm below it, 5 mm thick."""
    assert part(written).largest_mm == pytest.approx(hypot(25, (8.72 + 5) / 2))


def test_a_screw_without_its_length_needs_its_size() -> None:
    with pytest.raises(InputProblems, match="a screw without its length"):
        part("ISO 4762 M5")
    assert part({"standard": "ISO 4762 M5", "largest": "31 mm"}).largest_mm == 31


@pytest.mark.parametrize("written", ["ISO 7089 M5 x 20", "ISO 4762 M55", "ISO 4762 M55 x 20", "ISO 4762 x 20"])
def test_what_is_in_no_table_is_refused(written: str) -> None:
    with pytest.raises(InputProblems, match="ISO"):
        part(written)
