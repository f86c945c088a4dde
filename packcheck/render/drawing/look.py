"""How each part of a pack is to be drawn: as the layout plans it, or as a record says it was fitted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from packcheck.model.pack.model import Pack
from packcheck.model.record.model import FittedConductor, FittedModule, Record

DRAWN, GONE, UNKNOWN = "drawn", "gone", "unknown"
LATER, BARE, UNDER, CAPPED = "later", "bare", "under", "capped"
"""Inks of a pack in the work: not there yet, bare metal, under a cover, under a cap."""
SHADES = tuple(f"shade-{number}" for number in range(5))
"""Inks of modules and metal that stand for something counted, the lightest first; the page that shows them has them."""


@dataclass(frozen=True)
class Sign:
    """The polarity at a place, and whether it was seen; one that was only planned is drawn in outline."""

    sign: str
    seen: bool = True


@dataclass(frozen=True)
class Look:
    """How parts look.

    ``of_what``: a plan, a record, or the work at one step.  ``ink`` by part: drawn (the usual), gone (not fitted),
    unknown (not recorded), and in the work later, bare, under (a cover), capped.  ``signs`` by place, where they are
    otherwise than planned or not seen.  ``lands`` by conductor: the nodes it was found on, where these are others than
    planned; ``strays`` are conductors that the layout lacks.  ``words`` are told with a part, ``after`` is written
    behind its name; ``lit`` are the parts in hand.
    """

    ink: Mapping[str, str] = field(default_factory=dict)
    signs: Mapping[str, Sign] = field(default_factory=dict)
    lands: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    strays: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    after: Mapping[str, str] = field(default_factory=dict)
    lit: frozenset[str] = frozenset()
    of_what: str = "plan"

    @property
    def is_record(self) -> bool:
        """Return whether it is that of a record."""
        return self.of_what == "record"

    @property
    def is_work(self) -> bool:
        """Return whether it is that of the work at one step."""
        return self.of_what == "work"

    def of(self, name: str) -> str:
        """Return how a part looks."""
        return self.ink.get(name, DRAWN)


def as_recorded(pack: Pack, record: Record, lit: frozenset[str] = frozenset()) -> Look:
    """Return the look of a build: what is fitted, what is not, and what nobody wrote down."""
    ink: dict[str, str] = {}
    signs: dict[str, Sign] = {}
    words: dict[str, str] = {}
    for position in pack.positions.values():
        module = record.modules.get(position.name)
        ink[position.name] = _fitted(module.fitted if module else None)
        words[position.name] = _module_words(module)
        plus = module.plus if module else None
        for post in (position.plus, position.minus):
            sign = "+" if post == (plus or position.plus) else "−"
            signs[f"{position.name}.{post}"] = Sign(sign, plus is not None)
    for table, known in ((record.devices, pack.devices), (record.covers, pack.covers)):
        for name in known:
            fitted = table.get(name)
            ink[name] = _fitted(fitted.fitted if fitted else None)
    lands, strays = {}, {}
    for name in pack.conductors:
        conductor = record.conductors.get(name)
        ink[name] = _fitted(conductor.fitted if conductor else None)
        if conductor and _moved(pack, conductor):
            assert conductor.lands is not None
            lands[name] = conductor.lands
    for name, conductor in record.conductors.items():
        if name not in pack.conductors and conductor.fitted is not False and conductor.lands:
            strays[name] = conductor.lands
    return Look(ink, signs, lands, strays, words, lit=lit, of_what="record")


def _fitted(fitted: bool | None) -> str:
    return {True: DRAWN, False: GONE, None: UNKNOWN}[fitted]


def _moved(pack: Pack, conductor: FittedConductor) -> bool:
    planned = {landing.node for landing in pack.conductors[conductor.name].lands}
    return conductor.lands is not None and set(conductor.lands) != planned


def _module_words(module: FittedModule | None) -> str:
    if module is None:
        return ""
    told = [f"serial {module.serial}" if module.serial else "", module.type or ""]
    if module.rest_v:
        told.append(f"{module.rest_v.value:.3g} V at rest")
    return ", ".join(filter(None, told))
