"""Tests as they were taken: at each point of those that a layout asks for, with photos; isolation as it was read."""

from __future__ import annotations

import pathlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from packcheck.files.attached_files import MOST_BYTES, Hashed, hash_beside, is_plain_path
from packcheck.files.fields import Fields, Path
from packcheck.files.quantities import Dimension
from packcheck.model.pack.asked_tests import SEPARATOR, AskedTest
from packcheck.model.pack.kinds_of_test import ANY, HASH, NAME
from packcheck.model.pack.model import Pack
from packcheck.model.record.circumstances import LOOSE
from packcheck.model.record.entry import Entry
from packcheck.model.record.model import Instrument, Record
from packcheck.model.record.sheets import Cell, RowRead
from packcheck.model.record.test_results import IsolationTest, TakenTest

CONDITION = "under"
"""The column of the condition: what was set or read beside, with an instrument only where one is named for it."""
_SHA256 = re.compile(r"[0-9a-f]{64}", re.IGNORECASE)
_OF_NOTHING = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
"""The SHA-256 of no bytes at all: what a picture that was never copied has."""
ISOLATION_COLUMNS = ("poles", "minus to chassis", "plus to chassis", "resistor", "resistor in", "tester")
"""The columns of an isolation test that hold what was read."""
MOST_TOGETHER = 512 * 2**20
"""Bytes of the photos of one record that are hashed, some seconds of work; those beyond prove nothing."""


def quantity_asked(fields: Fields, pack: Pack, row: RowRead, cell: Cell, path: Path) -> Dimension | None:
    """Return the quantity that a cell of a test is of; None (and a problem) where the test has none there."""
    if row.subjects[0].partition(SEPARATOR)[0] not in pack.tests:
        return None  # the row itself is told to be of no test
    test = test_of(pack, row)
    quantity = test.condition if cell.asked == "condition" else test.quantity
    if quantity is None and cell.asked == "condition":
        fields.wrong(path, found=f"a condition of '{test.name}'", needed="a test without one", key=True,
                     do="write it into notes: the layout names no condition for it")  # fmt: skip
    elif quantity is None:
        fields.wrong(path, found=f"a value of '{test.name}', which is told in words", needed="what was found", key=True,
                     do=f"write found: {test.words[0] if test.words else 'and the word'}")  # fmt: skip
    return quantity


def test_of(pack: Pack, row: RowRead) -> AskedTest:
    """Return the test that a row is of."""
    return pack.tests[row.subjects[0].partition(SEPARATOR)[0]]


def read_taken_tests(fields: Fields, pack: Pack, rows: Iterable[RowRead]) -> Mapping[str, TakenTest]:
    """Return what was found, by test and point; a row of a point that the layout has not is a mistake."""
    known = {name_of(test, point.name): test for test in pack.tests.values() for point in test.points}
    found: dict[str, TakenTest] = {}
    for row in rows:
        for name in fields.all_known(row.path, row.subjects, known, "a test of the layout and its point", key=True):
            test, word = known[name], row.cells.get("found")
            if word is not None and not _fits(fields, row, test, word):
                word = None
            file = _photo(fields, row, test)
            at = row.taken_of("found" if test.quantity is None else "value")
            found[name] = TakenTest(name, row.cells.get("value"), word, row.cells.get(CONDITION), at.at, at.by,
                                    row.origin, file)  # fmt: skip
    return found


def name_of(test: AskedTest, point: str) -> str:
    """Return the name under which a point of a test stands in a record."""
    return f"{test.name}{SEPARATOR}{point}"


def _photo(fields: Fields, row: RowRead, test: AskedTest) -> str:
    """Return the file of a photo; "" where none is told, or (and a problem) where it is none beside the record."""
    file = str(row.cells.get("file") or "")
    if not file:
        return ""
    if test.kind.expects != HASH:
        fields.wrong(row.places["file"], found=f"a file of '{test.name}', which is no photo", needed="what was found",
                     key=True, do="leave it out, or write it into notes")  # fmt: skip
        return ""
    if not is_plain_path(file):
        fields.wrong(row.places["file"], found=f"'{file}'", needed="a file in the record's own folder or below",
                     why="a record sent by somebody else must not choose which of your files is read",
                     do="put the photo beside the record, and write its name as in photos/face-a.jpg")  # fmt: skip
        return ""
    return file


