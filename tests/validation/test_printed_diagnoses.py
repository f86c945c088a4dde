"""Printed circuits with something amiss, as records of packs: from the printed readings the right cause is named.

* UP2: OpenStax, University Physics, volume 2, section 10.3, problems: two sources with one of them reversed; three
  cells of 1.58 V with a fourth of 1.53 V and 0.100 Ω.
* CP: OpenStax, College Physics 2e, section 21.2, problem: a starter motor and its corroded connections.
* LIEC: T. R. Kuphaldt, Lessons in Electric Circuits, volume I, DC, chapter 11, battery ratings: a voltmeter without and
  with a load.

The resistances of bars, leads and joints are made next to nothing, so that the printed numbers hold.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from workshop import Data, pack_of, record_of

from packcheck.diagnosis.answer import Diagnosis, diagnose

NOTHING = "1 µΩ"


def layout(
    modules: Sequence[tuple[str, str]], bars: dict[str, list[str]], devices: dict[str, Data] | None = None
) -> Data:
    """Return a layout of modules (voltage, resistance) by their places, P1 on; mains at K1 and K2."""
    types = {f"cell{i}": {"chemistry": "NiMH", "cells": 1, "nominal": volts, "rest": f"{volts} to {volts}",
                          "highest": "20 V", "resistance": ohm, "size": ["20 mm", "20 mm", "50 mm"],
                          "posts": {"A": {"at": ["5 mm", "5 mm", "50 mm"], "face": "T", "joint": "post"},
                                    "B": {"at": ["15 mm", "5 mm", "50 mm"], "face": "T", "joint": "post"}}}
             for i, (volts, ohm) in enumerate(modules, 1)}  # fmt: skip
    contactor = {"kind": "main contactor", "resistance": NOTHING}
    return {
        "layout": 1, "name": "printed", "revision": 1, "faces": {"T": "top"}, "module types": types,
        "joint types": {"post": {"thread": "M5", "resistance": NOTHING}},
        "positions": {f"P{i}": {"module": f"cell{i}", "first at": [f"{30 * i} mm", "0 mm", "0 mm"], "plus at": "A"}
                      for i in range(1, len(modules) + 1)},
        "bars": {name: {"lands": lands, "resistance": NOTHING} for name, lands in bars.items()},
        "devices": {"K1": contactor, "K2": contactor, **(devices or {})},
        "outside": {"main+": "K1.2", "main-": "K2.1"},
        "states": {"open": {"closed": []}, "live": {"closed": ["K1", "K2"]}},
    }  # fmt: skip


def read(drawn: Data, rests: Sequence[str], readings: dict[str, list[str]]) -> Diagnosis:
    """Return the diagnosis of a record that says all is as drawn; readings are [between, and, value, state, load]."""
    pack = pack_of(drawn)
    record: Data = {
        "record": 1, "layout": pack.file, "of": {"name": "printed", "revision": 1, "pack": "P"},
        "people": {"MK": "fitter"},
        "instruments": {"V1": {"kind": "multimeter", "accuracy": "1 mV", "due": "2027-02-01"}},
        "modules": {"columns": ["plus at", "rest V"], "taken": {"at": "2026-10-05", "by": "MK", "with": {"rest": "V1"}},
                    **{f"P{i}": ["A", volts] for i, volts in enumerate(rests, 1)}},
        "bars": dict.fromkeys(drawn["bars"], "as drawn"),
        "devices": dict.fromkeys(drawn["devices"], "as drawn"),
        "readings": {
            name: {"between": plus, "and": minus, "value": value, "state": state, "with": "V1",
                   "at": "2026-10-05 14:00", "by": "MK", **({"load": load[0]} if load else {})}
            for name, (plus, minus, value, state, *load) in readings.items()},
    }  # fmt: skip
    record["modules"] = {k: [v[0], float(v[1])] if isinstance(v, list) and k.startswith("P") else v
                         for k, v in record["modules"].items()}  # fmt: skip
    return diagnose(record_of(record, pack))


def test_up2_one_of_two_sources_reversed() -> None:
    """1.6 V behind 1 kΩ and 1.4 V behind 1 kΩ on 2 kΩ: 0.6 mA x 2 kΩ is 1.2 V; with the 1.4 V reversed, 0.04 mA."""
    sources = layout([("1.6 V", "1 kΩ"), ("1.4 V", "1 kΩ")],
                     {"BP": ["P1.A", "P2.A", "H1.1", "K1.1"], "BN": ["P1.B", "P2.B", "H1.2", "K2.2"]},
                     {"H1": {"kind": "heater", "resistance": "2 kΩ"}})  # fmt: skip
    assert read(sources, ["1.6", "1.4"], {"V": ["H1.1", "H1.2", "1.2 V", "open"]}).nothing_needed
    found = read(sources, ["1.6", "1.4"], {"V": ["H1.1", "H1.2", "0.08 V", "open"]})
    assert next((fit.hypothesis.kind, fit.hypothesis.parts) for fit in found.fits) == ("module turned", ("P2",))
    assert not {fit.hypothesis.kind for fit in found.fits} & {"joint open", "module open", "sign or leads"}


def test_up2_a_weak_cell_among_four() -> None:
    """0.617 A leaves 1.58 - 0.617 x 0.020 V at the three good cells, and 1.53 - 0.617 x 0.100 V at the bad one."""
    chain = {"B1": ["P1.A", "P2.B"], "B2": ["P2.A", "P3.B"], "B3": ["P3.A", "P4.B"],
             "BN": ["P1.B", "K2.2"], "BP": ["P4.A", "K1.1"]}  # fmt: skip
    drawn = layout([("1.58 V", "20 mΩ")] * 4, chain)
    good, bad = 1.58 - 0.617 * 0.020, 1.53 - 0.617 * 0.100
    loaded = {f"C{i}": [f"P{i}.A", f"P{i}.B", f"{volts:.5f} V", "live", "0.617 A"]
              for i, volts in enumerate([good, good, good, bad], 1)}  # fmt: skip
    found = read(drawn, ["1.58", "1.58", "1.58", "1.53"], loaded)
    kinds = {(fit.hypothesis.kind, fit.hypothesis.parts) for fit in found.fits}
    assert ("module resistance high", ("P4",)) in kinds
    assert {part for _, parts in kinds for part in parts if part.startswith("P")} == {"P4"}
    size = next(fit.size for fit in found.fits if fit.hypothesis.kind == "module resistance high")
    assert size == pytest.approx(0.100 - 0.020, abs=0.011)


def test_cp_corroded_connections_of_a_starter_motor() -> None:
    """12.0 V behind 0.0100 Ω: 80.0 A through 0.0900 Ω of corrosion leave 11.2 V at the posts, 4.0 V at the motor."""
    drawn = layout([("12.0 V", "10 mΩ")], {"BP": ["P1.A", "K1.1"], "BN": ["P1.B", "K2.2"]})
    found = read(drawn, ["12.0"], {"posts": ["P1.A", "P1.B", "11.2 V", "live", "80.0 A"],
                                   "motor": ["K1.2", "K2.1", "4.0 V", "live", "80.0 A"]})  # fmt: skip
    kinds = {fit.hypothesis.kind for fit in found.fits}
    assert "joint resistance high" in kinds
    assert "module resistance high" not in kinds
    assert all(fit.size == pytest.approx(0.0900, abs=0.002) for fit in found.fits
               if fit.hypothesis.kind == "joint resistance high")  # fmt: skip
    sound = read(drawn, ["12.0"], {"posts": ["P1.A", "P1.B", "10.0 V", "live", "200 A"],
                                   "motor": ["K1.2", "K2.1", "10.0 V", "live", "200 A"]})  # fmt: skip
    assert sound.nothing_needed


@pytest.mark.parametrize(("emf", "ohm", "shown"), [(13.2, 0.1, 13.187), (13.0, 5.0, 12.381), (11.5, 20.0, 9.583),
                                                   (7.5, 50.0, 5.0)])  # fmt: skip
def test_liec_a_voltmeter_without_and_with_a_load_of_100_ohm(emf: float, ohm: float, shown: float) -> None:
    """The record says 0.1 Ω; the reading under load names the rest, for the good battery nothing."""
    drawn = layout([(f"{emf} V", "0.1 Ω")], {"BP": ["P1.A", "K1.1"], "BN": ["P1.B", "K2.2"]})
    found = read(drawn, [str(emf)], {"rest": ["P1.A", "P1.B", f"{emf} V", "live"],
                                     "load": ["P1.A", "P1.B", f"{shown} V", "live", f"{shown / 100:.6f} A"]},
                 )  # fmt: skip
    if ohm == 0.1:
        assert found.nothing_needed
        return
    best = found.fits[0]
    assert (best.hypothesis.kind, best.hypothesis.parts) == ("module resistance high", ("P1",))
    assert 0.1 + best.size == pytest.approx(ohm, rel=0.02)
