"""A file or a text -> a document, or all that is wrong with it."""

from __future__ import annotations

import hashlib
import re
import sys
from pathlib import Path
from typing import Any

import yaml

from packcheck.files.document.building import Builder, TooManyProblems
from packcheck.files.document.marked import Document, MarkedMapping, located_problem
from packcheck.files.document.scalars import MOST_SIGNS, unprintable, unprintable_places
from packcheck.files.document.syntax import explain_syntax_error
from packcheck.files.memory import collection_held_off
from packcheck.files.origin import Origin, in_text
from packcheck.files.problems import InputProblems, Problem

LARGEST_BYTES = 32 * 2**20
STANDARD_INPUT = Path("-")
_CONFLICT = re.compile(r"^<{7} .*$", re.MULTILINE)
_TAB = re.compile(r"^ *\t[ \t]*(?=\S)|^[^#'\"\n]*?[:\-?]\t", re.MULTILINE)


def read_document(path: Path) -> Document:
    """Read a YAML file; ``-`` is standard input.

    Raises
    ------
    InputProblems : the file is absent, no file, too large, no text, or anything ``parse_document`` refuses.
    """
    return parse_document(read_bytes(path), shown_name(path))


def shown_name(path: Path) -> str:
    """Return what a file is called in messages."""
    return "standard input" if path == STANDARD_INPUT else str(path)


def read_bytes(path: Path) -> bytes:
    """Return what stands in a file, or on standard input, at once.

    Raises
    ------
    InputProblems : the file is absent, no file, too large or cannot be opened.
    """
    file = shown_name(path)
    try:
        if path == STANDARD_INPUT:
            return _standard_input(file)
        if path.is_dir():
            raise _whole(file, "a folder", "a file", "name the file in it")
        if not path.is_symlink() and not path.exists():
            raise _whole(file, "no such file", "a file", "check the name and the folder")
        if path.exists() and not path.is_file():
            raise _whole(file, "a device or pipe", "a file", "save the text to a file first")
        with path.open("rb") as stream:
            content = stream.read(LARGEST_BYTES + 1)
    except (OSError, ValueError, RuntimeError) as wrong:
        reason = getattr(wrong, "strerror", None) or str(wrong)
        raise _whole(file, f"a file that cannot be opened: {reason}", "a file that can be read", "check it") from wrong
    if len(content) > LARGEST_BYTES:
        raise _too_large(file, path.stat().st_size)
    return content


