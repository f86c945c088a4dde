"""A true build -> the record that its team writes of it.

What was *looked at* is told as ``seen`` has it: the build itself where the team looked well, the drawing where they
took it for granted.  What was *measured* or *counted* comes from the build itself, through real instruments.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import timedelta
from math import isinf
from random import Random
from typing import Any

from packcheck.model.pack.parts import capped_places, needed_parts
from packcheck.simulate.build import Build
from packcheck.simulate.calendar import calendar
from packcheck.simulate.drawn import joint_kind
from packcheck.simulate.measuring import isolation_rows, load_rows, reading_rows
from packcheck.simulate.meters import Figure, shown
from packcheck.simulate.oddities import add_oddities
from packcheck.simulate.people import team_of, with_papers
from packcheck.simulate.scribe import Bench, Scribe, stamp
from packcheck.simulate.vents import vent_rows

Data = dict[str, Any]
DRAWN, GONE = "as drawn", "not fitted"


def write_record(
    bench: Bench, seed: str, build: Build, *, seen: Build | None = None, wanted: Collection[str] = ()
) -> Data:
    """Return the record of a build: each table in its place, those that the layout has no use for left out.

    Parameters
    ----------
    bench : the layout.
    seed : what people, instruments, times, noise and oddities are drawn from.
    build : the build as it stands.
    seen : what was told of all that was looked at; the build itself where left out.
    wanted : optional readings that were taken, of ``OPTIONAL``; isolation is read wherever the layout asks for it.
    """
    return _Writer(scribe_of(bench, seed, build, seen or build, wanted)).record()


def scribe_of(bench: Bench, seed: str, build: Build, seen: Build, wanted: Collection[str]) -> Scribe:
    """Return who writes the record of a build: team and times as the seed draws them."""
    asked = frozenset(wanted) | ({"isolation"} if bench.pack.insulation.least_ohm_per_v else set())
    when = calendar(bench.pack, bench.steps, bench.plan.states, Random(f"{seed}: calendar"))
    team = team_of(bench.pack, when.first, Random(f"{seed}: team"))
    return Scribe(bench, seed, build, seen, asked, when, team)


class _Writer:
    """Writes the tables of one record."""

    def __init__(self, scribe: Scribe) -> None:
        self.scribe = scribe
        self.pack, self.build, self.seen = scribe.pack, scribe.build, scribe.seen
        self.team, self.when, self.wanted = scribe.team, scribe.when, scribe.wanted

    def record(self) -> Data:
        random = self.scribe.random
        serial = f"{self.pack.name[:2].upper()}-{self.scribe.random('serial').randrange(100, 9999):04d}"
        data: Data = {
            "record": 1,
            "layout": self.pack.file.replace("\\", "/").rpartition("/")[2],
            "of": {"name": self.pack.name, "revision": self.pack.revision, "pack": serial},
            "people": self.team.people,
            **({"extra": Figure("none")} if not self.seen.stray else {}),
            "instruments": with_papers(self.team, self.wanted, self.when.first, random("papers")),
            "modules": self._modules(),
            "bars": self._bodies("bars"),
            "leads": self._bodies("leads"),
            "devices": self._devices(),
            "clamp": self._clamp(),
            "joints": self._joints(),
            "taps": self._taps(),
            "readings": {**reading_rows(self.scribe), **load_rows(self.scribe)},
            "isolation": isolation_rows(self.scribe),
            "caps": {node: Figure("off" if node in self.seen.uncapped else "on") for node in capped_places(self.pack)},
            "probes": {n: {"on": at} if at != GONE else GONE for n, at in self.seen.probes.items()},
            "vents": vent_rows(self.build, self.seen),
            "covers": self._covers(),
            "parts": self._parts(),
            "tools": self._tools(),
            "work": list(self._work()),
            "again": list(self._read_again()),
            "notes": [],
        }
        add_oddities(data, self.scribe)
        return {key: value for key, value in data.items() if value not in ({}, [])}

    # -- modules -----------------------------------------------------------------------------------------------------

    def _modules(self) -> Data:
        asked = [c for c in ("capacity Ah", "resistance mΩ", "mass g") if c.split()[0] in self.wanted]
        by = {"rest": "V1", "capacity": "C1", "resistance": "H1", "mass": "S1"}
        random = self.scribe.random("modules")
        with_ = {name: by[name] for name in ("rest", *(c.split()[0] for c in asked))}
        at = stamp(self.scribe.tested)
        return {
            "columns": ["serial", "plus at", "type", "rest V", *asked],
            "taken": {"at": at, "by": self.team.fitter, "with": with_, "state": "loose"},
            **{name: self._module(name, asked, random) for name in self.build.modules},
        }

    def _read_again(self) -> Iterator[Data]:
        """Yield the second reading of every module that was read on the shelf."""
        random = self.scribe.random("rest again")
        for name, true in self.build.modules.items() if "rest again" in self.wanted else ():
            read = self.team.volts.shows(true.emf_v, random)
            if self.seen.modules[name].fitted and true.fitted:
                yield {"at": stamp(self.when.first), "by": self.team.second, "module": name,
                       "rest": Figure(f"{read} V"), "why": "read again after its days on the shelf"}  # fmt: skip

    def _module(self, name: str, asked: Sequence[str], random: Random) -> Any:
        true, told = self.build.modules[name], self.seen.modules[name]
        days = 9 if "rest again" in self.wanted else 0
        team = self.team
        rest = team.volts.shows(true.emf_v + days * true.loses_v_day, random)
        capacity, ohms = (
            team.amp_hours.shows(true.capacity_ah, random),
            team.milli_ohms.shows(true.resistance_ohm * 1e3, random),
        )
        mass = team.grams.shows(true.mass_g, random)
        if not told.fitted:
            return GONE
        read = {"capacity Ah": capacity, "resistance mΩ": ohms, "mass g": mass}
        if not true.fitted:
            return [told.serial, told.plus, told.type, None, *(None for _ in asked)]
        return [told.serial, told.plus, told.type, rest, *(read[column] for column in asked)]

    # -- conductors, joints, devices ---------------------------------------------------------------------------------

    def _bodies(self, section: str) -> Data:
        rows: Data = {}
        random = self.scribe.random(section)
        ohms = "bar resistance" in self.wanted and section == "bars"
        for name, body in self.seen.bodies.items():
            if body.section == section:
                true = self.build.bodies[name]
                read = self.team.micro_ohms.shows(true.resistance_ohm * 1e6, random)
                lands = [landed.node for landed in body.lands]
                row = [lands, body.part or None, body.condition, *([read] if ohms else [])]
                rows[name] = row if body.fitted else GONE
        if section == "bars":
            rows |= {
                name: [list(ends), None, None, *([None] if ohms else [])] for name, ends in self.seen.stray.items()
            }
        if not rows:
            return {}
        with_ = {"with": {"resistance": "R1"}} if ohms else {}
        columns = ["lands", "part", "condition", *(["resistance µΩ"] if ohms else [])]
        taken = {"at": stamp(self.when.looked), "by": self.team.fitter, **with_}
        return {"columns": columns, "taken": taken, **rows}

    def _devices(self) -> Data:
        return {name: self._device(name) for name in self.seen.devices}

    def _device(self, name: str) -> Any:
        told, drawn = self.seen.devices[name], self.pack.devices[name]
        if not told.fitted:
            return GONE
        row: Data = {}
        if told.part != drawn.part:
            row["part"] = told.part
        for key, value, planned, unit in (
            ("rating", told.rating_a, drawn.rating_a, "A"), ("volts", told.volts_v, drawn.volts_v, "V"),
            ("breaks", told.breaks_a, drawn.breaks_a, "A"),
        ):  # fmt: skip
            if value != planned and value is not None:
                row[key] = Figure(f"{value:g} {unit}")
        if told.current != drawn.current:
            row["current"] = Figure(told.current)
        return row or DRAWN

    def _clamp(self) -> Data:
        if self.build.clamp_mm is None and self.build.clamp_n_m is None:
            return {}
        random = self.scribe.random("clamp")
        length, torque = self.build.clamp_mm, self.seen.clamp_n_m
        read = {"length": Figure(f"{self.team.length.shows(length, random)} mm")} if length is not None else {}
        if torque is not None:
            read["torque"] = Figure(f"{torque:.1f} N·m")
        taken = {"at": stamp(self.when.clamp), "by": self.team.fitter, "with": {"length": "L1", "torque": "W2"}}
        return {**read, "taken": taken}

    def _joints(self) -> Data:
        rows: Data = {}
        for name, (conductor, _) in self.pack.joints.items():
            body, kind = self.seen.bodies[conductor.name], joint_kind(self.pack, name)
            if not body.fitted or name not in {landed.joint for landed in body.lands}:
                continue
            true, told = self.build.joints[name], self.seen.joints[name]
            random = self.scribe.random(f"joint {name}")
            ohm = true.resistance_ohm
            read = None if isinf(ohm) or not self._is_there(name) else self.team.micro_ohms.shows(ohm * 1e6, random)
            torque = shown(told.torque_n_m, self.team.wrench_digits) if told.torque_n_m else None
            tried: list[Any] = [None, None, None]
            if kind.recheck_after_h:
                at = stamp(self.when.rechecks[name])
                tried = ["moved" if true.moves else "held", at, None if true.moves else "white"]
            rows[name] = [torque, read, *tried, stamp(self.when.joints[name])]
        if not rows:
            return {}
        taken = {"at": stamp(self.when.looked), "by": self.team.second, "with": {"torque": "W1", "resistance": "R1"}}
        return {
            "columns": ["torque N·m", "resistance µΩ", "recheck", "recheck at", "mark", "at"],
            "taken": taken,
            **rows,
        }

    def _is_there(self, joint: str) -> bool:
        body = self.build.bodies[self.pack.joints[joint][0].name]
        return body.fitted and joint in {landed.joint for landed in body.lands}

    # -- what stands around the path ---------------------------------------------------------------------------------

    def _taps(self) -> Data:
        ohms = "tap leads" in self.wanted
        random = self.scribe.random("taps")
        rows: Data = {}
        for name, node in self.seen.taps.items():
            true = self.build.tap_ohm.get(name, 0.08)
            read = "over 10 MΩ" if isinf(true) else f"{true * (1 + random.gauss(0, 0.003)):.2f} Ω"
            rows[name] = {"on": node, **({"resistance": Figure(read.replace("over", "at least"))} if ohms else {})}
        if rows and ohms:
            rows = {
                "taken": {"at": stamp(self.when.looked), "by": self.team.reader, "with": {"resistance": "M1"}},
                **rows,
            }
        return rows

    def _covers(self) -> Data:
        rows: Data = {}
        for name, fitted in self.seen.covers.items():
            screws = self.build.screws[name] if self.pack.covers[name].screws else None
            rows[name] = GONE if not fitted else {"screws": screws} if screws is not None else "fitted"
        return rows

    def _parts(self) -> Data:
        random = self.scribe.random("parts")
        rows: Data = {"columns": ["issued", "fitted", "returned", "scrapped"]}
        for name, need in needed_parts(self.pack).items():
            spare = random.choice((1, 1, 2, 2, 4))
            true, told = self.build.parts.get(name, 0), self.seen.parts.get(name, 0)
            issued = max(need, true) + spare
            rows[name] = [issued, told, issued - true - self.build.lost.get(name, 0), 0]
        if len(rows) == 1:
            return {}
        return {"columns": rows.pop("columns"), "taken": self._counted(), **rows}

    def _tools(self) -> Data:
        left = self.build.tools_left
        first = next(iter(self.team.tools))
        counts = {name: [n, n - (1 if name == first and left else 0)] for name, n in self.team.tools.items()}
        return {"columns": ["out", "in"], "taken": self._counted(), **counts}

    def _counted(self) -> Data:
        """Return when parts and tools were counted, and by whom: after the last reading."""
        at = max(self.when.read.values()) + timedelta(minutes=8)
        return {"at": stamp(at), "by": self.team.second}

    def _work(self) -> Iterator[Data]:
        begun, team = self.when.begun, self.team
        tested = Figure(f"{self.when.first - timedelta(days=self.scribe.random('gloves').randrange(5, 90)):%Y-%m-%d}")
        gloves = {"gloves": "class 0", "gloves tested": tested}
        for number, words in enumerate(self.scribe.bench.steps.words):
            if number >= len(begun):
                break
            by, other = (team.fitter, team.second) if number % 2 == 0 else (team.second, team.fitter)
            yield {"at": stamp(begun[number]), "by": by, "second": other, **gloves, "did": list(words)}
        at = stamp(self.when.read[self.scribe.bench.plan.open_state])
        note = "read with the plug out, then as the switches were closed"
        yield {"at": at, "by": team.reader, "second": team.second, **gloves, "notes": note}
