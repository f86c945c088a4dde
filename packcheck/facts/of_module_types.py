"""Facts about module types: what the layout says of their cells beside what their chemistry can read."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.of_places import post_outside
from packcheck.model.pack.model import Pack
from packcheck.model.pack.types import ModuleType
from packcheck.physics.cells import chemistry_named
from packcheck.rules.catalogue import Row, Value


def module_type_rows(pack: Pack) -> Iterator[Row]:
    """Yield one row per module type, those first that stand in a position: any may be fitted, planned or not."""
    planned = (position.module_type for position in pack.positions.values())
    for name in dict.fromkeys((*planned, *pack.module_types)):
        kind = pack.module_types[name]
        yield Row(name, _values(kind), {}, frozenset((name,)), f"module type {name}", "", pack.origins.get(name))


def _values(kind: ModuleType) -> dict[str, Value]:
    drawn = {
        "nominal_cell_v": kind.nominal_v,
        "rest_low_cell_v": kind.rest_v.low,
        "rest_high_cell_v": kind.rest_v.high,
        "highest_cell_v": kind.highest_v,
    }
    per_cell: dict[str, Value] = {key: None if v is None else v / kind.cells for key, v in drawn.items()}
    known = chemistry_named(kind.chemistry)
    bands = {"nominal": known.nominal_v, "rest": known.rest_v, "highest": known.highest_v} if known else {}
    ends: dict[str, Value] = {
        f"{key}_{end}_v": v for key, b in bands.items() for end, v in zip(("least", "most"), b, strict=True)
    }
    return {
        "module_type": kind.name,
        "chemistry": kind.chemistry,
        "cells": kind.cells,
        **per_cell,
        **ends,
        **post_outside(kind),
    }
