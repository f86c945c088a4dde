"""The kinds of test that a layout can ask for by name: of what, in which quantity or words, within which limit.

What a kind gives is taken where the layout says nothing of its own.  All limits here are common practice, save where
the rule about the kind names a source; ``curve`` is the physics that makes the limit of each point.
"""

from __future__ import annotations

from collections.abc import Mapping

from packcheck.files.frozen import dataclass
from packcheck.files.quantities import Dimension

BARS, PLUG, CLOSE, RELEASE = "fit bars", "plug in", "close contactors", "release"
OWN = "own"
"""The kind of a test that the layout describes by itself."""
NAME, HASH, ANY = "its own name", "a SHA-256", "anything"
"""What a word can have to be besides one of a few."""


@dataclass(frozen=True)
class KindOfTest:
    """A kind of test.

    ``of`` are the sections of the layout whose parts it is of, empty where points are named freely; ``words`` are what
    can be found, the first of them what must be; ``expects`` is what a word has to be otherwise (``NAME``, ``HASH``,
    ``ANY``); ``answers``: whether the words of its points must be "alike" or "apart".  ``under`` is the condition in
    which it is taken, ``tolerance`` how far the curve may be off, ``spread`` how far its points may lie apart;
    ``gate`` is that of the rule about it; a ``firm`` limit, one of a regulation, a layout may tighten and not widen.
    """

    name: str
    of: tuple[str, ...] = ()
    quantity: Dimension | None = None
    limit: str = ""
    words: tuple[str, ...] = ()
    expects: str = ""
    answers: str = ""
    instrument: str = "eyes"
    condition: Dimension | None = None
    under: str = ""
    tolerance: str = ""
    spread: str = ""
    curve: str = ""
    gate: str = PLUG
    firm: bool = False


_OHM, _KELVIN, _WARMTH = Dimension.RESISTANCE, Dimension.TEMPERATURE_DIFFERENCE, Dimension.TEMPERATURE
_KINDS = (
    KindOfTest("sense wire", ("taps",), _OHM, "at most 1 Ω", instrument="ohmmeter"),
    KindOfTest("sense link", ("taps",), Dimension.CURRENT, curve="harness fuse"),
    KindOfTest("probe at rest", ("probes",), _OHM, instrument="ohmmeter", condition=_WARMTH, tolerance="2 K",
               curve="probe"),
    KindOfTest("probe warmed by hand", ("probes",), expects=NAME, answers="apart"),
    KindOfTest("probe response", ("probes",), Dimension.TIME, "at most 60 s", instrument="clock"),
    KindOfTest("vent line", ("vents", "positions"), words=("free", "blocked", "off", "kinked")),
    KindOfTest("vent outlet", ("vents",), words=("outside", "inside")),
    KindOfTest("module case", ("positions",), words=("sound", "wet", "residue", "cracked", "swollen"), gate=BARS),
    KindOfTest("module side", ("positions",), words=("vent up", "vent down", "on its side"), gate=BARS),
    KindOfTest("module thickness", ("positions",), Dimension.LENGTH, instrument="caliper", gate=BARS),
    KindOfTest("module warmth", ("positions",), _KELVIN, "at most 3 K", instrument="thermometer", gate=BARS),
    KindOfTest("module rest time", ("positions",), Dimension.TIME, "at least 1 h", instrument="clock", gate=BARS),
    KindOfTest("module mass", ("positions",), Dimension.MASS, instrument="scales", curve="mass", gate=BARS),
    KindOfTest("module lot", ("positions",), expects=ANY, answers="alike", gate=BARS),
    KindOfTest("load step", ("positions",), _OHM, instrument="load tester", condition=_WARMTH,
               under="21 °C to 25 °C", curve="load step", gate=BARS),
    KindOfTest("clamp corners", (), Dimension.LENGTH, instrument="caliper", spread="0.5 mm", gate=BARS),
    KindOfTest("spacers", (), Dimension.COUNT, instrument="count", gate=BARS),
    KindOfTest("air path", (), words=("free", "blocked", "part missing"), gate=RELEASE),
    KindOfTest("run of a wire", (), words=("free", "tight", "pinched", "over an edge")),
    KindOfTest("enclosure seal", (), words=("sound", "damaged", "missing"), gate=RELEASE),
    KindOfTest("label", (), words=("in place", "missing", "wrong"), gate=RELEASE),
    KindOfTest("bond", (), _OHM, "at most 0.1 Ω", instrument="micro-ohmmeter", condition=Dimension.CURRENT,
               under="at least 0.2 A", gate=CLOSE, firm=True),
    KindOfTest("earth bonds", (), Dimension.COUNT, "1", instrument="count"),
    KindOfTest("interlock, plug out", (), words=("open", "closed")),
    KindOfTest("interlock, plug in", (), words=("closed", "open"), gate=CLOSE),
    KindOfTest("disconnect latch", ("devices",), words=("latched", "not latched"), gate=CLOSE),
    KindOfTest("fuse body", ("devices",), _OHM, instrument="micro-ohmmeter", tolerance="50 %", curve="device"),
    KindOfTest("coil suppressor", ("devices",), words=("right way", "reversed", "missing", "wrong type", "shorted")),
    KindOfTest("coil", ("devices",), _OHM, instrument="ohmmeter"),
    KindOfTest("resistor", ("devices",), _OHM, instrument="ohmmeter", tolerance="5 %", curve="device"),
    KindOfTest("precharge", ("devices",), Dimension.VOLTAGE, instrument="multimeter", condition=Dimension.VOLTAGE,
               tolerance="25 %", curve="precharge", gate=RELEASE),
    KindOfTest("discharge", (), Dimension.VOLTAGE, "at most 60 V", instrument="multimeter", gate=RELEASE,
               firm=True),
    KindOfTest("current sensor", ("devices",), Dimension.CURRENT, instrument="monitor", gate=RELEASE),
    KindOfTest("acid density", ("positions",), Dimension.DENSITY, instrument="hydrometer", condition=_WARMTH,
               spread="0.010 g/cm³", curve="acid density", gate=BARS),
    KindOfTest("conductance", ("positions",), Dimension.CONDUCTANCE, instrument="conductance tester",
               curve="conductance", gate=BARS),
    KindOfTest("address", ("positions",), expects=NAME, answers="apart"),
    KindOfTest("neutraliser", (), words=("boric acid", "vinegar", "bicarbonate", "none"), curve="neutraliser",
               gate=BARS),
    KindOfTest("cleaning", (), words=("clean", "swarf", "dust", "residue"), gate=RELEASE),
    KindOfTest("humidity", (), Dimension.RATIO, "at most 60 %", instrument="hygrometer", gate=RELEASE),
    KindOfTest("re-check method", ("joints",), words=("at set-point", "backed off first"), gate=RELEASE),
    KindOfTest("photo", (), expects=HASH, answers="apart", gate=RELEASE),
)  # fmt: skip

KINDS_OF_TEST: Mapping[str, KindOfTest] = {kind.name: kind for kind in _KINDS}
"""Every kind of test by its name."""
