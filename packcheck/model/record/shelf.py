"""Modules as tested before it is decided which of them go where: the table ``shelf`` of a record, by serial."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from packcheck.files.fields import Fields
from packcheck.model.pack.model import Pack
from packcheck.model.record.model import FittedModule
from packcheck.model.record.sheets import RowRead
from packcheck.model.record.test_results import ShelfModule

_LOOK_ALIKE = str.maketrans("OILSB", "01158")
"""Letters and the digits they are taken for on a label."""


def plain_serial(serial: str) -> str:
    """Return a serial number as the eye takes it: without case and blanks, look-alike letters as digits.

    Examples
    --------
    >>> plain_serial("m-1O3 l") == plain_serial("M-1031")
    True
    """
    return "".join(serial.split()).upper().translate(_LOOK_ALIKE)


_NO_SERIAL = ("unknown", "none", "no label", "no serial", "n/a", "tbd", "todo")


def is_no_serial(serial: str) -> bool:
    """Return whether what stands in the place of a serial number tells of none: no letter and no digit, or a word.

    Examples
    --------
    >>> is_no_serial("?"), is_no_serial("Unknown"), is_no_serial("M-1031")
    (True, True, False)
    """
    return not any(map(str.isalnum, serial)) or " ".join(serial.split()).casefold() in _NO_SERIAL


def read_shelf(fields: Fields, rows: Iterable[RowRead], pack: Pack) -> dict[str, ShelfModule]:
    """Return the modules by serial; two serials that the eye takes for one are a mistake."""
    found: dict[str, ShelfModule] = {}
    seen: dict[str, str] = {}
    for row in rows:
        kind = row.cells.get("type")
        if kind is not None and kind not in pack.module_types:
            fields.unknown(row.places.get("type", row.path), kind, pack.module_types, "a module type of the layout")
        for serial in row.subjects:
            first = seen.setdefault(plain_serial(serial), serial)
            if first != serial:
                fields.wrong(row.path, key=True, found=f"'{serial}', which reads like '{first}'",
                             needed="each serial once", do="read both labels again")  # fmt: skip
            found[serial] = _module(serial, row)
    return found


def beside_shelf(modules: Mapping[str, FittedModule], shelf: Mapping[str, ShelfModule]) -> dict[str, FittedModule]:
    """Return the fitted modules, each with what the shelf says of its serial; its own row counts before that."""
    by_serial = {plain_serial(serial): one for serial, one in shelf.items()}
    return {name: _beside(module, by_serial) for name, module in modules.items()}


def _beside(module: FittedModule, by_serial: Mapping[str, ShelfModule]) -> FittedModule:
    tested = by_serial.get(plain_serial(module.serial)) if module.serial else None
    if tested is None:
        return module
    return replace(
        module,
        shelf=tested,
        capacity_ah=module.capacity_ah or tested.capacity_ah,
        resistance_ohm=module.resistance_ohm or tested.resistance_ohm,
    )


def _module(serial: str, row: RowRead) -> ShelfModule:
    cells = row.cells
    stood = cells.get("stood")
    return ShelfModule(
        serial=serial,
        type=cells.get("type") or "",
        lot=cells.get("lot") or "",
        capacity_ah=cells.get("capacity"),
        resistance_ohm=cells.get("resistance"),
        lost_v=cells.get("lost"),
        stood_h=stood.value if stood else None,
        set_aside=cells.get("set aside") or "",
        origin=row.origin,
    )
