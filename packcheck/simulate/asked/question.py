"""What may be asked of a build: kinds of questions, and the names of which each can be asked on a layout."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.simulate.reading_plan import CONTACTOR
from packcheck.simulate.scribe import Bench

STACK, POLES, DAY, GLOVES = "stack", "poles", "day", "gloves"
MODULES, BARS, TOOLS = "modules", "bars", "tools"


@dataclass(frozen=True)
class Question:
    """One question: its kind, the one or two names it is about, and for a voltage the switching state."""

    kind: str
    names: tuple[str, ...]
    state: str = ""

    @property
    def text(self) -> str:
        """Return the question in words that can be typed again."""
        return " ".join((self.kind, *self.names)) + (f", {self.state}" if self.state else "")


@dataclass(frozen=True)
class Kind:
    """A kind of question: what is done, of how many names it is asked, which they are, whether in a state."""

    says: str
    count: int
    names: Callable[[Bench], Sequence[str]]
    in_state: bool = False


def states_of(pack: Pack) -> tuple[str, ...]:
    """Return the switching states of a layout, fewest switches closed first."""
    return tuple(sorted(pack.states, key=lambda name: len(pack.states[name].closed)))


def live_state(pack: Pack) -> str:
    """Return the state in which a load can be drawn: with main contactors closed; "" where a layout has none."""
    name = states_of(pack)[-1] if pack.states else ""
    closed = pack.states[name].closed if name else ()
    return name if any(pack.devices[device].kind == CONTACTOR for device in closed) else ""


def _points(bench: Bench) -> Sequence[str]:
    pack = bench.pack
    ends = [end for device in pack.devices.values() for end in device.ends if end not in pack.places]
    return tuple(dict.fromkeys((*pack.taps, *pack.places, *(end for end in ends if end != "chassis"))))


def _loadable(bench: Bench) -> Sequence[str]:
    return _points(bench) if live_state(bench.pack) else ()


def _resistances(bench: Bench) -> Sequence[str]:
    pack = bench.pack
    return (*pack.joints, *pack.conductors, *pack.devices, *pack.taps, *pack.positions)


def _seen(bench: Bench) -> Sequence[str]:
    pack = bench.pack
    return (*pack.positions, *pack.places, *pack.conductors, *pack.devices, *pack.taps, *pack.covers, *pack.probes,
            *pack.vents)  # fmt: skip


def _counted(bench: Bench) -> Sequence[str]:
    return (MODULES, BARS, TOOLS, *needed_parts(bench.pack))


def _labelled(bench: Bench) -> Sequence[str]:
    return (*bench.pack.positions, *bench.pack.conductors, *bench.pack.devices)


def _lengths(bench: Bench) -> Sequence[str]:
    return (*((STACK,) if bench.pack.clamp else ()), *bench.pack.positions)


def _poles(bench: Bench) -> Sequence[str]:
    return () if any(device.kind == "bond" for device in bench.pack.devices.values()) else (POLES,)


def _papers(bench: Bench) -> Sequence[str]:
    return ("V1", "W1", "W2", "R1", *(("L1",) if bench.pack.clamp else ()), GLOVES, DAY)


KINDS: Mapping[str, Kind] = {
    "volts": Kind("voltage of the first place or pin against the second", 2, _points, in_state=True),
    "loaded": Kind("voltage of the first against the second while a load is drawn from the mains", 2, _loadable),
    "resistance": Kind("of a joint; of a bar, lead, switch, fuse, sense lead or module by itself", 1, _resistances),
    "torque": Kind("a joint tried again, with a wrench that was checked", 1, lambda b: tuple(b.pack.joints)),
    "capacity": Kind("a module discharged by itself", 1, lambda b: tuple(b.pack.positions)),
    "rest": Kind("a module's voltage at rest, today and after nine days on the shelf", 1,
                 lambda b: tuple(b.pack.positions)),
    "mass": Kind("a module on the scale", 1, lambda b: tuple(b.pack.positions)),
    "isolation": Kind("both poles to the chassis, then with a resistor beside the higher one", 1, _poles),
    "count": Kind("a part, the modules, the bars or the tools, counted again", 1, _counted),
    "length": Kind("of the stack between its plates; of a module's case", 1, _lengths),
    "look": Kind("at a module, post, bar, lead, switch, sense lead, cover, probe or vent line", 1, _seen),
    "label": Kind("what is printed on a module, bar, lead, switch or fuse", 1, _labelled),
    "papers": Kind("of an instrument, of the gloves, or the sheet of the day", 1, _papers),
}  # fmt: skip
