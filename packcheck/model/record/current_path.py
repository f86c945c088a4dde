"""From rows of a record to what stands in the current path: at each position, conductor, device and joint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from packcheck.files.fields import Fields
from packcheck.files.name_lists import list_places
from packcheck.model.pack.model import Pack
from packcheck.model.record.circumstances import read_time
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import FittedConductor, FittedDevice, FittedJoint, FittedModule
from packcheck.model.record.sheets import AS_DRAWN, RowRead, columns_in
from packcheck.model.record.shelf import is_no_serial


class RowsOfPack:
    """Turns rows into parts of one pack; names that the pack does not have are problems."""

    def __init__(self, fields: Fields, pack: Pack) -> None:
        self.fields = fields
        self.pack = pack

    def _known(self, row: RowRead, known: Mapping[str, Any], what: str) -> Iterable[str]:
        return self.fields.all_known(row.path, row.subjects, known, what, key=True)


class Fitted(RowsOfPack):
    """Turns rows into what stands in the current path."""

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
        cells, drawn = row.cells, row.word == AS_DRAWN
        fitted = is_fitted(row)
        plus = cells.get("plus at") or (position.plus if drawn else None)
        if plus is not None and plus not in kind.posts:
            self.fields.unknown(row.places.get("plus at", row.path), plus, kind.posts, "a post of this position")
            plus = None
        if plus is None and fitted and not kind.bars_fit_turned and "plus at" not in told:
            plus = position.plus
        one_type = len(self.pack.module_types) == 1 and "type" not in told
        stated = cells.get("type") or (kind.name if drawn or (fitted and one_type) else None)
        serial = cells.get("serial")
        if serial is not None and is_no_serial(serial):
            self.fields.wrong(row.places.get("serial", row.path), found=f"'{serial}' for a serial number",
                              needed="what stands on the label",
                              do="write none where nobody can read it")  # fmt: skip
            serial = None
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
            origin=row.origin,
            told=row.written,
        )

    def conductors(self, rows: Iterable[RowRead], section: str) -> dict[str, FittedConductor]:
        """Return the conductors by name; one that the layout lacks must say where it lands."""
        conductors: dict[str, FittedConductor] = {}
        rows = list(rows)
        told = columns_in(rows)
        for row in rows:
            if not row.cells.get("lands"):
                self._known_conductors(row)
            conductors.update({name: self._conductor(name, row, section, told) for name in row.subjects})
        return conductors

    def _known_conductors(self, row: RowRead) -> None:
        """Note the conductors of a row that the layout does not have, with those apart that its series leave out."""
        left_out = {bar for string in self.pack.strings.values() for bar in string.left_out} - set(self.pack.conductors)
        gone = [name for name in row.subjects if name in left_out]
        others = [name for name in row.subjects if name not in left_out]
        if gone and all(name in self.pack.conductors for name in others):
            rest = list_places(others)
            found = f"'{list_places(gone)}', which the layout leaves out under drop:"
            do = f"write {rest}" if rest else "take the row out, or say where it lands if it was fitted"
            self.fields.wrong(row.path, found=found, needed="conductors of the layout", do=do, key=True)
        else:
            why = "a conductor that the layout does not have must say where it lands"
            known = self.pack.conductors
            self.fields.all_known(row.path, row.subjects, known, "a conductor of the layout", key=True, why=why)

    def _conductor(self, name: str, row: RowRead, section: str, told: frozenset[str]) -> FittedConductor:
        planned, cells = self.pack.conductors.get(name), row.cells
        fitted = is_fitted(row)
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
            origin=row.origin,
            at=row.taken_of("lands").at,
        )

    def devices(self, rows: Iterable[RowRead]) -> dict[str, FittedDevice]:
        """Return the devices by name."""
        return {
            name: self._device(name, row)
            for row in rows
            for name in self._known(row, self.pack.devices, "a device of the layout")
        }

    def _device(self, name: str, row: RowRead) -> FittedDevice:
        planned, cells, drawn = self.pack.devices[name], row.cells, row.word == AS_DRAWN

        def printed(column: str, as_drawn: float | None) -> float | None:
            entry: Entry | None = cells.get(column)
            return entry.value if entry else as_drawn if drawn else None

        return FittedDevice(
            name=name,
            fitted=is_fitted(row),
            current=cells.get("current") or (planned.current if drawn else None),
            part=cells.get("part") or (planned.part if drawn else None),
            rating_a=printed("rating", planned.rating_a),
            volts_v=printed("volts", planned.volts_v),
            breaks_a=printed("breaks", planned.breaks_a),
            seen=cells.get("seen", ""),
            stated_as_drawn=drawn,
            origin=row.origin,
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
            own = row.taken_of("recheck").at
            at = at or (own if own != row.taken.at else None)  # the time of the row is that of the torque
            what = "a joint of the layout (conductor/landing)"
            for name in self.fields.all_known(
                row.path, row.subjects, known, what, key=True, choices=lambda: self.pack.joints
            ):
                joints[name] = FittedJoint(
                    name, cells.get("torque"), cells.get("resistance"), cells.get("recheck"), at, cells.get("mark"),
                    row.origin,
                )  # fmt: skip
        return joints


def is_fitted(row: RowRead) -> bool | None:
    """Return whether what a row is about is fitted: None where the row tells nothing."""
    return None if row.is_blank else row.word != "not fitted"
