"""Layouts with modules side by side: groups of cells in one string, and a rack of strings in parallel."""

from __future__ import annotations

from workshop.as_yaml import Data
from workshop.in_series import stick_layout


def grouped_layout(groups: int, members: int, *, name: str = "grouped") -> Data:
    """Return a layout of S groups of P cells, all posts on top, bars with 2 P landings, a disconnect in the middle."""
    assert groups >= 4
    assert 1 <= members <= 8
    middle, width = groups // 2, len(str(groups))
    g = lambda i: f"G{i:0{width}d}"  # noqa: E731
    of = "abcdefgh"[:members]
    plus = lambda i: "F" if i % 2 else "R"  # noqa: E731
    minus = lambda i: "R" if i % 2 else "F"  # noqa: E731
    row = lambda i, post: [f"{g(i)}{m}.{post}" for m in of]  # noqa: E731
    names = [f"B{i:0{width}d}" for i in range(1, groups)]
    return {
        "layout": 1,
        "name": name,
        "revision": 1,
        "faces": {"T": "top"},
        "module types": {
            "cell": {
                "chemistry": "NMC",
                "cells": 1,
                "nominal": "3.65 V",
                "rest": "3.50 V to 3.75 V",
                "highest": "4.20 V",
                "capacity": "60 Ah",
                "resistance": "0.8 mΩ",
                "size": ["27 mm", "148 mm", "95 mm"],
                "posts": {
                    "F": {"at": ["13.5 mm", "18 mm", "95 mm"], "face": "T", "joint": "post"},
                    "R": {"at": ["13.5 mm", "130 mm", "95 mm"], "face": "T", "joint": "post"},
                },
            }
        },
        "joint types": {
            "post": {
                "thread": "M6",
                "class": 8.8,
                "torque": "7.0 N·m to 9.0 N·m, aim 8.0 N·m",
                "resistance": "40 µΩ, at most 80 µΩ",
                "stack": ["bar", "washer-m6", "nut-m6"],
            },
            "lug": {"like": "post", "stack": ["lug-m6", "washer-m6", "nut-m6"]},
        },
        "bar types": {
            "bar": {
                "metal": "aluminium",
                "size": [f"{27 * members * 2 - 8} mm", "20 mm", "3 mm"],
                "resistance": "12 µΩ",
            }
        },
        "positions": {
            f"{g(1)}..{g(groups)}": {
                "of": list(of),
                "module": "cell",
                "first at": ["0 mm", "0 mm", "0 mm"],
                "step": ["27 mm", "0 mm", "0 mm"],
                "plus at": ["F", "R"],
            }
        },
        "series": {
            "main": {
                "through": f"{g(1)}..{g(groups)}",
                "bar": "bar",
                "names": f"{names[0]}..{names[-1]}",
                "drop": names[middle - 1],
            }
        },
        "bars": {
            "E-": {"lands": row(1, minus(1)), "size": [f"{max(48, 27 * members - 8)} mm", "20 mm", "4 mm"]}
            if members > 1
            else {"lands": [*row(1, minus(1)), "K2.2"]},
            "E+": {"lands": row(groups, plus(groups)), "size": [f"{max(48, 27 * members - 8)} mm", "20 mm", "4 mm"]}
            if members > 1
            else {"lands": [*row(groups, plus(groups)), "F1.1"]},
            "M1": {"lands": [*row(middle, plus(middle)), "SD.1"]},
            "M2": {"lands": [*row(middle + 1, minus(middle + 1)), "SD.2"]},
        },
        "leads": {
            **({"W5": {"lands": ["E-", "K2.2"]}, "W6": {"lands": ["E+", "F1.1"]}} if members > 1 else {}),
            "W7": {"lands": ["F1.2", "K1.1"]},
        },
        "devices": {
            "SD": {"kind": "service disconnect"},
            "F1": {"kind": "fuse", "rating": "350 A", "volts": f"{max(100, round(4.4 * groups))} V", "breaks": "50 kA"},
            "K1": {"kind": "main contactor", "current": "1 to 2"},
            "K2": {"kind": "main contactor", "current": "1 to 2"},
        },
        "outside": {"main+": "K1.2", "main-": "K2.1"},
        "states": {"plug out": {"closed": []}, "plug in": {"closed": ["SD"]}, "live": {"closed": ["SD", "K1", "K2"]}},
        "taps": {
            "S-": "E-",
            **{f"S{n[1:]}": n for n in names[: middle - 1]},
            "SM1": "M1",
            "SM2": "M2",
            **{f"S{n[1:]}": n for n in names[middle:]},
            "S+": "E+",
        },
        "covers": {"C1": {"over": "top", "screws": "10 screw-m5"}},
        "surge": {"at most": "60 A"},
        "creepage": {"pollution degree": 2, "material group": "IIIa"},
    }


