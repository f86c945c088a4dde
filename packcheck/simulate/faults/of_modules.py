"""Faults of the modules themselves: cells, charge, capacity, resistance, cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from packcheck.model.pack.types import ModuleType
from packcheck.simulate.build import Build, TrueModule
from packcheck.simulate.drawn import loss_v_day
from packcheck.simulate.faults import spots
from packcheck.simulate.faults.fault import FIX, NEVER, Data, Fault, parts_of
from packcheck.simulate.meters import Figure

REST, REST_AFTER = 3, 0.045
"""Column of the rest voltage; volts a cell that a charge leaves for an hour or two (common practice)."""


def _kind(build: Build, position: str) -> ModuleType:
    return build.pack.module_type_at(position)


def _of_many_cells(build: Build) -> Sequence[str]:
    return tuple(p for p in build.modules if _kind(build, p).cells > 2 and not spots.mates(build, p))


def _lose_cells(build: Build, place: str, cells: int, ohm: float) -> Build:
    module, kind = build.modules[place], _kind(build, place)
    left = 1 - cells / kind.cells
    return build.with_module(place, emf_v=module.emf_v * left, resistance_ohm=module.resistance_ohm * ohm)


def _one_shorted(build: Build, place: str, _random: Random) -> Build:
    cells = _kind(build, place).cells
    return _lose_cells(build, place, 1, (cells - 1) / cells)


def _two_shorted(build: Build, place: str, _random: Random) -> Build:
    cells = _kind(build, place).cells
    return _lose_cells(build, place, 2, (cells - 2) / cells)


def _cell_turned(build: Build, place: str, _random: Random) -> Build:
    return _lose_cells(build, place, 2, 1.0)


def _low_charge(build: Build, place: str, random: Random) -> Build:
    cells = _kind(build, place).cells
    return build.with_module(place, emf_v=build.modules[place].emf_v - cells * random.uniform(0.05, 0.07))


def _leaky(build: Build, place: str, random: Random) -> Build:
    kind = _kind(build, place)
    return build.with_module(place, loses_v_day=max(0.012 * kind.cells, 6 * loss_v_day(kind)) * random.uniform(1, 1.5))


def _small(build: Build, place: str, random: Random) -> Build:
    return build.with_module(place, capacity_ah=build.modules[place].capacity_ah * random.uniform(0.55, 0.78))


def _stiff(build: Build, place: str, random: Random) -> Build:
    module = build.modules[place]
    return build.with_module(
        place, resistance_ohm=module.resistance_ohm * random.uniform(1.7, 2.6), mass_g=module.mass_g * 0.975
    )


def _wet(build: Build, place: str, random: Random) -> Build:
    node = f"{place}.{build.modules[place].minus}"
    return replace(build, leaks=(*build.leaks, (node, random.uniform(8e3, 40e3))))


def _swollen(build: Build, place: str, random: Random) -> Build:
    more = random.uniform(1.2, 2.5)
    build = build.with_module(place, thicker_mm=more)
    return replace(build, clamp_mm=(build.clamp_mm or 0.0) + more)


def _clamped(build: Build) -> Sequence[str]:
    return tuple(build.modules) if build.clamp_mm is not None else ()


def _other_type(build: Build) -> Sequence[str]:
    return tuple(p for p in spots.single(build) if _another(build, p))


def _another(build: Build, position: str, *, chemistry: bool = False) -> ModuleType | None:
    own = _kind(build, position)
    others = [k for k in build.pack.module_types.values() if k.name != own.name and set(k.posts) == set(own.posts)]
    return next((k for k in others if (k.chemistry != own.chemistry) is chemistry), None)


def _put_type(build: Build, place: str, other: ModuleType) -> Build:
    own, module = _kind(build, place), build.modules[place]
    share = (module.emf_v - own.rest_middle_v) / own.rest_middle_v
    mass_g = module.mass_g * other.cells / own.cells
    emf_v = other.rest_middle_v * (1 + share)
    return build.with_module(place, type=other.name, emf_v=emf_v, resistance_ohm=other.resistance_ohm, mass_g=mass_g)


def _of_other_type(build: Build, place: str, _random: Random) -> Build:
    other = _another(build, place)
    return _put_type(build, place, other) if other else build


def _of_other_chemistry(build: Build, place: str, _random: Random) -> Build:
    other = _another(build, place, chemistry=True)
    return _put_type(build, place, other) if other else build


def _other_chemistry(build: Build) -> Sequence[str]:
    return tuple(p for p in spots.single(build) if _another(build, p, chemistry=True))


def _lithium(build: Build) -> Sequence[str]:
    return tuple(p for p in spots.single(build) if _kind(build, p).chemistry in ("NMC", "LFP", "NCA", "LCO")
                 and _kind(build, p).cells == 1)  # fmt: skip


def _collapsed(build: Build, place: str, random: Random) -> Build:
    return build.with_module(place, emf_v=random.uniform(0.6, 1.6))


def _unequal(build: Build, place: str, random: Random) -> Build:
    ohm = 2 * build.modules[place].resistance_ohm
    surge = (build.pack.surge_limit_a or 50.0) * random.uniform(2.5, 4)
    return build.with_module(place, emf_v=build.modules[place].emf_v + surge * ohm)


def _sulphated(build: Build, place: str, random: Random) -> Build:
    module = build.modules[place]
    return build.with_module(place, emf_v=_kind(build, place).cells * random.uniform(1.90, 1.97),
                             capacity_ah=module.capacity_ah * 0.5)  # fmt: skip


def _lead_acid(build: Build) -> Sequence[str]:
    return tuple(p for p in build.modules if _kind(build, p).chemistry in ("lead-acid", "AGM", "gel"))


def _too_soon(data: Data, _place: str, _random: Random) -> Data:
    """Return a record whose modules were read an hour after their charge: each higher than it was in the pack."""
    rows = {name: [*row[:REST], Figure(f"{float(row[REST]) * 1.03:.3f}"), *row[REST + 1:]]
            if name not in ("columns", "taken") and isinstance(row, list) and row[REST] is not None else row
            for name, row in data["modules"].items()}  # fmt: skip
    return {**data, "modules": rows}


def _new_and_old(build: Build, _place: str, _random: Random) -> Build:
    """Return the build with every third module from a new delivery."""
    modules: dict[str, TrueModule] = dict(build.modules)
    for name in list(modules)[::3]:
        kind, module = _kind(build, name), modules[name]
        modules[name] = replace(module, capacity_ah=(kind.capacity_ah or module.capacity_ah) * 1.04,
                                resistance_ohm=kind.resistance_ohm * 0.9)  # fmt: skip
    rest = [name for name in modules if name not in list(modules)[::3]]
    for name in rest:
        modules[name] = replace(modules[name], capacity_ah=modules[name].capacity_ah * 0.86)
    return replace(build, modules=modules)


def _other_method(data: Data, _place: str, _random: Random) -> Data:
    """Return a record in which half the resistances were read with a meter of one kilohertz: about half as much."""
    columns = data["modules"]["columns"]
    if "resistance mΩ" not in columns:
        return data
    index, rows = columns.index("resistance mΩ"), dict(data["modules"])
    names = [n for n, row in rows.items() if n not in ("columns", "taken") and isinstance(row, list)]
    for name in names[: (len(names) * 2) // 3]:
        row = [*rows[name]]
        row[index] = Figure(f"{float(row[index]) * 0.52:.3f}")
        rows[name] = row
    return {**data, "modules": rows}


M = "modules"
LOW = ("module-unlike-its-kind", "rest-voltage-outside-window")
FAULTS = (
    Fault("cell-shorted", M, "One cell of a module is shorted", "nothing shows", FIX, 3, _of_many_cells, _one_shorted,
          looked=False, rules=LOW, near=("module-of-other-type", "charge-low", "two-cells-shorted"),
          settles="the difference in whole cells; resistance; the reading a day after a charge"),
    Fault("two-cells-shorted", M, "Two cells of a module are shorted", "nothing shows", NEVER, 4, _of_many_cells,
          _two_shorted, looked=False, rules=LOW, near=("cell-turned", "cell-shorted"),
          settles="resistance under load: a short lowers it"),
    Fault("cell-turned", M, "One cell is built into a module backwards", "nothing shows", NEVER, 5, _of_many_cells,
          _cell_turned, looked=False, rules=LOW, near=("two-cells-shorted",),
          settles="resistance under load: a turned cell keeps it"),
    Fault("charge-low", M, "A module has less charge than the others", "nothing shows", FIX, 3, spots.single,
          _low_charge, looked=False, rules=(*LOW, "reading-unlike-its-kind"), near=("cell-shorted", "self-discharge"),
          settles="a charge, a day of rest, the reading again"),
    Fault("self-discharge", M, "A module discharges itself", "nothing shows; the voltage is right today", FIX, 5,
          spots.single, _leaky, looked=False, rules=("module-loses-charge",), near=("charge-low",), takes="rest again",
          settles="its voltage again after some days"),
    Fault("capacity-low", M, "A module holds too little", "nothing shows; the voltage is right", FIX, 4,
          spots.positions, _small, looked=False, rules=("module-capacity-low",), near=("resistance-high",),
          takes="capacity", settles="a discharge of all modules at one current"),
    Fault("resistance-high", M, "A module has too much resistance", "a little light; the voltage is right", FIX, 4,
          spots.positions, _stiff, looked=False, rules=("module-resistance-high",),
          near=("nut-finger-tight", "capacity-low"), takes="resistance", settles="a load step at its own posts"),
    Fault("electrolyte-leak", M, "A module leaks to the case", "white residue; damp", NEVER, 5, spots.positions, _wet,
          looked=False, rules=("isolation-low", "isolation-under-floor"),
          near=("sense-lead-pinched", "swarf", "two-leaks"), takes="isolation",
          settles="both poles to the chassis, per half"),
    Fault("case-swollen", M, "A module has swollen", "the stack is longer than its gauge", FIX, 3, _clamped, _swollen,
          looked=False, rules=("clamp-length-off",), near=("spacer-doubled", "clamp-loose"),
          settles="thickness of each module"),
    Fault("case-cracked", M, "A case or post seal is cracked", "hairline at the post", NEVER, 4,
          unseen="no column of a record tells of the case; a hold test of each module would"),
    Fault("hot-at-rest", M, "A module is warm with nothing flowing", "warmer than its neighbours", NEVER, 5,
          unseen="no column of a record tells of temperatures; one for each module after two hours of rest would"),
    Fault("read-too-soon", M, "The modules were read too soon after their charge", "all high, and falling", FIX, 4,
          spots.whole, slip=_too_soon, rules=("reading-apart-from-modules", "reading-disagrees",
                                              "rest-voltage-outside-window", "module-loses-charge"),
          near=("meter-out-of-scale",), settles="the modules again after a night"),
    Fault("mixed-methods", M, "Resistances were read in two ways", "two groups of numbers", FIX, 5, spots.whole,
          slip=_other_method, rules=("module-resistance-high",), near=("new-and-old-mixed",), takes="resistance",
          settles="all modules by one method on one day"),
    Fault("new-and-old-mixed", M, "New modules stand among old ones", "two groups of capacities", FIX, 5, spots.whole,
          _new_and_old, looked=False, rules=(),
          near=("mixed-methods", "capacity-low"), takes="capacity", blind="voltages at rest do not tell age",
          settles="the capacities, sorted"),
    Fault("module-of-other-type", M, "A module is of another type", "same case, another label", FIX, 2, _other_type,
          _of_other_type, rules=("module-wrong-type",), believed=(*LOW, "reading-disagrees"),
          near=("cell-shorted",), settles="label, mass, length"),
    Fault("chemistry-other", M, "A cell is of another chemistry", "same can, another label", NEVER, 3,
          _other_chemistry, _of_other_chemistry, rules=("module-wrong-chemistry", "module-wrong-type"),
          believed=LOW, near=("module-of-other-type", "charge-low"), settles="label; voltage at another charge"),
    Fault("cell-collapsed", M, "A cell was once discharged to nothing", "nothing shows", NEVER, 3, _lithium,
          _collapsed, looked=False, rules=("cell-voltage-collapsed",), near=("charge-low",),
          settles="nothing: it is not charged again"),
    Fault("group-unequal", M, "A member of a group has another voltage than the rest", "a spark when the bar goes on",
          NEVER, 3, spots.grouped, _unequal, looked=False, rules=("group-surge",), near=("charge-low",),
          settles="the members again, one meter, before the bar"),
    Fault("sulphated", M, "A lead-acid block stood empty", "nothing shows", FIX, 3, _lead_acid, _sulphated,
          looked=False, rules=("lead-acid-deeply-discharged", *LOW), near=("charge-low", "cell-shorted"),
          settles="a charge, a day of rest, a capacity test"),
    Fault("two-leaks", M, "Two modules leak to the case", "each of them a little", NEVER, 6, spots.apart,
          lambda build, place, random: _wet(_wet(build, parts_of(place)[0], random), parts_of(place)[1], random),
          looked=False, rules=("isolation-low", "isolation-under-floor"), near=("electrolyte-leak",),
          takes="isolation", settles="both poles to the chassis, per half: a single leak leaves one half clean"),
)  # fmt: skip
