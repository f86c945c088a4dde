"""What a file is read as, where each part of it stands, and what is refused."""

from __future__ import annotations

import os
import time
from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from packcheck.files.document import Document, MarkedMapping, MarkedSequence, parse_document, read_document
from packcheck.files.document import from_text as document_reading
from packcheck.files.origin import Origin, in_text
from packcheck.files.problems import InputProblems, Problem

LAYOUT = """\
layout: 1
name: skerry-24          # a comment
module types:
  stick:
    rest: 7.5 V to 8.4 V
    size: [20 mm, 280 mm, 100 mm]
positions:
  P01..P24: {module: stick, plus at: [A, B]}
"""


def at(line: int, column: int) -> Origin:
    return in_text("pack.yaml", line, column)


def problems_of(text: str | bytes) -> tuple[Problem, ...]:
    with pytest.raises(InputProblems) as raised:
        parse_document(text, "pack.yaml")
    return raised.value.problems


@pytest.fixture(params=["C", "Python"])
def _each_parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run a test with libyaml's parser and with the one it falls back to."""
    if request.param == "Python":
        monkeypatch.setattr(document_reading, "_parser", yaml.SafeLoader)
    else:
        assert yaml.__with_libyaml__


@pytest.mark.usefixtures("_each_parser")
def test_data_and_marks() -> None:
    document = parse_document(LAYOUT, "pack.yaml")
    assert document.root["positions"] == {"P01..P24": {"module": "stick", "plus at": ["A", "B"]}}
    stick = document.root["module types"]["stick"]
    assert isinstance(stick, MarkedMapping)
    assert isinstance(stick["size"], MarkedSequence)
    assert stick.key_mark["rest"] == at(5, 5)
    assert stick.value_mark["rest"] == at(5, 11)
    assert stick["size"].mark == at(6, 11)
    assert stick["size"].item_mark == [at(6, 12), at(6, 19), at(6, 27)]
    assert document.mark(["positions", "P01..P24", "plus at", 1]) == at(8, LAYOUT.splitlines()[7].index("B]") + 1)
    assert document.mark(["positions", "P01..P24"], key=True) == at(8, 3)
    assert document.lines[1] == "name: skerry-24          # a comment"


def test_mark_of_an_absent_part_is_that_of_the_nearest_thing_that_exists() -> None:
    document = parse_document(LAYOUT, "pack.yaml")
    assert document.mark(["module types", "stick", "torque"], key=True) == document.mark(
        ["module types", "stick"], key=True
    )
    assert document.mark(["absent"]) == at(1, 1)


def test_problem_shows_the_line_with_a_caret() -> None:
    document = parse_document(LAYOUT, "pack.yaml")
    problem = document.problem(["module types", "stick", "rest"], found="f", needed="n", why="w", do="d")
    assert problem.place() == "pack.yaml:5:11"
    assert problem.excerpt == "    rest: 7.5 V to 8.4 V\n          ^"
    assert (problem.found, problem.needed, problem.why, problem.do) == ("f", "n", "w", "d")


def test_excerpt_of_a_long_line_is_cut_around_the_mark() -> None:
    document = parse_document("a: [" + ", ".join(f"P{n:03}" for n in range(200)) + "]\n", "pack.yaml")
    line, caret = document.excerpt(document.mark(["a", 100])).split("\n")
    assert len(line) <= 112
    assert line[len(caret) - 1 :].startswith("P100")
    assert line.startswith("…")
    assert line.endswith("…")


@pytest.mark.usefixtures("_each_parser")
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", None),
        ("~", None),
        ("null", None),
        ("true", True),
        ("false", False),
        ("0", 0),
        ("-12", -12),
        ("+5", 5),
        ("\u22125", -5),
        ("4.50", Decimal("4.50")),
        ("\u22124.5", Decimal("-4.5")),
        ("no", "no"),
        ("yes", "yes"),
        ("on", "on"),
        ("off", "off"),
        ("True", "True"),
        ("12:30", "12:30"),
        ("2026-10-05 08:40", "2026-10-05 08:40"),
        ("2026-10-05", "2026-10-05"),
        ("1_000", "1_000"),
        ("0x1F", "0x1F"),
        ("1.2.3", "1.2.3"),
        ("=", "="),
        ("none", "none"),
        ("N1", "N1"),
        ("in", "in"),
        ("4.5 N·m", "4.5 N·m"),
        ("'4.5'", "4.5"),
        ('"0012"', "0012"),
        ("'null'", "null"),
        ("'1e999'", "1e999"),
    ],
)
def test_scalar(text: str, expected: object) -> None:
    value = parse_document(f"a: {text}", "pack.yaml").root["a"]
    assert value == expected
    assert type(value) is type(expected)


