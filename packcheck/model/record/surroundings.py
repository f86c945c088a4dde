"""From rows of a record to what stands beside the current path: parts, tools, covers, caps, taps and probes."""

from __future__ import annotations

from collections.abc import Iterable

from packcheck.model.record.current_path import RowsOfPack, is_fitted
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Count, FittedCover, ToolCount
from packcheck.model.record.sheets import AS_DRAWN, RowRead


class Beside(RowsOfPack):
    """Turns rows into what stands beside the current path."""

    def parts(self, rows: Iterable[RowRead]) -> dict[str, Count]:
        """Return the hardware ledger by part."""
        return {
            name: Count(
                row.cells.get("issued"),
                row.cells.get("fitted"),
                row.cells.get("returned"),
                row.cells.get("scrapped"),
                row.origin,
            )
            for row in rows
            for name in row.subjects
        }

    def tools(self, rows: Iterable[RowRead]) -> dict[str, ToolCount]:
        """Return the tools by name."""
        return {
            name: ToolCount(row.cells.get("out"), row.cells.get("in"), row.origin)
            for row in rows
            for name in row.subjects
        }

    def covers(self, rows: Iterable[RowRead]) -> dict[str, FittedCover]:
        """Return the covers by name."""
        return {
            name: FittedCover(
                is_fitted(row),
                row.cells.get("screws", self.pack.covers[name].screws if row.word == AS_DRAWN else None),
                row.origin,
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
            if row.word:
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
                    taps[name] = self.pack.taps[name].node if row.word == AS_DRAWN else ""
        return taps

    def probes(self, rows: Iterable[RowRead]) -> dict[str, tuple[str, ...]]:
        """Return the position that each probe was found on; none where it is not fitted."""
        found: dict[str, tuple[str, ...]] = {}
        for row in rows:
            on: str = row.cells.get("on") or ""
            if on and on not in self.pack.positions:
                self.fields.unknown(row.places["on"], on, self.pack.positions, "a position of the layout")
            for name in self._known(row, self.pack.probes, "a probe of the layout"):
                if on in self.pack.positions:
                    found[name] = (on,)
                elif row.word:
                    found[name] = tuple(map(str, self.pack.probes[name]["on"])) if row.word == AS_DRAWN else ()
        return found

    def ohms(self, rows: Iterable[RowRead]) -> dict[str, Entry]:
        """Return the resistance [ohm] that was read of each probe; names unknown here were told of before."""
        return {
            name: row.cells["resistance"]
            for row in rows
            for name in row.subjects
            if name in self.pack.probes and row.cells.get("resistance") is not None
        }