def _standard_input(file: str) -> bytes:
    if sys.stdin is None or sys.stdin.isatty():
        do = "send it a file, as in `packcheck check - < pack.yaml`"
        raise _whole(file, "nothing to read", "the text of a layout or a record", do)
    content = sys.stdin.buffer.read(LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        raise _too_large(file, len(content))
    return content


def parse_document(text: str | bytes, file: str) -> Document:
    """Turn YAML text into a document.

    Parameters
    ----------
    text : bytes are taken as UTF-8, with or without a byte order mark.
    file : the name shown in messages.

    Raises
    ------
    InputProblems : what stands in the file is no single mapping of names to plain values; all problems that can be
        found in one reading are in it.
    """
    if len(text) > LARGEST_BYTES:
        raise _too_large(file, len(text))
    content = text_of(text, file) if isinstance(text, bytes) else text.removeprefix("\ufeff")
    lines = tuple(content.splitlines())
    problems = _unmerged(content, file) or _bad_signs(content, file)
    if problems:
        raise InputProblems(problems)
    if content and not content.endswith("\n"):
        content += "\n"
    builder = Builder(file, lines)
    problems = _build(builder, content)
    if not problems:
        problems = _check_root(builder)
    if problems:
        raise InputProblems(problems)
    read = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    return Document(file, builder.root, lines, hashlib.sha256(read).hexdigest())


def _build(builder: Builder, content: str) -> list[Problem]:
    """Run the parser; return the problems, of which a syntax error is the last that can be found."""
    parser = _parser(content)
    try:
        with collection_held_off():
            builder.build(parser)
    except TooManyProblems:
        pass
    except yaml.YAMLError as error:
        return [*builder.problems, explain_syntax_error(error, builder.file, builder.lines)]
    except RecursionError:
        deep = _whole(builder.file, "lists or mappings nested too deeply", "fewer levels", "close the brackets")
        return [deep.problems[0]]
    finally:
        parser.dispose()
    return builder.problems


def _parser(content: str) -> Any:
    """Return libyaml's parser where PyYAML was built with it, else the slower one in Python."""
    return yaml.CSafeLoader(content) if yaml.__with_libyaml__ else yaml.SafeLoader(content)


def _check_root(builder: Builder) -> list[Problem]:
    """Return a problem unless the file holds a mapping."""
    if builder.is_empty:
        return list(_whole(builder.file, "an empty file", "names with values", "write the file").problems)
    if isinstance(builder.root, MarkedMapping):
        return []
    found = "a list" if isinstance(builder.root, list) else "a single text or number"
    do = "begin each line with a name and a colon, as in `name: skerry-24`"
    first, needed = in_text(builder.file, 1), "names with values, `name: value`"
    return [located_problem(builder.lines, first, found=found, needed=needed, do=do)]


def text_of(content: bytes, file: str) -> str:
    """Return bytes as text in UTF-8, with or without a mark before it.

    Raises
    ------
    InputProblems : they are none; the first byte that cannot be one is shown.
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _whole(file, "text saved as UTF-16", "text saved as UTF-8", "save it again with the encoding UTF-8")
    if b"\0" in content[: 2**16]:
        raise _whole(file, "a file with zero bytes in it: no text", "a text file", "check that it is the right file")
    if re.match(rb"<[a-zA-Z!?]", content[:1024].lstrip(b"\xef\xbb\xbf \t\r\n")):
        raise _whole(
            file, "a page or a drawing (HTML, SVG, XML)", "the text of a layout or a record",
            "name the layout or the record itself",
        )  # fmt: skip
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise InputProblems([_not_utf8(content, wrong.start, file)]) from wrong


def _not_utf8(content: bytes, at: int, file: str) -> Problem:
    line_start = content.rfind(b"\n", 0, at) + 1
    line_end = content.find(b"\n", at)
    line = content[line_start : line_end if line_end >= 0 else len(content)].decode("cp1252", "replace")
    mark = in_text(file, content.count(b"\n", 0, at) + 1, len(content[line_start:at].decode("utf-8", "replace")) + 1)
    byte = content[at : at + 1]
    meant = byte.decode("cp1252", "replace")
    found = f"the byte {byte.hex().upper()}, which is not UTF-8 ({meant!r} in Western European Windows text)"
    lines = [""] * (mark.line - 1) + [line]
    do = "save the file again with the encoding UTF-8"
    return located_problem(lines, mark, found=found, needed="text saved as UTF-8", do=do)


def _unmerged(content: str, file: str) -> list[Problem]:
    """Return a problem where two versions of a file stand in it that nobody merged."""
    first = _CONFLICT.search(content)
    if first is None:
        return []
    found, needed = "the marks of two versions that were not brought together", "one version"
    do = "keep what holds of the two parts, and delete the lines that begin with <<<<<<<, ======= and >>>>>>>"
    return [_at(content, content.splitlines(), first.start(), file, found, needed, do)]


def _bad_signs(content: str, file: str) -> list[Problem]:
    """Return a problem for each invisible character and for each tab that stands where structure is read."""
    places = unprintable_places(content)
    tabs = [match.end() - 1 for match in _TAB.finditer(content)][:MOST_SIGNS] if "\t" in content else []
    if not places and not tabs:
        return []
    lines = content.splitlines()
    problems = []
    for place in places:
        found = f"the invisible character {unprintable(content, place)}"
        problems.append(_at(content, lines, place, file, found, "characters that can be seen", "delete it"))
    for place in tabs:
        do = "replace the tab by spaces"
        problems.append(
            _at(content, lines, place, file, "a tab before a value or at the start of a line", "spaces", do)
        )
    return problems


def _at(content: str, lines: list[str], place: int, file: str, found: str, needed: str, do: str) -> Problem:
    before = content[:place].splitlines(keepends=True) or [""]
    ended = before[-1].endswith(("\n", "\r"))
    mark = in_text(file, len(before) + ended, 1 if ended else len(before[-1]) + 1)
    return located_problem(lines, mark, found=found, needed=needed, do=do)


def _whole(file: str, found: str, needed: str, do: str) -> InputProblems:
    return InputProblems([Problem(Origin(file), found, needed, "", do)])


def _too_large(file: str, size: int) -> InputProblems:
    found, needed = f"{size / 2**20:.0f} MB", f"at most {LARGEST_BYTES // 2**20} MB"
    return _whole(file, found, needed, "check that it is the right file")
