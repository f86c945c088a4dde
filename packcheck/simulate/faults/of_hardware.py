"""Faults of clamp, vents, covers and counts: what stands around the path, and what was left in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from packcheck.model.pack.parts import capped_places
from packcheck.model.record.vents import INSIDE
from packcheck.simulate.build import CHASSIS, Build
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, WHOLE, Fault
from packcheck.simulate.reading_plan import inner_end
from packcheck.simulate.vents import far_end


def _clamped(build: Build) -> Sequence[str]:
    return (WHOLE,) if build.clamp_mm is not None else ()


def _loose(build: Build, _place: str, random: Random) -> Build:
    longer = (build.clamp_mm or 0.0) + random.uniform(1.5, 4.0)
    return replace(build, clamp_mm=longer, clamp_n_m=(build.clamp_n_m or 5.0) * 0.4)


def _longer(build: Build, _place: str, random: Random) -> Build:
    return replace(build, clamp_mm=(build.clamp_mm or 0.0) + random.uniform(1.5, 3.0))


def _shorter(build: Build, _place: str, random: Random) -> Build:
    return replace(build, clamp_mm=(build.clamp_mm or 0.0) - random.uniform(1.5, 3.0))


def _vent_off(build: Build, place: str, _random: Random) -> Build:
    line, far = build.vents[place], far_end(build, place)
    over = tuple(position for position in line.over if position != far)
    return replace(build, vents={**build.vents, place: replace(line, over=over)})


def _vent_inside(build: Build, place: str, _random: Random) -> Build:
    return replace(build, vents={**build.vents, place: replace(build.vents[place], to=INSIDE)})


def _vented(build: Build) -> Sequence[str]:
    return tuple(name for name, line in build.vents.items() if len(line.over) > 1)


def _capped(build: Build) -> Sequence[str]:
    return tuple(capped_places(build.pack))


def _uncap(build: Build, place: str, _random: Random) -> Build:
    cap = next((part for part in build.parts if part.startswith("cap")), "")
    off = replace(build, uncapped=build.uncapped | {place})
    return off.with_parts(**{cap: -1}) if cap else off


def _lose(build: Build, place: str, _random: Random) -> Build:
    return replace(build, lost={**build.lost, place: build.lost.get(place, 0) + 1})


def _one_more(build: Build, place: str, _random: Random) -> Build:
    return build.with_parts(**{place: 1})


def _fasteners(build: Build) -> Sequence[str]:
    return spots.parts(build, "washer", "nut", "bolt", "screw")


def _tool(build: Build, place: str, _random: Random) -> Build:
    return replace(build, tools_left=frozenset((place,)))


def _swarf(build: Build, _place: str, random: Random) -> Build:
    nodes = sorted(node for node in build.pack.places if node != CHASSIS)
    return replace(build, leaks=(*build.leaks, (random.choice(nodes), random.uniform(5e3, 15e3))))


def _damp(build: Build, _place: str, random: Random) -> Build:
    poles = [inner_end(build.pack, end) for end in ("main+", "main-")]
    return replace(build, leaks=(*build.leaks, *((pole, random.uniform(12e3, 16e3)) for pole in poles)))


def _cover_off(build: Build, place: str, _random: Random) -> Build:
    cover = build.pack.covers[place]
    off = replace(build, covers={**build.covers, place: False}, screws={**build.screws, place: 0})
    return off.with_parts(**{cover.screw_part: -cover.screws}) if cover.screw_part else off


def _screwed(build: Build) -> Sequence[str]:
    return tuple(name for name, count in build.screws.items() if count)


def _screw_short(build: Build, place: str, _random: Random) -> Build:
    part = build.pack.covers[place].screw_part
    short = replace(build, screws={**build.screws, place: build.screws[place] - 1})
    return short.with_parts(**{part: -1}) if part else short


K, G = "mechanics", "counts"
FAULTS = (
    Fault("clamp-loose", K, "The stack is not compressed", "rods turn by hand; longer than its gauge", FIX, 1, _clamped,
          _loose, rules=("clamp-length-off", "clamp-torque-off"), believed=("clamp-length-off",),
          near=("case-swollen", "spacer-doubled"), settles="length at the four corners; torque of each rod"),
    Fault("clamp-crooked", K, "The end plates are not parallel", "corner lengths differ", FIX, 4,
          unseen="a record has one length of the stack; the four corners would show it"),
    Fault("spacer-doubled", K, "A spacer was put in twice", "the stack is one spacer too long", FIX, 3, _clamped,
          _longer, looked=False, rules=("clamp-length-off",), near=("case-swollen", "clamp-loose"),
          settles="count of spacers"),
    Fault("spacer-missing", K, "A spacer was left out", "the stack is one spacer too short", FIX, 3, _clamped, _shorter,
          looked=False, rules=("clamp-length-off",), near=("spacer-doubled",), settles="count of spacers"),
    Fault("module-upside-down", K, "A module stands upside down", "vent below", FIX, 3,
          unseen="no column of a record tells which way up a module stands; the side of its vent would"),
    Fault("vent-off", K, "A vent line is off its spigot", "tube hangs free at the module farthest along it", NEVER, 2,
          _vented, _vent_off, rules=("vent-line-off", "vent-blow-not-felt"), believed=("vent-blow-not-felt",),
          near=("vent-inside",), settles="air blown in at each module in turn"),
    Fault("vent-inside", K, "A vent line ends inside the pack", "tube ends under the cover", NEVER, 5,
          lambda build: tuple(build.vents), _vent_inside, rules=("vent-line-ends-inside",),
          believed=("vent-blow-not-felt",), near=("vent-off",), settles="a look along the line to its end"),
    Fault("air-path-blocked", K, "A duct, filter or fan is missing", "hot middle modules", FIX, 5,
          unseen="a record has no row for air; a fan run and its temperatures would show it"),
    Fault("lead-over-edge", K, "A lead lies over a sharp edge", "taut against metal", FIX, 4,
          unseen="a record tells where a lead lands, not how it runs; a look along it would"),
    Fault("case-seal-damaged", K, "A seal of the case is damaged", "torn foam", FIX, 4,
          unseen="a record has no row for the seal; a leak test would show it"),
    Fault("cap-left-off", K, "A post has no cap", "bare stud among caps", FIX, 1, _capped,
          _uncap, rules=("post-cap-missing",), believed=("part-unaccounted",), near=("washer-left-over",),
          settles="the face, looked along"),
    Fault("cover-off", K, "A cover is not on", "open window", NEVER, 1, lambda build: tuple(build.covers), _cover_off,
          rules=("cover-not-fitted",), believed=("cover-screws-missing", "part-unaccounted"), near=("screw-missing",),
          settles="the pack, looked at from all sides"),
    Fault("screw-missing", K, "A cover lacks a screw", "empty hole", FIX, 2, _screwed, _screw_short,
          rules=("cover-screws-missing",), believed=("cover-screws-missing", "part-unaccounted"),
          near=("washer-left-over",), settles="count of screws"),
    Fault("washer-left-over", G, "A loose part that was issued is nowhere", "the count does not close", NEVER, 2,
          _fasteners, _lose, looked=False, rules=("part-unaccounted",), near=("washer-missing", "part-doubled"),
          settles="the pack, searched with a lamp; the counts again"),
    Fault("part-doubled", G, "A joint has one part too many", "two washers under one nut", FIX, 3, _fasteners,
          _one_more, rules=("part-count-off",), believed=("part-unaccounted",),
          near=("washer-left-over", "washer-under-bar"), settles="the parts on the faces, counted"),
    Fault("tool-left-in", G, "A tool did not come back", "an empty place in the tray", NEVER, 1, spots.whole, _tool,
          looked=False, rules=("tool-not-returned",), near=("washer-left-over",), settles="the pack, searched"),
    Fault("swarf", G, "Chips or strands lie in the pack", "glitter under a lamp", FIX, 5, spots.whole, _swarf,
          looked=False, rules=("isolation-low", "isolation-under-floor"), near=("electrolyte-leak", "damp"),
          takes="isolation", settles="isolation before and after vacuuming"),
    Fault("damp", G, "The pack is damp", "dew, or rest of washing", FIX, 5, spots.whole, _damp, looked=False,
          rules=("isolation-low", "isolation-under-floor"), near=("electrolyte-leak", "swarf"), takes="isolation",
          settles="isolation again after a day in dry air"),
    Fault("neutraliser-wrong", G, "The wrong neutraliser stands at the bench", "kit for acid beside alkali", FIX, 4,
          unseen="a record has no row for what stands beside the bench"),
)  # fmt: skip
