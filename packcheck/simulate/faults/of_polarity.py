"""Faults of polarity and topology: what stands the wrong way round, what is joined where it should not be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from packcheck.model.pack.parts import needed_parts
from packcheck.simulate.build import Build, Landed
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, Data, Fault, parts_of


def _turn(build: Build, place: str, _random: Random) -> Build:
    for position in parts_of(place):
        build = build.turned(position)
    return build


def _mirror(build: Build, _place: str, random: Random) -> Build:
    return _turn(build, ", ".join(build.modules), random)


def _turn_string(build: Build, place: str, random: Random) -> Build:
    groups = build.pack.strings[place].groups
    return _turn(build, ", ".join(name for group in groups for name in build.pack.groups[group]), random)


def moved_body(build: Build, name: str, nodes: Sequence[str]) -> Build:
    """Return the build with a conductor landing elsewhere; people call its joints what they always did."""
    lands = tuple(Landed(node, old.joint) for node, old in zip(nodes, build.bodies[name].lands, strict=True))
    return build.with_body(name, lands=lands)


def without_body(build: Build, name: str) -> Build:
    """Return the build without a conductor, and without the parts that only it needs."""
    left = build.with_body(name, fitted=False)
    there = [c for c in build.pack.conductors.values() if left.bodies[c.name].fitted]
    need, now = needed_parts(build.pack), needed_parts(build.pack, there)
    fewer = {part: now.get(part, 0) - count for part, count in need.items()}
    return left.with_parts(**{part: by for part, by in fewer.items() if by})


def _one_pitch(build: Build, place: str, _random: Random) -> Build:
    return moved_body(build, place, spots.shifted(build.pack, build.pack.conductors[place]))


def _leave_out(build: Build, place: str, _random: Random) -> Build:
    return without_body(build, place)


def _double(build: Build, place: str, _random: Random) -> Build:
    nodes = [landed.node for landed in build.bodies[place].lands]
    return replace(build, stray={**build.stray, "X1": (nodes[0], nodes[-1])})


def _across_disconnect(build: Build, place: str, _random: Random) -> Build:
    one, other = build.pack.devices[place].ends
    beyond = [_beyond(build, end) for end in (one, other)]
    return replace(build, stray={**build.stray, "X1": (beyond[0], beyond[1])})


def _beyond(build: Build, end: str) -> str:
    """Return the post behind the lead of a device's end; the end itself where there is none."""
    for body in build.bodies.values():
        nodes = [landed.node for landed in body.lands]
        if end in nodes and len(nodes) == 2:
            other = next(node for node in nodes if node != end)
            return other if other in build.pack.places else end
    return end


def _bypass(build: Build, place: str, _random: Random) -> Build:
    module = build.modules[place]
    ends = (f"{place}.{module.minus}", f"{place}.{module.plus}")
    return replace(build.with_module(place, fitted=False), stray={**build.stray, "X1": ends})


def _take_out(build: Build, place: str, _random: Random) -> Build:
    return build.with_module(place, fitted=False)


def _cross_mains(build: Build, place: str, _random: Random) -> Build:
    one, other = parts_of(place)
    first, second = ([landed.node for landed in build.bodies[name].lands] for name in (one, other))
    ends = {end for device in build.pack.devices.values() for end in device.ends}
    at_one, at_other = (next(n for n in reversed(nodes) if n in ends) for nodes in (first, second))
    build = moved_body(build, one, [at_other if node == at_one else node for node in first])
    return moved_body(build, other, [at_one if node == at_other else node for node in second])


def _cross_links(build: Build, place: str, _random: Random) -> Build:
    one, other = parts_of(place)
    first, second = ([landed.node for landed in build.bodies[name].lands] for name in (one, other))
    return moved_body(moved_body(build, one, [first[0], second[1]]), other, [second[0], first[1]])


