"""Layouts of modules in one string: a plain row of sticks, and the same row as two trays."""

from __future__ import annotations

from workshop.as_yaml import Data

LONGEST_CLAMP_MM = 19_000
"""Stacks longer than this have no clamp, nor their fuses the voltage: they are there to be timed."""


def stick_layout(modules: int, *, pitch_mm: float = 20.0, name: str = "generated") -> Data:
    """Return a layout of one series string of modules turned about, bars on two faces, a disconnect in the middle."""
    assert modules >= 4
    middle = modules // 2
    width = len(str(modules))
    p = lambda i: f"P{i:0{width}d}"  # noqa: E731
    b = lambda i: f"B{i:0{width}d}"  # noqa: E731
    plus = lambda i: "A" if i % 2 else "B"  # noqa: E731
    minus = lambda i: "B" if i % 2 else "A"  # noqa: E731
    taps = {f"T{i:0{width}d}": f"{p(i)}.{plus(i)}" for i in range(1, modules + 1)}
    taps = {f"T{0:0{width}d}": f"{p(1)}.{minus(1)}", **taps}
    taps["TX"] = f"{p(middle + 1)}.{minus(middle + 1)}"
    return {
        "layout": 1,
        "name": name,
        "revision": 1,
        "faces": {"A": "front", "B": "back"},
        "module types": {
            "stick": {
                "chemistry": "NiMH",
                "cells": 6,
                "nominal": "7.2 V",
                "rest": "7.5 V to 8.4 V",
                "highest": "8.7 V",
                "capacity": "6 Ah",
                "resistance": "10 mΩ",
                "size": ["20 mm", "280 mm", "100 mm"],
                "posts": {
                    "A": {"at": ["10 mm", "0 mm", "60 mm"], "joint": "post"},
                    "B": {"at": ["10 mm", "280 mm", "60 mm"], "joint": "post"},
                },
            }
        },
        "joint types": {
            "post": {
                "thread": "M5",
                "class": 8.8,
                "torque": "4.0 N·m to 5.0 N·m, aim 4.5 N·m",
                "recheck": "after 12 h",
                "resistance": "80 µΩ, at most 150 µΩ",
                "stack": ["bar", "washer-m5", "nut-m5", "cap-m5"],
            },
            "lug": {"like": "post", "stack": ["lug-m5", "washer-m5", "nut-m5", "cap-m5"]},
        },
        "bar types": {"bar": {"metal": "copper", "size": ["34 mm", "16 mm", "2 mm"], "resistance": "20 µΩ"}},
        "positions": {
            f"{p(1)}..{p(modules)}": {
                "module": "stick",
                "first at": ["0 mm", "0 mm", "0 mm"],
                "step": [f"{pitch_mm} mm", "0 mm", "0 mm"],
                "plus at": ["A", "B"],
            }
        },
        "series": {
            "main": {
                "through": f"{p(1)}..{p(modules)}",
                "bar": "bar",
                "names": f"{b(1)}..{b(modules - 1)}",
                "drop": b(middle),
            }
        },
        "leads": {
            "W1": {"lands": [f"{p(middle)}.{plus(middle)}", "SD.1"]},
            "W2": {"lands": ["SD.2", f"{p(middle + 1)}.{minus(middle + 1)}"]},
            "W3": {"lands": [f"{p(modules)}.{plus(modules)}", "F1.1"]},
            "W4": {"lands": ["F1.2", "K1.1"]},
            "W5": {"lands": [f"{p(1)}.{minus(1)}", "K2.2"]},
        },
        "devices": {
            "SD": {"kind": "service disconnect", "interlock": True},
            "F1": {
                "kind": "fuse",
                "rating": "80 A",
                "volts": f"{min(10_000, max(250, round(8.8 * modules)))} V",
                "breaks": "20 kA",
            },
            "K1": {"kind": "main contactor", "current": "1 to 2"},
            "K2": {"kind": "main contactor", "current": "1 to 2"},
        },
        "outside": {"main+": "K1.2", "main-": "K2.1"},
        "states": {"plug out": {"closed": []}, "plug in": {"closed": ["SD"]}, "live": {"closed": ["SD", "K1", "K2"]}},
        "taps": taps,
        "covers": {"CA": {"over": "face A", "screws": "6 screw-m4"}, "CB": {"over": "face B", "screws": "8 screw-m4"}},
        **(_clamp(modules * pitch_mm) if modules * pitch_mm < LONGEST_CLAMP_MM else {}),
        "parts": {"washer-m5": "ISO 7089 M5", "nut-m5": "ISO 4032 M5", "cap-m5": {"conducts": False}},
        "creepage": {"pollution degree": 2, "material group": "IIIa"},
    }


def _clamp(length_mm: float) -> Data:
    length = f"{length_mm:g} mm ± 0.5 mm"
    return {"clamp": {"length": length, "rods": "4 rod-m6", "torque": "5.0 N·m to 7.0 N·m"}}


def trayed_layout(modules: int, *, name: str = "trays") -> Data:
    """Return a stick layout whose two halves, of ``modules`` each, are trays T1 and T2; taps every two modules."""
    layout = stick_layout(2 * modules, name=name)
    width = len(str(2 * modules))
    p = lambda i: f"P{i:0{width}d}"  # noqa: E731

    def moved(node: str) -> str:
        position, _, post = node.partition(".")
        if not position.startswith("P"):
            return node
        number = int(position[1:])
        return f"T1-{p(number)}.{post}" if number <= modules else f"T2-{p(number - modules)}.{post}"

    block = next(iter(layout["positions"].values()))
    turned = block["plus at"] if modules % 2 == 0 else block["plus at"][::-1]
    layout["positions"] = {
        f"T1-{p(1)}..T1-{p(modules)}": block,
        f"T2-{p(1)}..T2-{p(modules)}": {**block, "first at": [f"{20 * modules} mm", "0 mm", "0 mm"], "plus at": turned},
    }
    layout["series"] = {
        tray: {
            "through": f"{tray}-{p(1)}..{tray}-{p(modules)}",
            "bar": "bar",
            "names": f"{tray}-B{1:0{width}d}..{tray}-B{modules - 1:0{width}d}",
        }
        for tray in ("T1", "T2")
    }
    layout["leads"] = {name: {"lands": [moved(n) for n in lead["lands"]]} for name, lead in layout["leads"].items()}
    nodes = [moved(node) for node in layout["taps"].values()]
    first, second = nodes[: modules + 1], [nodes[-1], *nodes[modules + 1 : -1]]
    layout["taps"] = {f"S{i}": node for i, node in enumerate([*_every_second(first), *_every_second(second)])}
    return layout


def _every_second(nodes: list[str]) -> list[str]:
    return [*nodes[:-1:2], nodes[-1]]