def test_decimal_keeps_its_digits() -> None:
    assert str(parse_document("a: 4.50", "pack.yaml").root["a"]) == "4.50"


@pytest.mark.parametrize(
    ("text", "found", "do"),
    [
        ("a: 010", "leading zero", 'write 10 if it is a number, "010" if it is a name'),
        ("a: -007", "leading zero", "write -7"),
        ("a: 00.5", "leading zero", "write 0.5"),
        ("a: 1e-3", "power of ten", 'write 0.001 if it is a number, "1e-3" if it is a name'),
        ("a: 12E4", "power of ten", "write 120000"),
        ("a: 1e999", "power of ten", "the plain digits"),
        ("a: .5", "decimal point", "write 0.5"),
        ("a: 5.", "decimal point", "write 5 if"),
        ("a: .nan", "no number", 'write ".nan"'),
        ("a: NaN", "no number", 'write "NaN"'),
        ("a: -.inf", "no number", 'write "-.inf"'),
        ("a: inf", "no number", 'write "inf"'),
        ("a: Infinity", "no number", 'write "Infinity"'),
        pytest.param("a: " + "1" * 5000, "5000 characters", "quotes", id="5000 digits"),
        ("a: &x 1", "&x", "write the value out"),
        ("a: *x", "*x", "write the value out"),
        ("<<: {a: 1}", "<<", "write the value out"),
        ("a: !!int 3", "!!int", "leave the type mark out"),
        ("a: !foo 3", "!foo", "leave the type mark out"),
        ("a: !foo [3]", "!foo", "leave the type mark out"),
        ("a: &x {b: 1}", "&x", "write the value out"),
        ("12: a", "12 as a name", 'put it in quotes: "12"'),
        ("4.5: a", "4.5 as a name", "quotes"),
        ("true: a", "true as a name", "quotes"),
        ("null: a", "a colon without a name", "write the name"),
        ("? [a]\n: b", "in the place of a name", "before the colon"),
        ('"a\\nb": 1', "several lines", "one line"),
        ("a: {x:1}", "'x:1' without a value", "write x: 1"),
        ("a: 1\n---\nb: 2", "a second document", "a file of its own"),
        ("- a\n- b", "a list", "name and a colon"),
        ("words", "a single text", "name and a colon"),
        ('a: "\\0"', "U+0000", "take it out"),
        ('a: "x\\u202Ey"', "U+202E", "take it out"),
    ],
)
@pytest.mark.usefixtures("_each_parser")
def test_treacherous_text_is_refused_with_the_fix(text: str, found: str, do: str) -> None:
    problems = problems_of(text)
    assert [found in p.found and do in p.do for p in problems] == [True], problems


@pytest.mark.usefixtures("_each_parser")
def test_duplicate_name_says_where_the_first_stands() -> None:
    (problem,) = problems_of("P01: [M-1, A]\nP02: [M-2, A]\nP01: [M-3, A]\n")
    assert problem.place() == "pack.yaml:3:1"
    assert "on line 1" in problem.found
    assert problem.excerpt.startswith("P01: [M-3, A]")


