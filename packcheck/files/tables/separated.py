"""Separated values -> a grid: comma, semicolon or tab, in UTF-8 or UTF-16, with or without a mark before the text."""

from __future__ import annotations

import csv
import io
import re

from packcheck.files.document.from_text import LARGEST_BYTES, text_of
from packcheck.files.origin import Origin, in_table, in_text
from packcheck.files.problems import InputProblems, Problem
from packcheck.files.tables.cells import Cell, Grid, in_sight, without_tail

SEPARATORS = ",;\t"
MARKED_AS_TEXT = re.compile(r"'(?=['=+\-@])")
"""The sign before a text that a table program would take for a formula."""
MOST_COLUMNS = 200
YAML = re.compile(
    r"(?:\s*(?:#|---)[^\n]*\n)*\s*(?P<kind>record|layout|rule|profile)\s*:\s*\S+[ \t]*(?:#.*)?(?:\r?\n|$)"
)
"""The beginning of a file that is written in YAML, whatever it is named."""


def read_separated(content: bytes, file: str) -> Grid:
    """Return the rows of a CSV file.

    The separator is the sign after the first word.  Where it is no comma, a comma between digits is a decimal one.

    Raises
    ------
    InputProblems : it is no text in UTF-8 or UTF-16, a quotation mark is not closed, or it is too large.
    """
    if len(content) > LARGEST_BYTES:
        raise InputProblems([Problem(Origin(file), "a table that is too large", "a record", do="check the file")])
    text = _text(content, file)
    if YAML.match(text):
        raise InputProblems([_not_separated(text, file)])
    named = re.match(r"sep=(.)\r?\n", text)
    body = text[named.end() :] if named else text
    found = re.search(r"[,;\t]", body.partition("\n")[0])
    sign = named[1] if named and named[1] in SEPARATORS else found[0] if found else ","
    above = 1 if named else 0
    rows: list[tuple[Cell, ...]] = []
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=sign, strict=True)
    try:
        for number, row in enumerate(reader, 1 + above):
            cells = [_cell(value, in_table(file, number, column), sign) for column, value in enumerate(row, 1)]
            rows.append(without_tail(cells))
            if len(rows[-1]) > MOST_COLUMNS:
                many, do = f"more than {MOST_COLUMNS} columns", "check that it is the right file"
                raise InputProblems([Problem(rows[-1][-1].origin, many, "a record", do=do)])
    except csv.Error as wrong:
        raise InputProblems([_broken(file, reader.line_num + above, str(wrong))]) from wrong
    problems = in_sight([cell for row in rows for cell in row])
    if problems:
        raise InputProblems(problems)
    return Grid("", tuple(rows))


def _not_separated(text: str, file: str) -> Problem:
    begun = YAML.match(text)
    found = f"a {begun['kind'] if begun else 'record'} written in YAML, in a file named .csv"
    return Problem(
        in_text(file, 1), found, "separated values in a file named .csv", do="give the file the ending .yaml"
    )


def _text(content: bytes, file: str) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return content.decode("utf-16")
        except UnicodeDecodeError as wrong:
            found, do = "text saved as UTF-16 that breaks off", "save it again as CSV with the encoding UTF-8"
            raise InputProblems([Problem(Origin(file), found, "text saved as UTF-8", do=do)]) from wrong
    return text_of(content, file)


def _cell(value: str, origin: Origin, sign: str) -> Cell:
    text = " ".join(value.split())
    return Cell(text[1:] if MARKED_AS_TEXT.match(text) else text, origin, comma=sign != ",")


def _broken(file: str, line: int, words: str) -> Problem:
    found = "a quotation mark that is never closed, or text after a closed one" if "expected" in words else words
    if "unexpected end" in words:
        found = "a quotation mark that is never closed"
    return Problem(in_text(file, line), found, "separated values", do="open it in a table program and save it as CSV")
