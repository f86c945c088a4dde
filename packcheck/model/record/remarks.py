"""What a record tells and no rule judges: it is named in every answer, so that nobody takes silence for a pass."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from packcheck.model.pack.model import Pack
from packcheck.model.pack.test_limits import probes_named
from packcheck.model.pack.wiring import stands
from packcheck.model.record.abilities import plain_name
from packcheck.model.record.model import FittedDevice, FittedModule, Record, Remark
from packcheck.model.record.sheets import RowRead

_ALARMING = re.compile(
    r"\b(hot|heat|overheat|warm|swell|swollen|swelling|bulg|smell|smelt|odou?r|leak|wet|smok|burn|burnt|spark|arc(?:ed|ing)?\b"
    r"|melt|hiss|crack|corro|dropped|dented|punctur|shock)",
    re.IGNORECASE,
)
"""Beginnings of words with which people write down what they saw, smelled or felt; common practice, no source."""


def remarks_of(
    root: Mapping[str, Any],
    record: Record,
    probes: Iterable[RowRead],
    vents: Iterable[RowRead],
    taps: Iterable[RowRead],
) -> tuple[Remark, ...]:
    """Return what no rule judges, notes of harm first.

    Parameters
    ----------
    root : the record's data.
    record : what was read from it so far.
    probes, vents, taps : rows of these tables.
    """
    notes = list(_notes(root))
    harm = tuple(note for note in notes if _ALARMING.search(note))
    other = tuple(note for note in notes if not _ALARMING.search(note))
    found = [Remark("a note that may tell of harm", harm), _unknown_probes(probes, record.pack), *_held(vents)]
    found.append(
        Remark("the resistance of sense taps", tuple(s for r in taps if "resistance" in r.cells for s in r.subjects))
    )
    found += _seen(record.devices, record.pack)
    read = (name for name, conductor in record.conductors.items() if conductor.resistance_ohm is not None)
    found.append(Remark("the resistance of a bar or lead", tuple(read)))
    found.append(Remark("the capacity of modules", tuple(_incomparable(record.modules, record.pack))))
    for what in ("type", "lot"):
        named = tuple(serial for serial, one in record.shelf.items() if getattr(one, what))
        found.append(Remark(f"the {what} of a module on the shelf", named))
    serials = {module.shelf.serial for module in record.modules.values() if module.shelf}
    spare = tuple(serial for serial in record.shelf if serial not in serials)
    found.append(Remark("a module on the shelf that is fitted nowhere", spare))
    found.append(Remark("the mass of modules", tuple(name for name, m in record.modules.items() if m.mass_g)))
    found.append(Remark("a voltage read under load", tuple(reading.name for reading in record.loaded)))
    found += [Remark("a resistance among the readings", tuple(record.resistances)), Remark("a note", other)]
    found.append(Remark("a look by somebody who is not among the people listed", tuple(_unlisted(root))))
    return tuple(remark for remark in found if remark.names)


LEAST_PEERS = 5
"""Fewest modules of one type whose middle says what its like has; common practice, no source."""


def _incomparable(modules: Mapping[str, FittedModule], pack: Pack) -> Iterator[str]:
    """Yield the modules whose capacity was tested and has nothing to be held against, in the layout or in others."""
    types = {name: pack.module_types.get(m.type or "", pack.module_type_at(name)) for name, m in modules.items()}
    tested = Counter(types[name].name for name, m in modules.items() if m.capacity_ah is not None)
    for name, module in modules.items():
        drawn = types[name].capacity_ah
        if module.capacity_ah is not None and drawn is None and tested[types[name].name] < LEAST_PEERS:
            yield name


def _notes(root: Mapping[str, Any]) -> Iterator[str]:
    notes = root.get("notes", [])
    yield from (str(note) for note in ([notes] if isinstance(notes, str) else notes))
    yield from (str(step["notes"]) for step in root.get("work", []) if step.get("notes"))


_LOOKS = ("bars", "leads", "devices", "taps", "caps", "covers", "parts", "tools", "vents")
"""Tables of what was looked at; who is unlisted proves nothing where something was read."""


def _unlisted(root: Mapping[str, Any]) -> Iterator[str]:
    """Yield the tables of looks with each person in them whom the record does not list."""
    listed = {plain_name(name) for name in root.get("people", {})}
    for section in _LOOKS:
        table = root.get(section, {})
        rows = [row for row in table.values() if isinstance(row, Mapping)]
        people = dict.fromkeys(str(row["by"]) for row in rows if row.get("by"))
        yield from (f"{section} by {by}" for by in people if plain_name(by) not in listed)


def _seen(devices: Mapping[str, FittedDevice], pack: Pack) -> Iterator[Remark]:
    """Yield the devices said to be seen open or closed that are never either."""
    for word in ("closed", "open"):
        names = (name for name, d in devices.items() if d.seen == word and not stands(pack, pack.devices[name]))
        yield Remark(f"a device seen {word} that neither opens nor closes", tuple(names))


def _held(vents: Iterable[RowRead]) -> Iterator[Remark]:
    yield Remark("hold of a vent", tuple(name for row in vents if "hold" in row.cells for name in row.subjects))


def _unknown_probes(probes: Iterable[RowRead], pack: Pack) -> Remark:
    """Return the probes that were read, and of whose kind the layout does not say what it may read."""
    read = [name for row in probes if "resistance" in row.cells for name in row.subjects if name in pack.probes]
    unknown = (name for name in read if not probes_named(str(pack.probes[name].get("kind", ""))))
    return Remark("resistance of a probe", tuple(unknown))