def test_all_problems_of_a_file_are_reported_at_once() -> None:
    problems = problems_of("a: 010\nb: 1e5\na: 2\n3: x\nc: &y z\nd: [1, 2\n")
    assert [p.line for p in problems] == [1, 2, 3, 4, 5, 7 - 1]
    assert "not closed" in problems[-1].found


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("a: b: c", 1, "a second colon"),
        ("a: 1\n b: 2", 2, "set in too far"),
        ("a: [1, 2", 1, "a list that is not closed"),
        ("a: [1, 2\nb: 3\nc: 4", 2, "a list that is not closed"),
        ("a: {b: 1", 1, "a mapping that is not closed"),
        ("a: 'x\nb: 1\nc: 2", 1, "never closed"),
        ('a: "x\nb: 1\nc: 2', 1, "never closed"),
        ("a:\n  b: 1\n c: 2", 3, "does not fit the lines above"),
        ("a: @x", 1, "begins with a sign"),
        ("a: `x`", 1, "begins with a sign"),
        ("a: %x", 1, "begins with a sign"),
        ("a: >= 5 V", 1, "begins with > or |"),
        ("a: & x", 1, "begins with &"),
        ("a: * x", 1, "begins with *"),
        ("a: 1\nb", 2, "without a colon"),
        ("a: - b", 1, "a dash after a name"),
        ("- a\nb: 1", 2, "no `- item`"),
        ("a: [x, , y]", 1, "nothing between two commas"),
        ("a: 'x' y", 1, "left over after a value"),
        ("a: ]", 1, "where a value belongs"),
        ('a: "\\q"', 1, "a backslash"),
        ("%FOO\na: 1", 1, "begins with %"),
    ],
)
def test_syntax_error_is_explained_at_its_line(text: str, line: int, found: str) -> None:
    (problem,) = problems_of(text)
    assert found in problem.found
    assert problem.line == line
    assert problem.excerpt.split("\n")[0] == text.split("\n")[line - 1].rstrip()
    assert problem.needed
    assert problem.do


@pytest.mark.parametrize(
    "word", ["flow", "scalar", "token", "indicator", "block ", "anchor", "alias", "mapping values"]
)
def test_syntax_advice_speaks_no_yaml(word: str) -> None:
    from packcheck.files.document.syntax import _ADVICE

    assert [a for a in _ADVICE if word in f"{a.found} {a.needed} {a.do}"] == []


@pytest.mark.parametrize("text", ["a:\n\tb: 1", "a:\tb", "a:\n  -\tb", "  \ta: 1"])
def test_tab_where_structure_is_read_is_refused(text: str) -> None:
    (problem,) = problems_of(text)
    assert "a tab" in problem.found
    assert text.split("\n")[problem.line - 1][problem.column - 1] == "\t"


@pytest.mark.parametrize("text", ["a: b\t# comment", "a: 'x\ty'", "# a:\tb\na: 1"])
def test_tab_elsewhere_does_no_harm(text: str) -> None:
    assert "a" in parse_document(text, "pack.yaml").root


@pytest.mark.parametrize(
    "sign", ["\x00", "\x07", "\x0b", "\x1b", "\x7f", "\x85", "\u00ad", "\u200b", "\u202e", "\u2028", "\ufeff"]
)
def test_invisible_character_is_named_and_placed(sign: str) -> None:
    (problem,) = problems_of(f"a: 1\nbc: x{sign}y\n")
    assert problem.found == f"the invisible character U+{ord(sign):04X}"
    assert (problem.line, problem.column) == (2, 6)


def test_byte_order_mark_and_windows_line_ends_do_no_harm() -> None:
    document = parse_document(b"\xef\xbb\xbfa: 1\r\nb: [x]\r\n", "pack.yaml")
    assert document.root == {"a": 1, "b": ["x"]}
    assert document.mark(["a"], key=True) == at(1, 1)
    assert document.lines == ("a: 1", "b: [x]")


