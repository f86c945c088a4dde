"""Packs for the tests of exposure: the 24-module example that trade examples are derived from, and very small ones."""

from __future__ import annotations

from typing import Any

from workshop import Data, stick_layout

NO_OHM = "0.001 µΩ"
"""A joint or bar so good that modules alone count."""


def example_24(**changes: Any) -> Data:
    """Return 24 modules of 6 NiMH cells, 7.92 V at rest, 8.7 V at most, 10 mΩ, 20 mm apart, main − at module 1.

    All taps sit on face B.  Bars reach from post centre to post centre and have next to no resistance, so that sums by
    hand come out.
    """
    layout = stick_layout(24)
    layout["module types"]["stick"]["rest"] = "7.44 V to 8.40 V"
    for kind in ("post", "lug"):
        layout["joint types"][kind]["resistance"] = NO_OHM
    layout["bar types"]["bar"].update(size=["20 mm", "16 mm", "2 mm"], resistance=NO_OHM)
    for part in (layout["devices"]["SD"], layout["devices"]["F1"], *layout["leads"].values()):
        part["resistance"] = NO_OHM
    inside = [f"B{i:02d}" for i in (2, 4, 8, 10, 14, 16, 20, 22)]
    layout["order"] = [
        ["P01..P24", "clamp"],
        ["bars on A"],
        ["CA"],
        inside,
        ["B06"],
        ["B18"],
        ["taps"],
        ["F1", "K1", "K2"],
        ["W1..W5"],
        ["CB"],
        ["SD"],
    ]
    layout["taps"] = {"T00": "P01.B", **{f"T{i:02d}": f"P{i:02d}.B" for i in range(2, 25, 2)}, "TX": "P13.B"}
    layout["harness"] = {"X1": ["T00", "T02..T12 by 2"], "X2": ["TX", "T14..T24 by 2"]}
    return {**layout, **changes}


def small(
    modules: int,
    *,
    highest_v: float = 25.0,
    pitch_mm: float = 20.0,
    disconnect_after: int = 0,
    members: int = 1,
    covers: str = "AB",
) -> Data:
    """Return a string of few modules, bars alone, posts without caps; a disconnect in place of one bar if asked for."""
    of = "abcd"[:members]
    plus = lambda i: "A" if i % 2 else "B"  # noqa: E731
    minus = lambda i: "B" if i % 2 else "A"  # noqa: E731
    at = lambda i, post: [f"G{i}{m}.{post}" for m in of]  # noqa: E731
    bars: Data = {
        f"B{i}": {"lands": [*at(i, plus(i)), *at(i + 1, minus(i + 1))], "size": ["30 mm", "16 mm", "2 mm"]}
        for i in range(1, modules)
        if i != disconnect_after
    }
    devices: Data = {}
    if disconnect_after:
        i = disconnect_after
        bars |= {"L1": {"lands": [*at(i, plus(i)), "SD.1"]}, "L2": {"lands": ["SD.2", *at(i + 1, minus(i + 1))]}}
        devices = {"SD": {"kind": "service disconnect"}}
    return {
        "layout": 1, "name": "small", "revision": 1, "faces": {"A": "front", "B": "back"},
        "module types": {"stick": {
            "chemistry": "NMC", "cells": 6, "nominal": f"{0.86 * highest_v:g} V",
            "rest": f"{0.8 * highest_v:g} V to {0.9 * highest_v:g} V", "highest": f"{highest_v:g} V",
            "resistance": "10 mΩ", "size": [f"{pitch_mm:g} mm", "280 mm", "100 mm"],
            "posts": {"A": {"at": ["10 mm", "0 mm", "60 mm"], "joint": "post"},
                      "B": {"at": ["10 mm", "280 mm", "60 mm"], "joint": "post"}}}},
        "joint types": {"post": {"thread": "M5", "class": 8.8, "torque": "4.0 N·m to 5.0 N·m",
                                 "stack": ["bar", "nut"]}},
        "positions": {f"G1..G{modules}": {
            "of": list(of), "module": "stick", "first at": ["0 mm", "0 mm", "0 mm"],
            "step": [f"{pitch_mm:g} mm", "0 mm", "0 mm"], "plus at": ["A", "B"]}},
        "bars": bars, "devices": devices,
        "outside": {"main-": at(1, minus(1))[0], "main+": at(modules, plus(modules))[0]},
        "states": {"plug out": {"closed": []}, "plug in": {"closed": list(devices)}},
        "covers": {f"C{face}": {"over": f"face {face}"} for face in covers},
    }  # fmt: skip
