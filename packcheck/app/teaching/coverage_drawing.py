"""Coverage on the drawing: each part filled and marked by the worst that comes of a fault there, in shape and sign."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence

from packcheck.lessons.coverage import ELSEWHERE, NOT, ONE, READING, RESULTS, RIGHT, Tried
from packcheck.model.pack.model import Pack
from packcheck.render.drawing.look import SHADES, Look
from packcheck.render.drawing.marks import Kind, Note, badge, badge_width
from packcheck.render.drawing.paper import Box, rect
from packcheck.simulate.faults.fault import parts_of

BESIDE = "beside the drawing"
"""What is nowhere on the faces: the whole pack, readings, parts in the store, instruments."""
SAID = {RIGHT: "found by several rules", ONE: "found by one rule alone", READING: "found only with an optional reading",
        ELSEWHERE: "found at another place, or by another rule", NOT: "not found"}  # fmt: skip
KINDS = {
    NOT: Kind("stop", "mark-stop", "white", "✕", SAID[NOT]),
    ELSEWHERE: Kind("fix", "mark-fix", "white", "≠", SAID[ELSEWHERE]),
    READING: Kind("coarse", "mark-coarse", "open", "+", SAID[READING]),
    ONE: Kind("open", "mark-open", "open", "•", SAID[ONE]),
    RIGHT: Kind("advice", "mark-advice", "advice", "✓", SAID[RIGHT]),
}
"""The mark of each result, the worst first."""
SHADE = dict(zip(RESULTS, SHADES, strict=True))
"""What a part is filled with where this is the worst."""
GROUNDS = {RIGHT: ("#eef1f4", "#eef1f4"), ONE: ("#dbeafb", "#9dbce0"), READING: ("#fdf0c2", "#d3b45c"),
           ELSEWHERE: ("#fbdcc0", "#d39a66"), NOT: ("#f7cfcb", "#cf8a84")}  # fmt: skip
"""Ground and hatch of each result on a light page."""
GROUNDS_IN_DARK = {RIGHT: ("#2a303a", "#2a303a"), ONE: ("#1e3350", "#38587f"), READING: ("#443914", "#655722"),
                   ELSEWHERE: ("#4d2f14", "#754d26"), NOT: ("#54201d", "#84403b")}  # fmt: skip
HATCHES = {
    ONE: '<path class="hatch" d="M0 4H8"/>',
    READING: '<path class="hatch" d="M-2 2L2 -2M0 8L8 0M6 10L10 6"/>',
    ELSEWHERE: '<path class="hatch" d="M4 0V8M0 4H8"/>',
    NOT: '<path class="hatch" d="M0 0L8 8M0 8L8 0"/>',
}
"""How a part is hatched, to be told in grey print too: across, slanting, squares, crosses; plain where found."""

LISTED = (
    ".fills{list-style:none;padding:0}.fills li{display:flex;align-items:center;gap:.5rem}"
    ".drawing.fills svg{flex:none;width:76px;height:20px}"
)


def places_by_part(pack: Pack, tried: Sequence[Tried]) -> Mapping[str, list[Tried]]:
    """Return the trials at each part of the drawing, those of no part under ``BESIDE``; one of two parts at both."""
    found: dict[str, list[Tried]] = {}
    for one in tried:
        for part in dict.fromkeys(_drawn_at(pack, one.place)):
            found.setdefault(part, []).append(one)
    return found


def _drawn_at(pack: Pack, place: str) -> Iterator[str]:
    for name in parts_of(place):
        if name in pack.joints:
            yield pack.joints[name][0].name
        elif any(name in known for known in _drawn(pack)):
            yield name
        elif name in pack.nodes:
            yield pack.part_at(name)
        else:
            yield BESIDE


def _drawn(pack: Pack) -> tuple[Container[str], ...]:
    return pack.positions, pack.conductors, pack.devices, pack.covers, pack.taps, pack.probes


def counts_of(tried: Sequence[Tried]) -> Counter[str]:
    """Return how often each result came."""
    return Counter(one.result for one in tried)


def worst_of(tried: Sequence[Tried]) -> str:
    """Return the worst result of some trials."""
    return next(result for result in KINDS if result in counts_of(tried))


def told_of(tried: Sequence[Tried]) -> str:
    """Return in words how many faults came to which result."""
    counted = counts_of(tried)
    return ", ".join(f"{counted[result]} {SAID[result]}" for result in KINDS if counted[result])


def look_of(by_part: Mapping[str, Sequence[Tried]]) -> Look:
    """Return how the parts look: each filled by its worst result, and told in words."""
    return Look(
        ink={part: SHADE[worst_of(tried)] for part, tried in by_part.items()},
        words={part: told_of(tried) for part, tried in by_part.items()},
    )


def notes_of(by_part: Mapping[str, Sequence[Tried]]) -> list[Note]:
    """Return a mark for each part: how many faults come to its worst result there."""
    return [
        Note(counts_of(tried)[worst_of(tried)], KINDS[worst_of(tried)], (part,), told_of(tried), ())
        for part, tried in by_part.items()
        if part != BESIDE
    ]


def style() -> str:
    """Return the style of the fills, on a light and on a dark page."""
    light, dark = _fills(GROUNDS), _fills(GROUNDS_IN_DARK)
    return f"{LISTED}{light}.hatch{{fill:none;stroke-width:1.6}}@media screen and (prefers-color-scheme:dark){{{dark}}}"


def _fills(grounds: Mapping[str, tuple[str, str]]) -> str:
    return "".join(
        f"#{_hatch(result)} rect{{fill:{ground}}}#{_hatch(result)} .hatch{{stroke:{line}}}"
        for result, (ground, line) in grounds.items()
    ) + "".join(
        f".drawing .{shade}{{fill:url(#{_hatch(result)});stroke:currentColor;stroke-width:1}}"
        for result, shade in SHADE.items()
    )


def sketch_of(result: str) -> str:
    """Return a part with the fill and the mark of a result, 76 by 20 px."""
    label = f"1{KINDS[result].sign}"
    mark = badge(Box(40, 2.5, badge_width(label), 15), label, KINDS[result], "legend", SAID[result])
    return rect(Box(1, 1, 32, 18), SHADE[result], 3) + mark


def patterns() -> str:
    """Return the fills as definitions for the page."""
    return "".join(
        f'<pattern id="{_hatch(result)}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect width="8" height="8"/>{HATCHES.get(result, "")}</pattern>'
        for result in RESULTS
    )


def _hatch(result: str) -> str:
    return f"fill-{RESULTS.index(result)}"
