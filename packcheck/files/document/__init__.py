"""YAML text -> data with the position of every key and value; what YAML would guess at is refused.

``read_document`` and ``parse_document`` give a ``Document`` or raise ``InputProblems`` with everything that is wrong.
"""

from packcheck.files.document.commas import decimal_commas
from packcheck.files.document.editing import CannotEdit, Editable
from packcheck.files.document.from_text import STANDARD_INPUT, parse_document, read_bytes, read_document, shown_name
from packcheck.files.document.marked import Document, MarkedMapping, MarkedSequence
from packcheck.files.document.yaml_text import flow

__all__ = [
    "STANDARD_INPUT",
    "CannotEdit",
    "Document",
    "Editable",
    "MarkedMapping",
    "MarkedSequence",
    "decimal_commas",
    "flow",
    "parse_document",
    "read_bytes",
    "read_document",
    "shown_name",
]
