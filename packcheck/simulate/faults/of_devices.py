"""Faults of disconnects, fuses, contactors and what charges the outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from random import Random

from packcheck.simulate.build import Build
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, Fault, parts_of


def _stuck_open(build: Build, place: str, _random: Random) -> Build:
    return build.with_device(place, stuck="open")


def _stuck_closed(build: Build, place: str, _random: Random) -> Build:
    for name in parts_of(place):
        build = build.with_device(name, stuck="closed")
    return build


def _smaller(build: Build, place: str, _random: Random) -> Build:
    fuse = build.devices[place]
    volts = 32.0 if (fuse.volts_v or 0) > 40 else 12.0
    return build.with_device(place, part=f"{fuse.part or 'fuse'}-32v", volts_v=volts, breaks_a=1000.0)


def _larger(build: Build, place: str, _random: Random) -> Build:
    fuse = build.devices[place]
    return build.with_device(place, part=f"{fuse.part or 'fuse'}-x", rating_a=(fuse.rating_a or 100.0) * 2.5)


def _by_bar(build: Build, place: str, _random: Random) -> Build:
    ends = build.pack.devices[place].ends
    return replace(build.with_device(place, fitted=False), stray={**build.stray, "X1": ends})


def turned_over(build: Build, place: str, _random: Random) -> Build:
    """Return a build in which a device that has a direction is fitted the other way round."""
    drawn = build.devices[place].current
    return build.with_device(place, current="2 to 1" if drawn == "1 to 2" else "1 to 2")


def _gone(build: Build, place: str, _random: Random) -> Build:
    return build.with_device(place, fitted=False)


def _all_contactors(build: Build) -> Sequence[str]:
    names = spots.devices(build, "main contactor")
    return (", ".join(names),) if len(names) > 1 else ()


def _directed(build: Build) -> Sequence[str]:
    return tuple(n for n in spots.devices(build, "main contactor") if build.devices[n].current)


_plugs = partial(spots.devices, kind="service disconnect")
_isolators = partial(spots.devices, kind="isolator")
_fuses = partial(spots.devices, kind="fuse")
_contactors = partial(spots.devices, kind="main contactor")
_bonds = partial(spots.devices, kind="bond")
D = "switches and fuses"
DEAD = ("reading-disagrees", "reading-floating", "total-unlike-halves")
FAULTS = (
    Fault("disconnect-not-latched", D, "The service disconnect is in but makes no contact", "not seated to its stop",
          FIX, 3, _plugs, _stuck_open, looked=False, rules=DEAD, near=("fuse-open", "bar-left-out"),
          settles="both halves; the interlock loop; resistance across the disconnect"),
    Fault("disconnect-missing", D, "The service disconnect was left out", "empty holder", NEVER, 1, _plugs, _gone,
          rules=("disconnect-not-fitted", "device-not-fitted"), believed=DEAD, near=("disconnect-not-latched",),
          settles="the holder, looked into"),
    Fault("isolator-stuck-closed", D, "The isolator of a string does not open", "its handle moves all the same",
          NEVER, 4, _isolators, _stuck_closed, looked=False, rules=("disconnect-not-shown-open", "reading-floating"),
          near=("disconnect-bridged", "contactor-welded"), settles="a reading past the isolator alone, all else open"),
    Fault("interlock-bridged", D, "The interlock is bridged", "loop closed with the plug out", NEVER, 5,
          unseen="a record has no row for the interlock loop; its state with the plug out would show it"),
    Fault("interlock-open", D, "The interlock is open elsewhere", "loop open with the plug in", FIX, 4,
          unseen="a record has no row for the interlock loop; its segments, read one by one, would show it"),
    Fault("fuse-of-low-voltage", D, "A fuse is made for a lower voltage", "another part number", NEVER, 2, _fuses,
          _smaller, rules=("fitted-fuse-voltage-low", "fuse-wrong-part"), believed=(), near=("fuse-too-large",),
          blind="a fuse of another rating conducts alike; only what is printed on it tells",
          settles="what is printed on the fuse"),
    Fault("fuse-too-large", D, "A fuse is rated too high", "another part number", NEVER, 2, _fuses, _larger,
          rules=("fuse-wrong-part",), believed=(), near=("fuse-of-low-voltage",),
          blind="a fuse of another rating conducts alike; only what is printed on it tells",
          settles="what is printed on the fuse"),
    Fault("fuse-open", D, "A fuse is blown", "nothing shows", FIX, 4, _fuses, _stuck_open, looked=False, rules=DEAD,
          near=("disconnect-not-latched", "bar-left-out"), settles="resistance of the fuse"),
    Fault("fuse-replaced-by-bar", D, "A bar lies where the fuse belongs", "metal in the holder", NEVER, 3, _fuses,
          _by_bar, rules=("device-not-fitted", "conductor-stray", "fuse-wrong-part"), believed=(),
          near=("fuse-too-large",), blind="a bar conducts as the fuse does; what is in the holder has to be looked at",
          settles="resistance of the fuse; the holder, looked into"),
    Fault("contactor-welded", D, "A main contactor does not open", "nothing shows", NEVER, 4, _contactors,
          _stuck_closed, looked=False, rules=("contactor-not-shown-open", "reading-floating"),
          near=("both-contactors-welded", "disconnect-bridged"),
          settles="its outer end against the opposite pole, contactors open"),
    Fault("both-contactors-welded", D, "All main contactors are welded", "the outside is live", NEVER, 4,
          _all_contactors, _stuck_closed, looked=False, rules=("contactor-not-shown-open", "reading-floating"),
          near=("contactor-welded",), settles="the outside, read with the contactors open"),
    Fault("suppressor-turned", D, "The suppressor of a coil is turned or missing", "nothing shows", FIX, 6,
          unseen="a record has no row for coils and their suppressors; resistance and a diode test would show it"),
    Fault("contactor-turned", D, "A main contactor is fitted against its arrow", "arrow against the drawing", NEVER, 3,
          _directed, turned_over, rules=("contactor-reversed",), believed=(), near=("shunt-turned",),
          blind="a contactor conducts both ways; which way it breaks is told by its mark alone",
          settles="the mark on its case"),
    Fault("precharge-open", D, "The precharge resistor is open", "nothing shows", FIX, 5,
          unseen="no rule asks for the resistance of a precharge resistor; reading it would show it"),
    Fault("precharge-shorted", D, "The precharge resistor is shorted", "nothing shows", NEVER, 5,
          unseen="no rule asks for the resistance of a precharge resistor; reading it would show it"),
    Fault("precharge-stalls", D, "The outside charges only in part", "a load hangs on it", NEVER, 6,
          unseen="nothing of the first closing is written down; voltage of the outside over time would show it"),
    Fault("output-stays-live", D, "The outside stays charged after opening", "falls too slowly", FIX, 6,
          unseen="nothing after the first closing is written down; voltage of the outside over time would show it"),
    Fault("bond-missing", D, "A bonding conductor is missing", "bare hole in the end plate", FIX, 3, _bonds, _gone,
          rules=("device-not-fitted",), believed=(), near=("second-earth",),
          blind="no voltage of the pack leads through a bonding conductor",
          settles="resistance to the chassis"),
    Fault("second-earth", D, "The rack is earthed in two places", "two bonds", FIX, 6,
          unseen="a record tells of no bond that the layout does not draw, unless somebody lists it"),
)  # fmt: skip