@pytest.mark.parametrize(
    ("content", "line", "found"),
    [
        ("a: 1\nb: 4.5 N·m\n".encode("cp1252"), 2, "the byte B7, which is not UTF-8 ('·' in"),
        ("a: 1\n".encode("utf-16"), 0, "UTF-16"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", 0, "no text"),
        (b"", 0, "an empty file"),
        (b"# only a comment\n", 0, "an empty file"),
        (b"---\n...\n", 0, "an empty file"),
    ],
)
def test_content_that_is_no_text_of_ours(content: bytes, line: int, found: str) -> None:
    (problem,) = problems_of(content)
    assert problem.line == line
    assert found in problem.found


@pytest.mark.parametrize("opening", ["[", "{a: ", "- ", "? "])
def test_ten_thousand_levels_are_refused_at_once(opening: str) -> None:
    (problem,) = problems_of(opening * 10_000)
    assert "inside each other" in problem.found or "nested too deeply" in problem.found


def test_fifty_levels_are_read_and_one_more_is_not() -> None:
    parse_document("a: " + "[" * 49 + "]" * 49, "pack.yaml")
    (problem,) = problems_of("a: " + "[" * 50 + "]" * 50)
    assert "more than 50" in problem.found


def test_alias_bomb_is_refused() -> None:
    lines = ["a0: &a0 [x, x]"] + [f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]" for n in range(1, 30)]
    assert all("a label" in p.found or "a reference" in p.found for p in problems_of("\n".join(lines)))


def test_problems_stop_at_two_hundred() -> None:
    assert len(problems_of("".join(f"a{n}: 010\n" for n in range(5000)))) == 200


def test_file_is_read_under_the_name_given(tmp_path: Path) -> None:
    path = tmp_path / "pack.yaml"
    path.write_text(LAYOUT, encoding="utf-8")
    assert read_document(path).file == str(path)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    large = tmp_path / "large.yaml"
    with large.open("wb") as file:
        file.truncate(65 * 2**20)
    for path, found in [
        (tmp_path, "a folder"),
        (tmp_path / "absent.yaml", "no such file"),
        (tmp_path / "pipe", "a device or pipe"),
        (large, "65 MB"),
        (tmp_path / ("x" * 5000), "cannot be opened"),
        (Path("a\0b"), ""),
    ]:
        with pytest.raises(InputProblems) as raised:
            read_document(path)
        assert found in raised.value.problems[0].found
        assert raised.value.problems[0].line == 0


def test_large_table_is_read_quickly() -> None:
    """A pack of 10,000 modules has some 45,000 short rows; 0.55 s of processor time on a modest machine."""
    rows = "".join(f"  B{n:05d}/P{n:05d}: [4.5, {n % 300}, held, white]\n" for n in range(45_000))
    started = time.process_time()
    document = parse_document("joints:\n" + rows, "record.yaml")
    assert time.process_time() - started < 3
    assert len(document.root["joints"]) == 45_000
    assert document.mark(["joints", "B44999/P44999", 2])[2:4] == (45_001, rows.splitlines()[-1].index("held") + 1)


_SIGNS = st.sampled_from(
    [*"[]{}:,-?&*!|>'\"%@`#~\n \t\\", "  ", "---", "010", "1e9", "é", "Ω", "\x00", "\u2028", "<<: "]
)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(LAYOUT)), st.integers(0, 3), _SIGNS), max_size=4))
@example([(0, 3, "\u2028")])
def test_mutated_text_is_read_or_refused_with_a_place(edits: list[tuple[int, int, str]]) -> None:
    text = LAYOUT
    for at, removed, added in edits:
        text = text[:at] + added + text[at + removed :]
    outcome = read_or_problems(text)
    if isinstance(outcome, Document):
        assert outcome.root
    else:
        assert all(p.found and p.needed and p.do and p.line <= len(text.splitlines()) for p in outcome)


@settings(max_examples=200, deadline=None)
@given(st.one_of(st.text(max_size=60), st.binary(max_size=60)))
def test_any_content_is_read_or_refused(content: str | bytes) -> None:
    outcome = read_or_problems(content)
    assert isinstance(outcome, Document) or all(p.found and p.needed and p.do for p in outcome)


@settings(max_examples=150, deadline=None)
@given(
    st.recursive(
        st.one_of(st.integers(-(10**9), 10**9), st.booleans(), st.none(), st.text("abc é:#-'", max_size=8)),
        lambda inner: st.one_of(
            st.lists(inner, max_size=4), st.dictionaries(st.text("abc", min_size=1), inner, max_size=4)
        ),
        max_leaves=12,
    )
)
def test_what_another_program_writes_is_read_back_equal(value: object) -> None:
    text = yaml.safe_dump({"value": value}, allow_unicode=True, width=10**6)
    assert parse_document(text, "pack.yaml").root["value"] == value


def read_or_problems(content: str | bytes) -> Document | tuple[Problem, ...]:
    try:
        return parse_document(content, "pack.yaml")
    except InputProblems as wrong:
        return wrong.problems
