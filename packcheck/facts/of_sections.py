"""Facts about sense blocks, trays and the stack: runs of modules that may have been turned as a whole."""

from __future__ import annotations

from collections.abc import Iterator

from packcheck.facts.evidence import Evidence
from packcheck.files.name_lists import list_places
from packcheck.network.sense_blocks import sense_blocks
from packcheck.rules.catalogue import Row, Value


def section_rows(evidence: Evidence) -> Iterator[Row]:
    """Yield sense blocks, trays and the stack: runs of modules that may have been turned as a whole."""
    pack = evidence.pack
    everything = list(pack.positions)
    trays: dict[str, list[str]] = {}
    for position in pack.positions.values():
        if position.tray:
            trays.setdefault(position.tray, []).append(position.name)
    drawn = map(list, sense_blocks(pack, evidence.drawn.forest))
    blocks = [block for block in drawn if 2 <= len(block) < len(everything)]
    for block in blocks:
        yield _section(evidence, "block", block)
    for tray, members in trays.items():
        if 2 <= len(members) < len(everything):
            yield _section(evidence, "tray", members, f"tray {tray}")
    if len(everything) >= 2:
        yield _section(evidence, "stack", everything, "the whole stack")


def _section(evidence: Evidence, kind: str, members: list[str], name: str = "") -> Row:
    pack, record = evidence.pack, evidence.record
    facing = []
    for member in members:
        plus = record.modules[member].plus if record and member in record.modules else None
        facing.append(None if plus is None else plus != pack.positions[member].plus)
    known = [turned for turned in facing if turned is not None]
    name = name or f"block {list_places(members)}"
    values: dict[str, Value] = {
        "section": name,
        "kind": kind,
        "modules": len(members),
        "reversed": sum(known) if len(known) == len(members) else None,
        "all_reversed": len(known) == len(members) and all(known),
        "facings_known": len(known) == len(members),
    }
    return Row(name, values, {}, frozenset(members), name)
