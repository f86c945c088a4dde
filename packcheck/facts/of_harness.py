"""Facts about the sense harness of a layout: its fuse, and what its wire carries."""

from __future__ import annotations

from packcheck.files.quantities import Dimension, parse_quantity
from packcheck.model.pack.model import Pack
from packcheck.model.pack.wiring import wire_diameter_mm
from packcheck.physics.conductors import fusing_current_a
from packcheck.rules.catalogue import Value


def harnessed(pack: Pack) -> dict[str, Value]:
    """Return what the layout says of its sense harness."""
    fuse, wire = pack.harness.get("fuse"), pack.harness.get("wire")
    diameter = wire_diameter_mm(str(wire)) if wire is not None else None
    return {
        "has_harness": any(tap.connector for tap in pack.taps.values()),
        "harness_fused": fuse is not None,
        "harness_wire_stated": fuse is not None and diameter is not None,
        "harness_fuse_a": None if fuse is None else float(parse_quantity(fuse, Dimension.CURRENT)),
        "harness_wire": "" if wire is None else str(wire),
        "harness_wire_melts_a": None if diameter is None else fusing_current_a(diameter),
    }
