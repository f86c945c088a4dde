"""Faults of sense leads, connectors and probes."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from packcheck.simulate.build import Build
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, Data, Fault, parts_of
from packcheck.simulate.faults.of_devices import turned_over
from packcheck.simulate.meters import Figure


def _swap(build: Build, place: str, _random: Random) -> Build:
    one, other = parts_of(place)
    return replace(build, taps={**build.taps, one: build.taps[other], other: build.taps[one]})


def _mirror(build: Build, place: str, _random: Random) -> Build:
    pins = spots.connectors(build)[place]
    return replace(build, taps={**build.taps, **dict(zip(pins, [build.taps[t] for t in reversed(pins)], strict=True))})


def _exchange(build: Build, place: str, _random: Random) -> Build:
    one, other = (spots.connectors(build)[name] for name in parts_of(place))
    changed = {tap: build.taps[there] for tap, there in (*zip(one, other, strict=True), *zip(other, one, strict=True))}
    return replace(build, taps={**build.taps, **changed})


def _next_bar(build: Build, place: str, _random: Random) -> Build:
    return replace(build, taps={**build.taps, place: spots.moved_along(build.pack, build.taps[place], 2)})


def _next_module(build: Build, place: str, _random: Random) -> Build:
    """Return the build with a tap on the other post of the next module, one module off."""
    there = build.pack.places[spots.moved_along(build.pack, build.taps[place], 1)]
    posts = build.pack.module_type_at(there.position).posts
    post = next(name for name in posts if name != there.post)
    return replace(build, taps={**build.taps, place: f"{there.position}.{post}"})


def _on_bar(build: Build) -> list[str]:
    return [tap for tap, node in build.taps.items() if _bar_at(build, node)]


def _bar_at(build: Build, node: str) -> str:
    return next((b.name for b in build.bodies.values() if any(at.node == node for at in b.lands)), "")


def _behind_joint(build: Build, place: str, _random: Random) -> Build:
    return replace(build, taps={**build.taps, place: _bar_at(build, build.taps[place])})


def _open(build: Build, place: str, random: Random) -> Build:
    """Return the build with an open tap; what the board puts above and below it decides how it parts their sum."""
    taps = list(build.taps)
    below = taps[taps.index(place) - 1]
    board = {below: random.uniform(0.5e6, 4e6), place: random.uniform(0.5e6, 4e6)}
    return replace(build, tap_ohm={**build.tap_ohm, place: float("inf")}, board_ohm={**build.board_ohm, **board})


def _corroded(build: Build, place: str, random: Random) -> Build:
    return replace(build, tap_ohm={**build.tap_ohm, place: random.uniform(200, 2500)})


def _pinched(build: Build, place: str, random: Random) -> Build:
    return replace(build, leaks=(*build.leaks, (build.taps[place], random.uniform(8e3, 40e3))))


def _scaled(data: Data, _place: str, random: Random) -> Data:
    """Return a record whose readings along the string were taken with a meter that is off by some per cent."""
    factor = 1 + random.choice((-1, 1)) * random.uniform(0.015, 0.03)
    rows = {name: [*row[:2], Figure(f"{float(row[2]) * factor:.3f}")] if isinstance(row, list) and name != "columns"
            else row for name, row in data["readings"].items()}  # fmt: skip
    return {**data, "readings": rows}


def _probes_swapped(build: Build, place: str, _random: Random) -> Build:
    one, other = parts_of(place)
    return replace(build, probes={**build.probes, one: build.probes[other], other: build.probes[one]})


def _probe_pairs(build: Build) -> list[str]:
    names = list(build.probes)
    return [f"{one}, {other}" for one, other in pairwise(names)]


def _probe_gone(build: Build, place: str, _random: Random) -> Build:
    return replace(build, probes={**build.probes, place: "not fitted"})


S = "sense leads"
READ = ("reading-disagrees", "reading-floating", "sum-disagrees", "reading-unlike-its-kind")
FAULTS = (
    Fault("taps-exchanged", S, "Two neighbouring sense leads are exchanged", "two eyelets crossed",
          NEVER, 3, spots.tap_pairs, _swap, rules=("tap-moved",), believed=READ,
          near=("block-turned", "tap-on-next-bar", "sign-slip"),
          settles="voltage at the posts beside that at the pins"),
    Fault("taps-two-apart-exchanged", S, "Two sense leads two pins apart are exchanged", "as two neighbouring ones",
          NEVER, 4, lambda build: spots.tap_pairs(build, 2), _swap, rules=("tap-moved",), believed=READ,
          near=("taps-exchanged",), settles="voltage at the posts beside that at the pins"),
    Fault("harness-mirrored", S, "A connector's leads run the other way along the string", "first pin at the last post",
          NEVER, 4, lambda build: tuple(spots.connectors(build)), _mirror, rules=("tap-moved",), believed=READ,
          near=("stack-mirrored", "taps-exchanged"), settles="voltage at the posts, with its sign"),
    Fault("connectors-exchanged", S, "Two like connectors are plugged into each other's place",
          "every value is plausible", FIX, 5, spots.like_connectors, _exchange, rules=("tap-moved",),
          believed=("reading-apart-from-modules", "reading-disagrees", "reading-floating"), near=("taps-exchanged",),
          settles="one connector unplugged: which values go?"),
    Fault("tap-on-next-bar", S, "A sense lead sits on the next post of its face", "one bar further on", FIX, 4,
          lambda build: spots.movable_taps(build, 2), _next_bar, rules=("tap-moved",), believed=READ,
          near=("module-turned", "taps-exchanged"), settles="voltage at the posts; the total is full"),
    Fault("tap-on-next-module", S, "A sense lead sits one module off", "on a post of the other row", FIX, 4,
          lambda build: spots.movable_taps(build, 1), _next_module, rules=("tap-moved",), believed=READ,
          near=("tap-on-next-bar", "module-bypassed"), settles="voltage at the posts; the total is full"),
    Fault("tap-behind-joint", S, "A sense lead sits on the far side of a joint", "eyelet under the bar", FIX, 6,
          _on_bar, _behind_joint, rules=("tap-moved",), believed=(), near=("resistance-high",), takes="load",
          blind="without a current the far side of a joint has the voltage of the near one",
          settles="the block under load, at the post and at the pin"),
    Fault("tap-open", S, "A sense lead has no contact", "broken wire or blown link; volts look like volts", FIX, 5,
          lambda build: tuple(build.taps)[1:-1], _open, looked=False, rules=(*READ, "reading-apart-from-modules"),
          near=("tap-on-next-bar", "digit-slip"), takes="tap leads",
          settles="resistance from pin to post; the reading with another meter"),
    Fault("tap-corroded", S, "A sense lead has kilohms", "green ring under the eyelet", FIX, 5,
          lambda build: tuple(build.taps)[1:-1], _corroded, looked=False, rules=(), near=("tap-open",),
          takes="tap leads", blind="a meter of 10 MΩ reads through kilohms as through none",
          settles="resistance from pin to post"),
    Fault("sense-lead-unfused", S, "A sense lead has no fuse, or another one", "link missing in the wire", FIX, 5,
          unseen="a record has no column for the fuse of a sense lead; part number of the harness would show it"),
    Fault("sense-lead-pinched", S, "A sense lead is pinched against the case", "flattened under a cover", NEVER, 5,
          lambda build: tuple(build.taps), _pinched, looked=False, rules=("isolation-low", "isolation-under-floor"),
          near=("electrolyte-leak",), takes="isolation", settles="isolation with the harness unplugged"),
    Fault("meter-out-of-scale", S, "The meter reads some per cent off", "all readings high, or all low", FIX, 3,
          spots.whole, slip=_scaled, rules=("reading-apart-from-modules", "reading-disagrees", "total-unlike-halves"),
          near=("read-too-soon",), settles="the meter at a known source"),
    Fault("probes-exchanged", S, "Two temperature probes are exchanged", "all read alike at one temperature", FIX, 6,
          _probe_pairs, _probes_swapped, rules=("probe-moved",), believed=(), near=("probe-left-out",),
          blind="two cold probes show one temperature wherever they are",
          settles="one warmed by hand: which value rises?"),
    Fault("probe-left-out", S, "A temperature probe is not on its module", "hangs beside the stack", FIX, 3,
          lambda build: tuple(build.probes), _probe_gone, rules=("probe-moved",), believed=(),
          near=("probes-exchanged",), blind="a probe that hangs in the air reads as one on a cold module",
          settles="one warmed by hand: which value rises?"),
    Fault("probe-broken", S, "A temperature probe is open or shorted", "a value no room has", FIX, 3,
          unseen="nobody reads the probes; read at their connector, or as a test of the layout, a rule tells"),
    Fault("shunt-turned", S, "The current sensor points the other way", "arrow against the drawing", FIX, 4,
          lambda build: [n for n in spots.devices(build, "shunt") if build.devices[n].current], turned_over,
          rules=("shunt-reversed",), believed=(), near=("contactor-turned",),
          blind="no reading of the record has a sign of the current",
          settles="sign of the current at a known load"),
)  # fmt: skip
