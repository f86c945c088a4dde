"""Loads past a device that is to part a current: each circuit is drawn here, its answer follows by looking at it."""

from __future__ import annotations

import pytest

from packcheck.network.graph import Edge
from packcheck.network.loads_past_devices import PastLoads
from packcheck.network.topology import conductors_alone

MODULES = [("a", "b", "M1", "module"), ("c", "d", "M2", "module")]


def edge(start: str, end: str, name: str, kind: str) -> Edge:
    """Return one edge; `load` is a device that limits its current by itself."""
    return Edge(start, end, name, "device" if kind == "load" else kind, name, 1.0, is_load=kind == "load")


def past(device: str, *rows: tuple[str, str, str, str]) -> list[str]:
    """Return the loads past a device of a circuit."""
    edges = [edge(*row) for row in rows]
    conductors = conductors_alone([one for one in edges if not one.is_load])
    ends = next((one.start, one.end) for one in edges if one.part == device)
    return PastLoads(edges, conductors).past(device, ends)


@pytest.mark.parametrize(
    ("beside", "expected"),
    [
        ([("b", "c", "R1", "load")], ["R1"]),  # straight across the plug
        ([("c", "x", "R1", "load"), ("x", "b", "R2", "load")], ["R1", "R2"]),  # two in a row
        ([("b", "x", "S1", "device"), ("x", "c", "R1", "load")], ["R1"]),  # behind a switch of its own
        ([("a", "d", "H1", "load")], []),  # across the mains: modules lie between
        ([("d", "e", "K1", "device"), ("d", "e", "R1", "load")], []),  # across the contactor
        ([("b", "c", "B1", "joint"), ("b", "c", "R1", "load")], []),  # a bar leads past it: told by another rule
        ([], []),
    ],
)
def test_what_leads_past_the_plug_between_two_modules(
    beside: list[tuple[str, str, str, str]], expected: list[str]
) -> None:
    assert sorted(past("SD", *MODULES, ("b", "c", "SD", "device"), *beside)) == expected


def test_two_heaters_side_by_side_lead_past_neither_fuse() -> None:
    rows = [
        ("a", "b", "M1", "module"),
        ("b", "x", "F1", "device"),
        ("x", "a", "H1", "load"),
        ("b", "y", "F2", "device"),
        ("y", "a", "H2", "load"),
    ]
    assert past("F1", *rows) == past("F2", *rows) == []
    assert past("F2", *rows, ("b", "y", "H3", "load")) == ["H3"]


def test_a_resistor_from_main_to_main_is_not_past_a_fuse_at_the_end() -> None:
    rows = [("a", "b", "M1", "module"), ("b", "plus", "F1", "device")]
    assert past("F1", *rows, ("plus", "a", "H1", "load")) == []
    assert past("F1", *rows, ("plus", "b", "R1", "load")) == ["R1"]
