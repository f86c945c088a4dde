"""From rows of a record to what stands at each position, conductor, device, joint and place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields, Path
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import (
    Count,
    Entry,
    FittedConductor,
    FittedCover,
    FittedDevice,
    FittedJoint,
    FittedModule,
    Reading,
    ToolCount,
    Unread,
)
from packcheck.model.record.sheets import AS_DRAWN, Other, RowRead, columns_in
from packcheck.model.record.taken import read_time


class Fitted:
    """Turns rows into fitted parts of one pack; names that the pack does not have are problems."""

    def __init__(self, fields: Fields, pack: Pack) -> None:
        self.fields = fields
        self.pack = pack
        self.resistances: dict[str, Entry] = {}
        self.unread: list[Unread] = []

    def _known(self, row: RowRead, known: Mapping[str, Any], what: str) -> Iterable[str]:
        return self.fields.all_known(row.path, row.subjects, known, what, key=True)

    def modules(self, rows: Iterable[RowRead]) -> dict[str, FittedModule]:
        """Return the modules by position."""
        rows = list(rows)
        told = columns_in(rows)
        return {
            name: self._module(name, row, told)
            for row in rows
            for name in self._known(row, self.pack.positions, "a position of the layout")
        }

    def _module(self, name: str, row: RowRead, told: frozenset[str]) -> FittedModule:
        position, kind = self.pack.positions[name], self.pack.module_type_at(name)
        cells, drawn = row.cells, row.word == "as drawn"
        fitted = _is_fitted(row)
        plus = cells.get("plus at") or (position.plus if drawn else None)
        if plus is not None and plus not in kind.posts:
            self._wrong_word(row, "plus at", plus, list(kind.posts), "a post of this position")
            plus = None
        if plus is None and fitted and not kind.bars_fit_turned and "plus at" not in told:
            plus = position.plus
        one_type = len(self.pack.module_types) == 1 and "type" not in told
        stated = cells.get("type") or (kind.name if drawn or (fitted and one_type) else None)
        serial = cells.get("serial")
        return FittedModule(
            position=name,
            fitted=fitted,
            plus=plus if fitted else None,
            serial=serial,
            type=stated if fitted else None,
            rest_v=cells.get("rest"),
            resistance_ohm=cells.get("resistance"),
            capacity_ah=cells.get("capacity"),
            mass_g=cells.get("mass"),
            stated_as_drawn=drawn,
            line=row.line,
            told=frozenset(row.written),
        )

    def _wrong_word(self, row: RowRead, column: str, word: str, known: list[str], what: str) -> None:
        self.fields.unknown(row.places.get(column, row.path), word, known, what)

    def conductors(self, rows: Iterable[RowRead], section: str) -> dict[str, FittedConductor]:
        """Return the conductors by name; one that the layout lacks must say where it lands."""
        conductors: dict[str, FittedConductor] = {}
        rows = list(rows)
        told = columns_in(rows)
        for row in rows:
            if not row.cells.get("lands"):
                why = "a conductor that the layout does not have must say where it lands"
                self.fields.all_known(
                    row.path, row.subjects, self.pack.conductors, "a conductor of the layout", key=True, why=why
                )
            conductors.update({name: self._conductor(name, row, section, told) for name in row.subjects})
        return conductors

    def _conductor(self, name: str, row: RowRead, section: str, told: frozenset[str]) -> FittedConductor:
        planned, cells = self.pack.conductors.get(name), row.cells
        fitted = _is_fitted(row)
        lands = cells.get("lands")
        stated = row.word == AS_DRAWN or lands == (AS_DRAWN,)
        if planned and stated:
            lands = tuple(landing.node for landing in planned.lands)
        if lands is not None and len(lands) < 2:
            self.fields.wrong(
                row.places.get("lands", row.path),
                found=f"{len(lands)} landing",
                needed="two landings or more",
                do="write every place it lands on, e.g. [P12.B, P13.B]",
            )
            lands = None
        part_as_drawn = row.word == AS_DRAWN or (stated and "part" not in told)
        part = cells.get("part") or (planned.part if planned and part_as_drawn else None)
        return FittedConductor(
            name=name,
            section=section,
            fitted=fitted,
            lands=lands if fitted else None,
            part=part,
            condition=cells.get("condition"),
            resistance_ohm=cells.get("resistance"),
            stated_as_drawn=stated,
            line=row.line,
            at=row.taken.at,
        )

    def devices(self, rows: Iterable[RowRead]) -> dict[str, FittedDevice]:
        """Return the devices by name."""
        return {
            name: self._device(name, row)
            for row in rows
            for name in self._known(row, self.pack.devices, "a device of the layout")
        }

    def _device(self, name: str, row: RowRead) -> FittedDevice:
        planned, cells, drawn = self.pack.devices[name], row.cells, row.word == "as drawn"

        def printed(column: str, as_drawn: float | None) -> float | None:
            entry: Entry | None = cells.get(column)
            return entry.value if entry else as_drawn if drawn else None

        return FittedDevice(
            name=name,
            fitted=_is_fitted(row),
            current=cells.get("current") or (planned.current if drawn else None),
            part=cells.get("part") or (planned.part if drawn else None),
            rating_a=printed("rating", planned.rating_a),
            volts_v=printed("volts", planned.volts_v),
            breaks_a=printed("breaks", planned.breaks_a),
            seen=cells.get("seen", ""),
            stated_as_drawn=drawn,
            line=row.line,
        )

    def joints(self, rows: Iterable[RowRead], conductors: Mapping[str, FittedConductor]) -> dict[str, FittedJoint]:
        """Return the joints by name; those of a conductor beyond the layout are kept but not judged."""
        found = {
            f"{name}/{short}"
            for name, fitted in conductors.items()
            for node in fitted.lands or ()
            for short in (node, self.pack.part_at(node))
        }
        known = found | self.pack.joints.keys()
        joints: dict[str, FittedJoint] = {}
        for row in rows:
            cells, written = row.cells, row.cells.get("recheck at")
            at = read_time(self.fields, row.places.get("recheck at", row.path), written) if written else None
            what = "a joint of the layout (conductor/landing)"
            for name in self.fields.all_known(
                row.path, row.subjects, known, what, key=True, choices=lambda: self.pack.joints
            ):
                joints[name] = FittedJoint(
                    name, cells.get("torque"), cells.get("resistance"), cells.get("recheck"), at, cells.get("mark"),
                    row.line,
                )  # fmt: skip
        return joints

    def readings(self, rows: Iterable[RowRead]) -> dict[str, Reading]:
        """Return the voltage readings by name; other readings go to ``resistances``, rows without one to ``unread``."""
        readings: dict[str, Reading] = {}
        for row in rows:
            value = row.cells.get("value")
            if isinstance(value, Other) and value.entry:
                self.resistances[row.subjects[0]] = value.entry
            reading = self._reading(row)
            if reading:
                readings[reading.name] = reading
        return readings

    def _reading(self, row: RowRead) -> Reading | None:
        cells = row.cells
        value, plus, minus = cells.get("value"), cells.get("between"), cells.get("and")
        if value is None and row.subjects and "value" not in row.places:
            words = self._words(row.path) if plus and minus else ("", "")
            self.unread.append(Unread(list_places(row.subjects), words, row.taken.state, row.line))
        if value is None or isinstance(value, Other) or not row.subjects:
            return None
        if len(row.subjects) > 1:
            self.fields.wrong(row.path, key=True, found="one reading for a range of names", needed="a row for each",
                              do="write the name of the reading alone")  # fmt: skip
            return None
        if plus is None or minus is None:
            if not {"between", "and"} <= set(cells):  # else it has been said what is wrong with the place
                self.fields.wrong(
                    row.path,
                    found="a voltage without the two places it was read between",
                    key=True,
                    needed="both places, the one that the meter's + lead was on first",
                    do="write them under between and and",
                )
            return None
        if len(plus) > 1 or len(minus) > 1:
            place = row.places["between" if len(plus) > 1 else "and"]
            self.fields.wrong(place, found="a list of places", needed="one place", do="write the place the lead was on")
            return None
        if plus[0] == minus[0]:
            self._wrong_pair(row.path, plus[0])
            return None
        if not value.state:
            self.fields.wrong(
                row.path,
                found="a reading without a switching state",
                key=True,
                needed="the switching state it was read in",
                why="what is closed decides what the meter must show",
                do="add state: to the row, or to taken: when it holds for the whole table",
            )
        return Reading(name=row.subjects[0], plus=plus[0], minus=minus[0], words=self._words(row.path), value_v=value)

    def _words(self, path: Path) -> tuple[str, str]:
        table = self.fields.document.root[str(path[0])]
        row, columns = table[path[1]], table.get("columns", [])
        if isinstance(row, list):
            return str(row[columns.index("between")]), str(row[columns.index("and")])
        return str(row["between"]), str(row["and"])

    def _wrong_pair(self, path: Path, node: str) -> None:
        found = f"both leads of the meter on '{node}'"
        self.fields.wrong(path, found=found, needed="two different places", do="correct the wrong one of the two")

    def parts(self, rows: Iterable[RowRead]) -> dict[str, Count]:
        """Return the hardware ledger by part."""
        return {
            name: Count(
                row.cells.get("issued"),
                row.cells.get("fitted"),
                row.cells.get("returned"),
                row.cells.get("scrapped"),
                row.line,
            )
            for row in rows
            for name in row.subjects
        }

    def tools(self, rows: Iterable[RowRead]) -> dict[str, ToolCount]:
        """Return the tools by name."""
        return {
            name: ToolCount(row.cells.get("out"), row.cells.get("in"), row.line)
            for row in rows
            for name in row.subjects
        }

    def covers(self, rows: Iterable[RowRead]) -> dict[str, FittedCover]:
        """Return the covers by name."""
        return {
            name: FittedCover(
                _is_fitted(row),
                row.cells.get("screws", self.pack.covers[name].screws if row.word == "as drawn" else None),
                row.line,
                row.taken.at,
            )
            for row in rows
            for name in self._known(row, self.pack.covers, "a cover of the layout")
        }

    def caps(self, rows: Iterable[RowRead]) -> dict[str, bool]:
        """Return whether each place is capped; a row may name places, positions (both posts) or a face."""
        caps: dict[str, bool] = {}
        for row in rows:
            places = {subject: self._places(subject) for subject in row.subjects}
            known = {subject: found for subject, found in places.items() if found}
            self.fields.all_known(row.path, row.subjects, known, "a place, a position or a face", key=True,
                                  choices=lambda: [*self.pack.positions, *self.pack.faces])  # fmt: skip
            caps.update(dict.fromkeys((place for found in known.values() for place in found), row.word == "on"))
        return caps

    def _places(self, subject: str) -> list[str]:
        if subject in self.pack.positions:
            return [f"{subject}.{post}" for post in self.pack.module_type_at(subject).posts]
        face = subject.removeprefix("face ")
        if face in self.pack.faces:
            return [node for node in self.pack.nodes if self.pack.face_of(node) == face]
        return [subject] if subject in self.pack.nodes else []

    def taps(self, rows: Iterable[RowRead]) -> dict[str, str]:
        """Return the node each tap was found on; "" where it is not fitted."""
        taps: dict[str, str] = {}
        for row in rows:
            for name in self._known(row, self.pack.taps, "a tap of the layout"):
                on = row.cells.get("on")
                if on:
                    taps[name] = on[0]
                elif row.word:
                    taps[name] = self.pack.taps[name].node if row.word == "as drawn" else ""
        return taps

    def check_probes(self, rows: Iterable[RowRead]) -> None:
        """Note the probes and positions that the layout does not have."""
        for row in rows:
            self._known(row, self.pack.probes, "a probe of the layout")
            on = row.cells.get("on")
            if on is not None and on not in self.pack.positions:
                self.fields.unknown(row.places["on"], on, self.pack.positions, "a position of the layout")

    def check_vents(self, rows: Iterable[RowRead]) -> None:
        """Note the vents that the layout does not have."""
        for row in rows:
            self._known(row, self.pack.vents, "a vent of the layout")


def _is_fitted(row: RowRead) -> bool | None:
    """Return whether what a row is about is fitted: None where the row tells nothing."""
    return None if row.is_blank else row.word != "not fitted"