def _unjoin(build: Build, place: str, _random: Random) -> Build:
    """Return the build with one member of a group not bolted to the bar at its +."""
    module = build.modules[place]
    node = f"{place}.{module.plus}"
    name = next(body.name for body in build.bodies.values() if any(at.node == node for at in body.lands))
    return build.with_body(name, lands=tuple(at for at in build.bodies[name].lands if at.node != node))


def _joinable(build: Build) -> Sequence[str]:
    landed = {at.node for body in build.bodies.values() if len(body.lands) > 2 for at in body.lands}
    return tuple(p for p in spots.grouped(build) if f"{p}.{build.modules[p].plus}" in landed)


def _same_serial(data: Data, place: str, _random: Random) -> Data:
    one, other = parts_of(place)
    row = [*data["modules"][other]]
    row[0] = data["modules"][one][0]
    return {**data, "modules": {**data["modules"], other: row}}


def _exchange(build: Build, place: str, _random: Random) -> Build:
    one, other = parts_of(place)
    a, b = build.modules[one], build.modules[other]
    kept = {"position", "plus", "minus"}
    swap = (
        {key: getattr(a, key) for key in vars(a) if key not in kept},
        {key: getattr(b, key) for key in vars(b) if key not in kept},
    )
    return build.with_module(one, **swap[1]).with_module(other, **swap[0])


def _planned(build: Build) -> Sequence[str]:
    return spots.apart(build) if build.pack.plan else ()


