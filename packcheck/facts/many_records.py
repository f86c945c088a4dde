"""The facts of many records that are nearly alike: a table is filled again only where what it reads differs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import Any, cast

from packcheck.facts.build import TABLES_OF_RECORDS, build_facts, fill_tables
from packcheck.facts.evidence import Evidence
from packcheck.model.record.model import Record
from packcheck.network.graph import Network, network_of_record
from packcheck.rules.catalogue import Facts

NETWORK = "network"
"""What stands for the network of a record among the parts of it that a table is filled from."""
PARTS = tuple(field.name for field in fields(Record))


class Refilled:
    """The tables of one record, and of others of the same layout by what each of them was filled from.

    What a table reads of the first record is watched while it is filled.  Where all of that is alike in another record,
    filling it again would read the same, go the same way and end in the same rows.
    """

    def __init__(self, first: Record) -> None:
        """Fill the tables of the first record."""
        self._first, self._network = first, network_of_record(first)
        self.facts: Facts = build_facts(first.pack, first)
        self._read = {table: self._read_by(table) for table in TABLES_OF_RECORDS}

    def of(self, record: Record) -> Facts:
        """Return the facts of another record of the same layout."""
        changed = set(self._changed(record))
        again = [table for table, read in self._read.items() if read & changed]
        return {**self.facts, **fill_tables(again, Evidence(record.pack, record))}

    def _changed(self, record: Record) -> Iterable[str]:
        yield from (name for name in PARTS if getattr(record, name) != getattr(self._first, name))
        if network_of_record(record) != self._network:
            yield NETWORK

    def _read_by(self, table: str) -> frozenset[str]:
        watched = _Watched(self._first)
        evidence = _WatchedEvidence(self._first.pack, cast(Record, watched))
        fill_tables([table], evidence)
        found = watched.read
        return frozenset(found if found <= {*PARTS, NETWORK} else (*PARTS, NETWORK))


class _Watched:
    """A record that notes which of its parts are read."""

    def __init__(self, record: Record) -> None:
        self.record = record
        self.read: set[str] = set()

    def __getattr__(self, name: str) -> Any:
        self.read.add(name)
        return getattr(self.record, name)


class _WatchedEvidence(Evidence):
    """What a table is filled from, with a record that is watched; its network counts as one part of it."""

    @property
    def built(self) -> Network:
        """Return the network as recorded."""
        watched = cast(_Watched, self.record)
        watched.read.add(NETWORK)
        return network_of_record(watched.record)
