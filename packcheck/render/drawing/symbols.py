"""Symbols of the current path, in the manner of IEC 60617 (shapes from memory), and the signs of polarity.

Each is drawn in line with the current: from (x, y) to (x + 64, y).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from packcheck.render.drawing.paper import Box, Spot, circle, path, rect, strokes

LONG = 64.0
"""How long a symbol is along the line [px]."""


def symbol(kind: str, x: float, y: float) -> str:
    """Return the symbol of a kind of device."""
    return "".join(_SYMBOLS.get(kind, _other)(x, y))


def battery(x: float, y: float, *, plus_right: bool) -> str:
    """Return cells in series: long thin plates for +, short thick ones for −."""
    middle = x + LONG / 2
    side = 1 if plus_right else -1
    lines = [((x, y), (middle - 14, y)), ((middle + 14, y), (x + LONG, y)), ((middle - 6, y), (middle - 2, y)),
             ((middle + 2, y), (middle + 6, y))]  # fmt: skip
    plates = []
    for pair in (-10, 10):
        plus, minus = middle + pair + 4 * side, middle + pair - 4 * side
        lines.append(((plus, y - 11), (plus, y + 11)))
        plates.append(rect(Box(minus - 1.5, y - 6, 3, 12), "dot"))
    return strokes(lines, "line") + "".join(plates)


def polarity(spot: Spot, radius: float, sign: str, *, seen: bool = True) -> str:
    """Return a post from above with its sign: + on a filled disc, − on an empty one; in outline where only planned."""
    x, y = spot
    arm = radius * 0.58
    lines = [((x - arm, y), (x + arm, y))]
    if sign == "+":
        lines.append(((x, y - arm), (x, y + arm)))
    kind, line = ("plus", "sign-plus" if seen else "sign-plan") if sign == "+" else ("minus", "sign-minus")
    return circle(spot, radius, kind if seen else f"{kind} plan") + strokes(lines, f"sign {line}")


def _ends(x: float, y: float, left: float, right: float) -> str:
    return strokes([((x, y), (x + left, y)), ((x + right, y), (x + LONG, y))], "line")


def _fuse(x: float, y: float) -> Iterator[str]:
    yield rect(Box(x + 15, y - 6, 34, 12), "tag")
    yield strokes([((x, y), (x + LONG, y))], "line")


def _resistor(x: float, y: float) -> Iterator[str]:
    yield _ends(x, y, 15, 49)
    yield rect(Box(x + 15, y - 5, 34, 10), "tag")


def _shunt(x: float, y: float) -> Iterator[str]:
    yield from _resistor(x, y)
    yield strokes([((x + 22, y + 5), (x + 22, y + 12)), ((x + 42, y + 5), (x + 42, y + 12))], "line")


def _blade(x: float, y: float) -> str:
    return _ends(x, y, 20, 44) + strokes([((x + 20, y), (x + 42, y - 13))], "line")


def _disconnector(x: float, y: float) -> Iterator[str]:
    yield _blade(x, y)
    yield strokes([((x + 44, y - 6), (x + 44, y + 6))], "line")


def _contactor(x: float, y: float) -> Iterator[str]:
    yield _blade(x, y)
    yield f'<path d="M{x + 44:.1f} {y:.1f}a4 4 0 0 1 8 0" class="line"/>'


def _other(x: float, y: float) -> Iterator[str]:
    yield _ends(x, y, 17, 47)
    yield path([(x + 17, y - 9), (x + 47, y - 9), (x + 47, y + 9), (x + 17, y + 9)], "tag", closed=True)


_SYMBOLS: dict[str, Callable[[float, float], Iterator[str]]] = {
    "fuse": _fuse,
    "service disconnect": _disconnector,
    "isolator": _disconnector,
    "main contactor": _contactor,
    "contactor": _contactor,
    "precharge contactor": _contactor,
    "shunt": _shunt,
    "precharge resistor": _resistor,
    "resistor": _resistor,
}
