"""A workshop for tests: regular packs of any size, and complete records of clean builds of them."""

from workshop.as_read import pack_of, record_of
from workshop.as_yaml import Data, to_yaml, write
from workshop.in_parallel import grouped_layout, rack_layout
from workshop.in_series import stick_layout, trayed_layout
from workshop.records import METER, OHMMETER, RULE, WRENCH, bare_record, clean_record

__all__ = [
    "METER",
    "OHMMETER",
    "RULE",
    "WRENCH",
    "Data",
    "bare_record",
    "clean_record",
    "grouped_layout",
    "pack_of",
    "rack_layout",
    "record_of",
    "stick_layout",
    "to_yaml",
    "trayed_layout",
    "write",
]
