"""Edits of a YAML text: what was asked for is there, and every other character is as it was."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from demonstrations import records
from hypothesis import given
from hypothesis import strategies as st

from packcheck.files.document import CannotEdit, Editable, flow, parse_document

RECORDS = records()
TEXT = """# of the bench
record: 1
of: {name: one, pack: X}   # a pack
joints:
  columns: [torque N·m, resistance µΩ]   # by hand

  B1/P1: [4.5, none]   # µ before the hole
  B1/P2: as drawn
  # under the bar, see the note

# the end of the bars
tools: {}
again:
- {at: 2026-10-05, why: put right}
notes: |
  two lines
  of a note
bars:
    B1..B3: as drawn # all of them
"""


def edited(text: str = TEXT) -> Editable:
    return Editable.of(text.encode(), "one.yaml")


def added(old: str, new: str) -> str:
    """Return what stands in the new text and not in the old one: one piece, the rest being as it was."""
    start = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new)))
    rest = len(old) - start
    assert new[:start] == old[:start]
    assert rest == 0 or new.endswith(old[start:]), "something else was touched"
    return new[start : len(new) - rest]


@pytest.mark.parametrize(("path", "key", "value", "piece", "after"), [
    (("joints",), "B2/P2", {"torque": "4.6 N·m"}, "  B2/P2: {torque: 4.6 N·m}\n", "B1/P2: as drawn\n"),
    (("of",), "revision", 3, ", revision: 3", "pack: X"),
    (("tools",), "spanner-8", [1, 1], "spanner-8: [1, 1]", "tools: {"),
    (("bars",), "B4", "not fitted", "    B4: not fitted\n", "# all of them\n"),
    ((), "extra", "none", "extra: none\n", "# all of them\n"),
    ((), "caps", {"P1.A": {"is": "on"}}, '\ncaps:\n  P1.A: {is: "on"}\n', "# all of them\n"),
])  # fmt: skip
def test_a_key_goes_to_the_end_of_its_mapping(
    path: tuple[str, ...], key: str, value: Any, piece: str, after: str
) -> None:
    new = edited().add_key(path, key, value).text
    assert f"{after}{piece}" in new
    assert len(new) == len(TEXT) + len(piece)
    assert new.replace(f"{after}{piece}", after) == TEXT


def test_an_item_goes_to_the_end_of_its_list_in_lines_or_in_brackets() -> None:
    new = edited().add_item(("again",), {"at": "2026-10-06 08:00", "why": "read: again"})
    assert added(TEXT, new.text) == '- {at: 2026-10-06 08:00, why: "read: again"}\n'
    newer = new.add_item(("joints", "columns"), "mark")
    assert added(new.text, newer.text) == ", mark"
    first = edited("record: 1\n").add_key((), "again", [{"why": "once"}])
    assert first.text == "record: 1\n\nagain:\n  - {why: once}\n"


def test_a_value_is_put_in_the_place_of_another() -> None:
    new = edited().put_value(("joints", "B1/P1", 1), {"is": 82, "with": "R1"}).text
    assert new == TEXT.replace("[4.5, none]", "[4.5, {is: 82, with: R1}]")
    with pytest.raises(CannotEdit, match="several lines"):
        edited().put_value(("notes",), "one line")
    with pytest.raises(CannotEdit, match="several lines"):
        edited().put_value(("joints",), "as drawn")


def test_a_range_becomes_rows_of_their_own() -> None:
    new = edited().split_key(("bars", "B1..B3"), [("B1..B2", "as drawn"), ("B3", {"is": "as drawn", "mark": "red"})])
    assert new.text == TEXT.replace("B1..B3: as drawn #", "B1..B2: as drawn\n    B3: {is: as drawn, mark: red} #")
    assert new.document.root["bars"]["B3"] == {"is": "as drawn", "mark": "red"}


def test_line_ends_a_byte_order_mark_and_a_missing_last_line_end_stay() -> None:
    old = "\ufeff" + TEXT.replace("\n", "\r\n")
    new = edited(old).add_key(("joints",), "B2/P2", [46, "none"]).text
    assert sorted(added(old, new)) == sorted("  B2/P2: [46, none]\r\n")
    assert "B1/P2: as drawn\r\n  B2/P2: [46, none]\r\n  #" in new
    assert edited(TEXT.rstrip("\n")).add_key(("bars",), "B4", "as drawn").text == TEXT + "    B4: as drawn\n"


@pytest.mark.parametrize(("text", "path", "key"), [
    ("a: {b: 1\n  # words\n  }\n", ("a",), "c"), ("{a: 1}\n", (), "c"), ("a: {b: 1,}\n", ("a",), "c"),
    ("a:\n  b: {c: [1, 2]}\n\n\n# words\n", ("a", "b"), "d"), ("a:\n  b:\n    c: |\n      x\n\n      y\n", ("a",), "d"),
    ("a:\n  b: 'it''s'   # q\nz: 1\n", ("a",), "c"), ("a:\n  b:\n  - 1\n  - x: 1\n    y: 2\nz: 1\n", ("a",), "c"),
])  # fmt: skip
def test_awkward_texts_are_edited_all_the_same(text: str, path: tuple[str, ...], key: str) -> None:
    new = edited(text).add_key(path, key, "word")
    assert "word" in added(text, new.text)


@pytest.mark.parametrize(("text", "path"), [
    ("a: 1\n...\n", ()), ("a:\n  b: 1\n", ("a", "b")), ("a: [1]\n", ("a",)), ("a: >\n  text\n", ("a",)),
    ("a: 1\n", ("b",)),
])  # fmt: skip
def test_what_cannot_be_edited_is_refused_and_nothing_is_written(text: str, path: tuple[str, ...]) -> None:
    with pytest.raises(CannotEdit):
        edited(text).add_key(path, "c", "word")


def test_a_key_that_is_there_already_is_refused() -> None:
    with pytest.raises(CannotEdit, match="could not be read"):
        edited().add_key(("joints",), "B1/P2", "not fitted")


@pytest.mark.parametrize("path", RECORDS, ids=lambda path: path.stem)
def test_a_row_goes_into_every_table_of_every_record_that_is_shipped(path: Path) -> None:
    old = Editable.of(path.read_bytes(), path.name)
    for section, table in old.document.root.items():
        if isinstance(table, dict):
            new = old.add_key((section,), "Z9", {"note": "put in"})
            assert "Z9: {note: put in}" in added(old.text, new.text)
            row = next(iter(table))
            if isinstance(table[row], dict):
                assert "put in" in added(old.text, old.add_key((section, row), "Z9", "put in").text)
        elif isinstance(table, list):
            assert "put in" in added(old.text, old.add_item((section,), "put in").text)


WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF, blacklist_categories=("Cc", "Cf", "Zs", "Zl")) |
                st.just(" "), max_size=12)  # fmt: skip


@given(
    st.recursive(WORDS | st.integers(), lambda one: st.lists(one, max_size=3) | st.dictionaries(WORDS, one, max_size=3))
)
def test_whatever_is_written_in_a_line_is_read_back_by_us_and_by_pyyaml(value: Any) -> None:
    text = f"a: {flow(value)}\n"
    assert parse_document(text, "one.yaml").root["a"] == value
    assert yaml.load(text, Loader=yaml.BaseLoader)["a"] == as_text(value)
    loaded = yaml.safe_load(text)["a"]
    assert loaded == value or not isinstance(value, str) or text[3:].startswith(("2", "1", "0"))


def as_text(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: as_text(item) for key, item in value.items()}
    return [as_text(item) for item in value] if isinstance(value, list) else str(value)
