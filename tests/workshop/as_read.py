"""Packs and records as the program reads them from data."""

from __future__ import annotations

from functools import lru_cache

from packcheck.files.document import parse_document
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.record.from_document import read_record
from packcheck.model.record.model import Record
from workshop.as_yaml import Data, to_yaml


def pack_of(layout: Data, file: str = "layout.yaml") -> Pack:
    """Return the pack that layout data describe, read as a file would be; equal data give one and the same pack."""
    return _pack_told(to_yaml(layout), file)


@lru_cache(maxsize=64)
def _pack_told(text: str, file: str) -> Pack:
    return read_pack(parse_document(text, file))


def record_of(record: Data, pack: Pack, file: str = "record.yaml") -> Record:
    """Return the record that data describe, read as a file would be."""
    return read_record(parse_document(to_yaml(record), file), pack)
