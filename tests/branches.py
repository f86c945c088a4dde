"""Branches beside the main path, for the regular layouts of the tests: what real packs have besides their mains."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from workshop import Data

VOLTS, BREAKS = "1000 V", "200 kA"
"""Rating of the small fuses: enough for every regular layout."""


def with_branches(layout: Data, names: Iterable[str]) -> Data:
    """Return a layout with some branches, each by its name in ``BRANCHES``."""
    grown = {**layout, **{key: dict(layout.get(key, {})) for key in ("leads", "devices", "outlets", "states")}}
    for name in names:
        BRANCHES[name](grown)
    return {key: value for key, value in grown.items() if value != {}}


def middle_post(layout: Data) -> str:
    """Return the post on which the first lead to a disconnect lands: the middle of the string."""
    ways = [row["lands"] for section in ("leads", "bars") for row in layout.get(section, {}).values()]
    return next(node for lands in ways for node in lands
                if any(end.startswith(("SD.", "DS1.")) for end in lands) and "." in node
                and not node.startswith(("SD.", "DS1.")))  # fmt: skip


def _fuse(amperes: int) -> Data:
    return {"kind": "fuse", "rating": f"{amperes} A", "volts": VOLTS, "breaks": BREAKS}


def _leads(layout: Data, prefix: str, *ways: tuple[str, str]) -> None:
    layout["leads"].update({f"{prefix}{number}": {"lands": list(way)} for number, way in enumerate(ways, 1)})


def _converter(layout: Data) -> None:
    """An auxiliary converter behind a fuse of its own, always joined."""
    _leads(layout, "WC", ("K1.1", "F2.1"))
    layout["devices"]["F2"] = _fuse(20)
    layout["outlets"]["converter"] = {"plus": "F2.2", "minus": "K2.2", "rating": "25 A"}


def _charge_inlet(layout: Data) -> None:
    """A charge inlet with a contactor in each pole."""
    _leads(layout, "WI", ("K1.1", "F3.1"), ("F3.2", "K3.1"), ("K2.2", "K4.1"))
    layout["devices"] |= {"F3": _fuse(40), "K3": {"kind": "contactor"}, "K4": {"kind": "contactor"}}
    layout["outlets"]["inlet"] = {"plus": "K3.2", "minus": "K4.2", "rating": "40 A"}
    layout["states"]["charging"] = {"closed": [*layout["states"]["plug in"]["closed"], "K3", "K4"]}


def _centre_tap(layout: Data) -> None:
    """A lead from the middle of the string, with its fuse."""
    _leads(layout, "WT", (middle_post(layout), "F5.1"))
    layout["devices"]["F5"] = _fuse(10)
    layout["outlets"]["centre"] = {"plus": "F5.2"}


def _heater(layout: Data) -> None:
    """A heater with its fuse and its contactor."""
    _leads(layout, "WH", ("K1.1", "F4.1"), ("F4.2", "K5.1"), ("K5.2", "H1.1"), ("H1.2", "K2.2"))
    heater = {"kind": "heater", "resistance": "80 Ω"}
    layout["devices"] |= {"F4": _fuse(16), "K5": {"kind": "contactor"}, "H1": heater}


def _precharge(layout: Data) -> None:
    """A precharge contactor in series with its resistor, beside a main contactor."""
    _leads(layout, "WP", ("K1.1", "KP.1"), ("KP.2", "RP.1"), ("RP.2", "K1.2"))
    layout["devices"] |= {"KP": {"kind": "contactor"}, "RP": {"kind": "precharge resistor", "resistance": "47 Ω"}}
    layout["states"]["precharge"] = {"closed": [*layout["states"]["plug in"]["closed"], "K2", "KP"]}


def _monitor(layout: Data) -> None:
    """An isolation monitor from the negative side to the chassis."""
    _leads(layout, "WM", ("K2.2", "IM.1"), ("IM.2", "chassis"))
    layout["devices"]["IM"] = {"kind": "isolation monitor", "resistance": "1 MΩ"}


def _earthed_middle(layout: Data) -> None:
    """The middle of the string bonded to the frame."""
    _leads(layout, "WB", (middle_post(layout), "EB.1"), ("EB.2", "chassis"))
    layout["devices"]["EB"] = {"kind": "bond"}


def _interlock(layout: Data) -> None:
    """An interlock loop of two contacts, fed from outside."""
    _leads(layout, "WL", ("I1.2", "I2.1"))
    layout["devices"] |= {"I1": {"kind": "interlock contact"}, "I2": {"kind": "interlock contact"}}
    layout["outlets"]["interlock"] = {"plus": "I1.1", "minus": "I2.2", "fed by": "outside"}
    for state in ("plug in", "live"):
        layout["states"][state] = {"closed": [*layout["states"][state]["closed"], "I1", "I2"]}


def _insulated_bars(layout: Data) -> None:
    """Bars that are insulated but for their landings."""
    layout["bar types"] = {name: {**kind, "insulated": True} for name, kind in layout["bar types"].items()}


BRANCHES: dict[str, Callable[[Data], None]] = {
    "converter": _converter,
    "charge inlet": _charge_inlet,
    "centre tap": _centre_tap,
    "heater": _heater,
    "precharge in series": _precharge,
    "isolation monitor": _monitor,
    "earthed middle": _earthed_middle,
    "interlock": _interlock,
    "insulated bars": _insulated_bars,
}
