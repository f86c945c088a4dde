"""The answer to a question: what an instrument shows of the true build, or what one sees of it; never what it means."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from math import isinf

from packcheck.simulate.asked.looking import answer_count, answer_label, answer_look, answer_papers
from packcheck.simulate.asked.question import STACK, Question, live_state
from packcheck.simulate.asked.truth import Truth
from packcheck.simulate.build import Build
from packcheck.simulate.circuit import Circuit, circuit_of
from packcheck.simulate.drawn import joint_kind
from packcheck.simulate.elements import conducts, elements
from packcheck.simulate.measuring import isolation_rows, load_a, node_of, volts_between
from packcheck.simulate.meters import Meter, shown

DAYS = 9
"""How long a module stands on the shelf between its two readings."""
OVER = "over range: nothing conducts there"
HELD = 0.9
"""Share of the torque aimed at from which on a joint holds at the re-check; common practice."""
MOVED = 0.5
"""Share of its torque at which a joint turns that gives at the re-check; common practice."""
WRENCH = 0.04
"""Accuracy of a wrench with a pointer, as a share of what it shows; common practice."""
LEAD_OHM = 0.08
"""A sound sense lead [ohm], as the records have it."""


def answer(truth: Truth, question: Question) -> str:
    """Return what is read or seen; the same question on the same case gives the same text."""
    return ANSWERS[question.kind](truth, question)


def _volts(truth: Truth, question: Question) -> str:
    closed = truth.build.pack.states[question.state].closed
    circuit = circuit_of(tuple(elements(truth.build, closed)))
    plus, minus = question.names
    volts = volts_between(truth.build, closed, plus, minus, circuit)
    return _reading(truth, question, truth.team.volts, volts, "V")


def _loaded(truth: Truth, question: Question) -> str:
    build, pack = truth.build, truth.build.pack
    amperes, out, back = load_a(build), pack.outside["main+"], pack.outside["main-"]
    closed = pack.states[live_state(pack)].closed
    if not Circuit(elements(build, closed)).joined(out, back):
        return f"no current flows with {amperes:g} A asked of it"
    circuit = Circuit(elements(build, closed), drawn_a=(out, back, amperes))
    volts = circuit.volts(*(node_of(build, name) for name in question.names)) or 0.0
    return f"{_reading(truth, question, truth.team.volts, volts, 'V')} at {amperes:g} A"


def _resistance(truth: Truth, question: Question) -> str:
    (name,), build = question.names, truth.build
    if name in build.modules:
        module = build.modules[name]
        read = _reading(truth, question, truth.team.milli_ohms, module.resistance_ohm * 1e3, "mΩ")
        return read if module.fitted else OVER
    if name in build.taps:
        ohm = build.tap_ohm.get(name, LEAD_OHM)
        return OVER if isinf(ohm) else f"{ohm * (1 + truth.random(question.text).gauss(0, 0.003)):.2f} Ω"
    if any(name in state.closed for state in build.pack.states.values()):
        return "; ".join(f"{word} {_micro_ohms(truth, question, _of_device(build, name, closed))}"
                         for word, closed in (("open", ()), ("closed", (name,))))  # fmt: skip
    return _micro_ohms(truth, question, _ohm(build, name))


def _micro_ohms(truth: Truth, question: Question, ohm: float) -> str:
    return OVER if isinf(ohm) else _reading(truth, question, truth.team.micro_ohms, ohm * 1e6, "µΩ")


def _ohm(build: Build, name: str) -> float:
    """Return the resistance of a joint, or of a conductor or a device that is no switch by itself [ohm]."""
    if name in build.joints:
        return build.joints[name].resistance_ohm if _is_there(build, name) else float("inf")
    if name in build.bodies:
        return build.bodies[name].resistance_ohm if build.bodies[name].fitted else float("inf")
    return _of_device(build, name, ())


def _of_device(build: Build, name: str, closed: Collection[str]) -> float:
    return build.devices[name].resistance_ohm if conducts(build, build.devices[name], closed) else float("inf")


def _is_there(build: Build, joint: str) -> bool:
    body = build.bodies[build.pack.joints[joint][0].name]
    return body.fitted and any(landed.joint == joint for landed in body.lands)


def _torque(truth: Truth, question: Question) -> str:
    (name,), build = question.names, truth.build
    if not _is_there(build, name):
        return "there is nothing to turn"
    true, aim = build.joints[name], truth.bench.build(truth.seed).joints[name].torque_n_m
    tried = truth.written["joints"].get(name, [None] * 3)[2] if joint_kind(build.pack, name).recheck_after_h else None
    gives = true.moves or tried == "moved"
    turns = true.torque_n_m * (MOVED if gives else 1.0)
    word = "moved before" if gives or turns < HELD * aim else "held at"
    shows = turns * (1 + truth.random(question.text).uniform(-1, 1) * 0.7 * WRENCH)
    off = max(0.1, shows * WRENCH)
    return f"{word} set-point; turns on at {shows:.1f} N·m ± {off:.1f} N·m"


def _capacity(truth: Truth, question: Question) -> str:
    module = truth.build.modules[question.names[0]]
    read = _reading(truth, question, truth.team.amp_hours, module.capacity_ah, "Ah")
    return read if module.fitted else OVER


def _rest(truth: Truth, question: Question) -> str:
    module, volts = truth.build.modules[question.names[0]], truth.team.volts
    today = _reading(truth, question, volts, module.emf_v, "V")
    later = volts.shows(module.emf_v - DAYS * module.loses_v_day, truth.random(f"{question.text} later"))
    return f"{today}; after {DAYS} days {later} V" if module.fitted else "0.000 V: no module is there"


def _mass(truth: Truth, question: Question) -> str:
    module = truth.build.modules[question.names[0]]
    return _reading(truth, question, truth.team.grams, module.mass_g, "g") if module.fitted else "no module is there"


def _isolation(truth: Truth, _question: Question) -> str:
    rows = isolation_rows(truth.scribe)
    if not rows:
        return "the poles have no voltage between them: nothing can be read"
    row = rows["whole"]
    return "; ".join(f"{key} {row[key]}" for key in (
        "poles", "minus to chassis", "plus to chassis", "resistor", "resistor in"))  # fmt: skip


def _length(truth: Truth, question: Question) -> str:
    (name,), build, meter = question.names, truth.build, truth.team.length
    if name != STACK:
        more = _reading(truth, question, meter, build.modules[name].thicker_mm, "mm")
        return f"{more} more than a gauge of its drawn size" if build.modules[name].fitted else "no module is there"
    torque = f"; rods turn on at {build.clamp_n_m:.1f} N·m" if build.clamp_n_m is not None else ""
    return _reading(truth, question, meter, build.clamp_mm or 0.0, "mm") + torque


def _reading(truth: Truth, question: Question, meter: Meter, true: float, unit: str) -> str:
    shows = meter.shows(true, truth.random(question.text))
    digits = len(shows.partition(".")[2])
    return f"{shows} {unit} ± {shown(max(meter.half_width(true), 10.0**-digits), digits)} {unit}"


ANSWERS: Mapping[str, Callable[[Truth, Question], str]] = {
    "volts": _volts, "loaded": _loaded, "resistance": _resistance, "torque": _torque, "capacity": _capacity,
    "rest": _rest, "mass": _mass, "isolation": _isolation, "count": answer_count, "length": _length,
    "look": answer_look, "label": answer_label, "papers": answer_papers,
}  # fmt: skip
