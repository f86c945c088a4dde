"""The YAML parser's complaints in the words of people who write layouts and records."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from packcheck.files.document.marked import located_problem
from packcheck.files.origin import Origin, in_text
from packcheck.files.problems import Problem


class _Advice(NamedTuple):
    """What to say when the parser's context and problem begin with, or hold, these words."""

    context: str
    problem: str
    found: str
    needed: str
    do: str
    at_opening: bool = False


_QUOTE_IT = "put the whole text in quotes"
_ADVICE = (
    _Advice("flow sequence", "", "a list that is not closed, or lacks a comma", "[a, b, c]",
            "look for the missing comma or ] from the bracket on line {opened}"),
    _Advice("flow mapping", "", "a mapping that is not closed, or lacks a comma", "{{a: 1, b: 2}}",
            "look for the missing comma or }} from the brace on line {opened}"),
    _Advice("flow node", "", "nothing between two commas, or a stray sign", "a value between the commas",
            "write none where a value was not taken, or take the comma out"),
    _Advice("quoted scalar", "end of stream", "a quotation mark that is never closed", "a second quotation mark",
            "close the text that was opened here", at_opening=True),
    _Advice("quoted scalar", "document indicator", "a quotation mark that is never closed", "a second quotation mark",
            "close the text that was opened here", at_opening=True),
    _Advice("quoted scalar", "escape", "a backslash in double quotes", "a text without backslashes",
            "use single quotes around this text"),
    _Advice("block scalar", "", "a value that begins with > or |", "a value that begins with a letter or digit",
            "say bounds in words, as in `at least 500 MΩ`, or put the text in quotes", at_opening=True),
    _Advice("anchor", "", "a value that begins with &", "a plain value", _QUOTE_IT, at_opening=True),
    _Advice("alias", "", "a value that begins with *", "a plain value", _QUOTE_IT, at_opening=True),
    _Advice("tag", "", "a value that begins with !", "a plain value", _QUOTE_IT, at_opening=True),
    _Advice("directive", "", "a line that begins with %", "a name, a colon, a value", _QUOTE_IT, at_opening=True),
    _Advice("simple key", "", "a line without a colon after the name", "`name: value`",
            "write the colon and the value, or join the line to the one above", at_opening=True),
    _Advice("plain scalar", "", "a text with a colon or a sign in it that has a meaning of its own", "a plain text",
            _QUOTE_IT),
    _Advice("", "mapping values are not allowed", "a second colon on the line, or a line that is set in too far",
            "one `name: value` on a line, lined up with its neighbours",
            "line it up with the line above, or put a text with a colon in quotes"),
    _Advice("", "sequence entries are not allowed", "a dash after a name on the same line", "a list",
            "put each `- item` on a line of its own, or write [a, b, c]"),
    _Advice("", "cannot start any token", "a value that begins with a sign that has a meaning of its own",
            "a value that begins with a letter or digit", _QUOTE_IT),
    _Advice("block collection", "", "a line that is no `- item` of the list above it", "`- item` lines",
            "line the dashes up, and do not mix a list with names"),
    _Advice("block mapping", "", "something that does not fit the lines above: set in differently, or left over after "
            "a value", "`name: value`, lined up with the names above",
            "line it up with its neighbours, take out what follows the value, or put the whole value in quotes"),
    _Advice("", "document start", "something left over after the end of the data", "`name: value` lines only",
            "check the brackets and the indentation of this line and the one above"),
    _Advice("", "node content", "a bracket or comma where a value belongs", "a value",
            "take the sign out or put the text in quotes"),
    _Advice("", "YAML document", "a %YAML line for another version", "no such line", "delete the line"),
    _Advice("", "depth", "lists or mappings nested too deeply", "fewer levels",
            "look for brackets that are not closed"),
    _Advice("", "", "a line that cannot be read", "`name: value` lines, lists in [ ] and mappings in {{ }}",
            "compare it with a line that can be read, or put the value in quotes"),
)  # fmt: skip


def explain_syntax_error(error: Exception, file: str, lines: Sequence[str]) -> Problem:
    """Return the parser's error as a problem of ours, at the place a person would look first."""
    context = str(getattr(error, "context", None) or "")
    problem = str(getattr(error, "problem", None) or error)
    advice = next(a for a in _ADVICE if a.context in context and a.problem in problem)
    opened = _mark(getattr(error, "context_mark", None), file, lines)
    mark = _mark(getattr(error, "problem_mark", None), file, lines) or opened or in_text(file, 1)
    if advice.at_opening and opened:
        mark = opened
    return located_problem(
        lines,
        mark,
        found=advice.found,
        needed=advice.needed.format(),
        do=advice.do.format(opened=(opened or mark).line),
    )


def _mark(raw: object, file: str, lines: Sequence[str]) -> Origin | None:
    """Return a parser's mark counted from 1; one behind the last line is moved to the end of it."""
    if raw is None:
        return None
    line, column = int(getattr(raw, "line", 0)), int(getattr(raw, "column", 0))
    if line >= len(lines):
        return in_text(file, len(lines), len(lines[-1]) + 1) if lines else in_text(file, 1)
    return in_text(file, line + 1, column + 1)