def _fits(fields: Fields, row: RowRead, test: AskedTest, word: str) -> bool:
    """Return whether a word can be what a test found; note one that cannot."""
    path = row.places["found"]
    expects = test.kind.expects
    if test.quantity is not None:
        fields.wrong(path, found=f"'{word}' for '{test.name}', which is a quantity", needed=test.quantity.words,
                     do="write value: with the number and its unit")  # fmt: skip
        return False
    if expects == HASH and not _SHA256.fullmatch(word):
        fields.wrong(path, found=f"'{word}'", needed="the SHA-256 of a file: 64 digits from 0 to 9 and a to f",
                     do="let a program work it out: sha256sum FILE")  # fmt: skip
        return False
    if expects == HASH and word.casefold() == _OF_NOTHING:
        fields.wrong(path, found=f"'{word}', the number of an empty file", needed="that of a picture",
                     do="look whether the picture was copied whole, and work its number out anew")  # fmt: skip
        return False
    if expects in (NAME, ANY, HASH) or word in test.words:
        return True
    needed = f"one of: {', '.join(test.words)}"
    fields.wrong(path, found=f"'{word}', which is no word for '{test.name}'", needed=needed, do="write what was found")
    return False


def read_isolation(
    fields: Fields, rows: Iterable[RowRead], pack: Pack, instruments: Mapping[str, Instrument]
) -> Mapping[str, IsolationTest]:
    """Return the tests by name; one without both of its poles, or over modules that nothing joins, is a mistake."""
    found = {}
    for row in rows:
        minus, plus = row.cells.get("minus at"), row.cells.get("plus at")
        if not minus or not plus:
            if not {"minus at", "plus at"} <= set(row.cells):
                fields.wrong(row.path, key=True, found="an isolation test without its two poles",
                             needed="the place of the negative pole and that of the positive",
                             do="write them under minus at and plus at")  # fmt: skip
            continue
        name = row.subjects[0]
        poles, one, other, resistor, after, tester = (row.cells.get(column) for column in ISOLATION_COLUMNS)
        read = (poles, one, other, after, tester)
        state = row.taken.state or next((entry.state for entry in read if entry and entry.state), "")
        if state == LOOSE and pack.part_at(minus[0]) != pack.part_at(plus[0]):
            places = f"{pack.part_at(minus[0])} and {pack.part_at(plus[0])}"
            fields.wrong(row.path, key=True, found=f"an isolation test between {places} with the modules loose",
                         needed="the two posts of one module, or a state in which the modules are joined",
                         why="between two modules that nothing joins there is no voltage to test with",
                         do="write the state in which it was made, or a test for each module")  # fmt: skip
            continue
        meter = instruments.get(after.instrument) if after else None
        volts = (size(poles), size(one), size(other), resistor, size(after))
        found[name] = IsolationTest(name, minus[0], plus[0], *volts, tester, state, row.origin,
                                    meter.input_ohm if meter else None)  # fmt: skip
    return found


def size(volts: Entry | None) -> Entry | None:
    """Return a voltage without its sign [V]: the negative pole reads below the chassis, the positive above it."""
    if volts is None or volts.value >= 0:
        return volts
    return volts._replace(low=-volts.high, high=-volts.low, value=-volts.value)


def look_for_photos(record: Record, folder: pathlib.Path) -> Record:
    """Return a record with the hashes of the photos that it names in a folder; each file is read once."""
    seen: dict[str, Hashed] = {}
    left = MOST_TOGETHER
    for taken in record.tests.values():
        if taken.file and taken.file not in seen:
            seen[taken.file] = hash_beside(folder, taken.file, min(MOST_BYTES, left))
            left = max(0, left - seen[taken.file].size)
    if not seen:
        return record
    return replace(record, photos={name: seen[one.file] for name, one in record.tests.items() if one.file})