def rack_layout(counts: list[int], *, name: str = "rack") -> Data:
    """Return a layout of strings in parallel, each a tray of so many modules, a disconnect in its middle, a fuse."""
    layout = stick_layout(max(4, *counts), name=name)
    block = next(iter(layout["positions"].values()))
    strings = {f"S{i}": count for i, count in enumerate(counts, 1)}
    plus = lambda s, i: f"{s}-P{i}.{'A' if i % 2 else 'B'}"  # noqa: E731
    minus = lambda s, i: f"{s}-P{i}.{'B' if i % 2 else 'A'}"  # noqa: E731
    layout["positions"] = {
        f"{s}-P1..{s}-P{n}": {**block, "first at": ["0 mm", "0 mm", f"{150 * i} mm"]}
        for i, (s, n) in enumerate(strings.items())
    }
    layout["series"] = {
        s: {"through": f"{s}-P1..{s}-P{n}", "bar": "bar", "names": f"{s}-B1..{s}-B{n - 1}", "drop": f"{s}-B{n // 2}"}
        for s, n in strings.items()
    }
    size = [f"{150 * max(2, len(counts))} mm", "20 mm", "4 mm"]
    layout["bars"] = {
        "BN": {"lands": [*(minus(s, 1) for s in strings), "K2.2"], "size": size},
        "BP": {"lands": [*(f"F{s}.2" for s in strings), "F1.1"], "size": size},
    }
    layout["leads"] = {
        **{f"W{s}a": {"lands": [plus(s, n // 2), f"D{s}.1"]} for s, n in strings.items()},
        **{f"W{s}b": {"lands": [f"D{s}.2", minus(s, n // 2 + 1)]} for s, n in strings.items()},
        **{f"W{s}f": {"lands": [plus(s, n), f"F{s}.1"]} for s, n in strings.items()},
        "W4": {"lands": ["F1.2", "K1.1"]},
    }
    plugs = {f"D{s}": {"kind": "service disconnect"} for s in strings}
    fuses = {f"F{s}": layout["devices"]["F1"] for s in strings}
    layout["devices"] = {**plugs, **fuses, **{key: layout["devices"][key] for key in ("F1", "K1", "K2")}}
    layout["states"] = {
        "plug out": {"closed": []},
        "plug in": {"closed": [*plugs]},
        "live": {"closed": [*plugs, "K1", "K2"]},
    }
    layout["taps"] = {}
    for s, n in strings.items():
        halves = [
            minus(s, 1),
            *(plus(s, i) for i in range(1, n // 2 + 1)),
            minus(s, n // 2 + 1),
            *(plus(s, i) for i in range(n // 2 + 1, n + 1)),
        ]
        layout["taps"].update({f"{s}-T{i}": node for i, node in enumerate(halves)})
    layout["parallel strings"] = [list(strings)]
    layout["surge"] = {"at most": "20 A"}
    layout.pop("clamp", None)
    return layout
