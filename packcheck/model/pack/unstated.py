"""What a layout leaves out, in words, and which checks stay silent for it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from packcheck.model.pack.model import Pack


def assumed_in(lines: Sequence[str]) -> tuple[int, ...]:
    """Return the numbers of the lines of a layout whose comment says that what they state is assumed.

    >>> assumed_in(["# TODO all of it", "cells: 6   # TODO data sheet", "nominal: 7.2 V  # data sheet"])
    (2,)
    """
    return tuple(number for number, line in enumerate(lines, 1) if "TODO" in line and _is_assumed(line))


def _is_assumed(line: str) -> bool:
    """Return whether something stands in a line, and behind it a comment with a TODO."""
    stated, _, comment = line.replace("\t", " ").partition(" #")
    return bool(stated.strip()) and not stated.startswith("#") and re.search(r"\bTODO\b", comment) is not None


def unstated(pack: Pack) -> tuple[str, ...]:
    """Return what a layout does not state and a check would need."""
    insulation = pack.insulation
    gaps = [
        text
        for text, is_there in (
            ("no serial plan: two modules of one type exchanged cannot be found", bool(pack.plan)),
            ("no order of work", bool(pack.order)),
            ("no sense taps", bool(pack.taps)),
            ("no covers", bool(pack.covers)),
            ("no clamp", pack.clamp is not None),
            ("no temperature probes", bool(pack.probes)),
            ("no vents", bool(pack.vents)),
            (
                "no pollution degree and material group: creepage cannot be judged",
                bool(insulation.pollution_degree and insulation.material_group),
            ),
            ("no isolation resistance asked for", insulation.least_ohm_per_v is not None),
        )
        if not is_there
    ]
    bandless = [kind.name for kind in pack.joint_types.values() if kind.thread and kind.torque_n_m.high is None]
    return (*gaps, *([f"no torque band for joint type {', '.join(bandless)}"] if bandless else []))
