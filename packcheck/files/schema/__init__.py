"""Layouts, records, rules and shop profiles held against their JSON Schemas: every mistake at once, in plain words."""

from packcheck.files.schema.checking import KINDS, check_document, check_quantities, load_schema

__all__ = ["KINDS", "check_document", "check_quantities", "load_schema"]