P = "polarity"
FAULTS = (
    Fault("module-turned", P, "A module stands the other way round",
          "bars still fit; its + is where its neighbours have −", NEVER, 2, spots.single, _turn,
          rules=("module-reversed",), believed=("module-facing-contradicted", "reading-disagrees"),
          near=("two-modules-turned", "block-turned", "module-bypassed", "sign-slip"),
          settles="voltage at the posts of each module of the block, with its sign"),
    Fault("group-member-turned", P, "A cell of a parallel group stands the other way round",
          "its + lies under the bar of the others' −; it was warm when the bar went on", NEVER, 3, spots.grouped, _turn,
          rules=("module-reversed", "loop-shorts-modules"),
          believed=("module-facing-contradicted", "reading-disagrees"), near=("group-member-unjoined",),
          settles="voltage at the posts of each member before the bar goes on, with its sign"),
    Fault("block-turned", P, "Two neighbouring modules stand the other way round",
          "the pair looks regular in itself", NEVER, 3, spots.neighbours, _turn,
          rules=("module-reversed", "block-reversed"), believed=("module-facing-contradicted", "reading-disagrees"),
          near=("module-turned", "taps-exchanged", "sign-slip"), settles="voltage at the posts, with its sign"),
    Fault("two-modules-turned", P, "Two modules of different blocks stand the other way round",
          "each of them as a single one", NEVER, 4, spots.apart, _turn, rules=("module-reversed",),
          believed=("module-facing-contradicted", "reading-disagrees"), near=("module-turned", "block-turned"),
          settles="voltage at the posts, with its sign"),
    Fault("stack-mirrored", P, "The whole stack is turned round",
          "everything regular, + and − exchanged at the mains", NEVER, 4, spots.whole, _mirror,
          rules=("stack-mirrored", "module-reversed", "tray-reversed"),
          believed=("mains-read-negative", "module-facing-contradicted", "reading-disagrees"),
          near=("mains-crossed", "harness-mirrored"), settles="the meter at a known source, then the mains again"),
    Fault("string-turned", P, "One of the parallel strings is turned round",
          "regular in itself; its isolator sees twice the voltage", NEVER, 4, spots.strings, _turn_string,
          rules=("tray-reversed", "module-reversed", "stack-mirrored"),
          believed=("module-facing-contradicted", "reading-disagrees"), near=("stack-mirrored",),
          settles="voltage across its open isolator"),
    Fault("bar-one-pitch-off", P, "A bar sits one module too far along",
          "it still joins a + and a −; another bar crowds it, a post stays bare", NEVER, 4, spots.shiftable, _one_pitch,
          rules=("conductor-moved", "loop-shorts-modules"), believed=("reading-disagrees", "reading-floating"),
          near=("bar-left-out",), settles="count of bars on both faces, position by position"),
    Fault("bar-left-out", P, "A bar between two modules is not there",
          "two bare posts side by side", NEVER, 2, spots.series_bars, _leave_out, rules=("conductor-not-fitted",),
          believed=("reading-disagrees", "reading-floating"), near=("fuse-open", "tap-open"),
          settles="count of bars; voltage across the two posts"),
    Fault("bar-doubled", P, "A second bar lies on top of one",
          "two bars between the same posts", FIX, 2, spots.series_bars, _double,
          rules=("conductor-stray", "conductor-doubled"), believed=(), near=("bar-one-pitch-off",),
          blind="a second bar on the first changes no voltage and no joint that is read",
          settles="count of bars"),
    Fault("disconnect-bridged", P, "A bar joins the two sides of the service disconnect",
          "a bar where the layout leaves a gap, or a strap at the holder", NEVER, 4,
          lambda build: spots.devices(build, "service disconnect"), _across_disconnect,
          rules=("disconnect-bypassed", "conductor-stray"),
          believed=("disconnect-not-shown-open", "reading-floating"), near=("contactor-welded",), takes="across open",
          settles="voltage between the mains, and of both halves, with the plug out"),
    Fault("module-bypassed", P, "A module is missing and a bar lies in its place",
          "a gap in the stack under a bar", NEVER, 3, spots.single, _bypass,
          rules=("module-not-fitted", "module-bypassed", "conductor-stray"),
          believed=("reading-disagrees", "module-facing-unconfirmed"), near=("module-turned", "module-missing"),
          settles="count of modules; one more reading under load"),
    Fault("module-missing", P, "A position is empty",
          "a gap in the stack", NEVER, 1, spots.single, _take_out, rules=("module-not-fitted",),
          believed=("reading-disagrees", "reading-floating"), near=("bar-left-out",), settles="count of modules"),
    Fault("group-member-missing", P, "A cell of a parallel group is missing",
          "a gap in the tray; the voltage is right", NEVER, 4, spots.grouped, _take_out,
          rules=("module-not-fitted", "group-unequal-size"), believed=("module-facing-unconfirmed",),
          near=("group-member-unjoined", "capacity-low"), settles="sag of the group under a load"),
    Fault("group-member-unjoined", P, "A cell of a parallel group is not under its bar",
          "the bar lies beside its post; the voltage is right", NEVER, 5, _joinable, _unjoin,
          rules=("group-member-unjoined", "conductor-moved"),
          believed=("joint-resistance-high",), near=("group-member-missing",),
          settles="sag of the group under a load; resistance of each joint"),
    Fault("mains-crossed", P, "The two main leads are exchanged at their contactors",
          "each lead ends where the other belongs", NEVER, 4, spots.main_leads, _cross_mains,
          rules=("conductor-moved", "mains-swapped"), believed=("mains-read-negative", "reading-disagrees"),
          near=("stack-mirrored",), settles="voltage between the inner ends of the contactors, with its sign"),
    Fault("links-crossed", P, "Two links between trays end where the other belongs",
          "both links are tight and marked", NEVER, 5, spots.link_pairs, _cross_links, rules=("conductor-moved",),
          believed=("reading-disagrees", "reading-floating"), near=("string-turned",),
          settles="the sum of the halves against the total"),
    Fault("serial-twice", P, "One serial number stands at two positions",
          "two rows with one number", FIX, 1, spots.neighbours, slip=_same_serial, rules=("serial-doubled",),
          near=("modules-exchanged",), settles="the two labels, read again"),
    Fault("modules-exchanged", P, "Two modules stand in each other's place of the plan",
          "both are of the right type", FIX, 3, _planned, _exchange, rules=("module-out-of-plan",), believed=(),
          near=("serial-twice",), blind="where the plan was copied, the record has no serials of its own",
          settles="the labels against the plan"),
)  # fmt: skip
