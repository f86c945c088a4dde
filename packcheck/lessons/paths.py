"""The path of a trainee through a case: each question, its answer, its price, chained so that none is left out unseen.

Each line carries a seal over itself and the line before it (HMAC-SHA-256, RFC 2104), by a secret of the passphrase; the
head, which the trainer keeps with the keys, tells how many there are and how the last one is sealed.  Only who holds
the passphrase can add a line; a line that was changed, taken out or moved, and an end that was cut off, are seen.
"""

from __future__ import annotations

import hashlib
import hmac
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, NoReturn

from packcheck.files.document import Document, parse_document
from packcheck.files.problems import InputProblems

FIELDS = ("number", "at", "question", "reads", "points", "seal")
ROOT = ("path", "case", "by", "key", "asked")
HEAD = ("path", "asked", "seal")
DO = "put the file back as packcheck wrote it"
_TOP = """\
# Questions of {by} on {case}.  packcheck writes this file and knows each of its lines: one that is changed, moved or
# left out is seen when the answer is marked.
"""


@dataclass(frozen=True)
class Asked:
    """One question that was answered."""

    number: int
    at: str
    question: str
    reads: str
    points: int
    seal: str = ""


@dataclass(frozen=True)
class Path:
    """What one trainee asked on one case; ``key`` is the hash of its sealed key."""

    case: str
    by: str
    key: str
    asked: tuple[Asked, ...] = ()

    @property
    def points(self) -> int:
        """Return what the questions cost together."""
        return sum(one.points for one in self.asked)

    def found(self, question: str) -> Asked | None:
        """Return the line of a question that was asked before."""
        return next((one for one in self.asked if one.question == question), None)

    def with_asked(self, one: Asked, secret: bytes) -> Path:
        """Return the path with one more line, sealed."""
        before = self.asked[-1].seal if self.asked else self._root(secret)
        return replace(self, asked=(*self.asked, replace(one, seal=_seal(one, before, secret))))

    def first_wrong(self, secret: bytes) -> int | None:
        """Return the index of the first line that is not as it was written; None where all are."""
        before = self._root(secret)
        for index, one in enumerate(self.asked):
            if one.number != index + 1 or not hmac.compare_digest(
                one.seal.encode(), _seal(one, before, secret).encode()
            ):
                return index
            before = one.seal
        return None

    def _root(self, secret: bytes) -> str:
        return _hmac(secret, ["path", self.case, self.by, self.key])


def path_text(path: Path) -> str:
    """Return the file of a path."""
    head = _TOP.format(by=path.by, case=path.case)
    head += f"path: 1\ncase: {_quoted(path.case)}\nby: {_quoted(path.by)}\nkey: {_quoted(path.key)}\n"
    rows = [f"  - {_quoted({name: getattr(one, name) for name in FIELDS})}\n" for one in path.asked]
    return f"{head}asked:{'' if rows else ' []'}\n{''.join(rows)}"


def head_text(path: Path) -> str:
    """Return the head of a path: how many lines it has, and how the last one is sealed."""
    return _quoted({"path": 1, "asked": len(path.asked), "seal": path.asked[-1].seal if path.asked else ""}) + "\n"


def read_path(content: bytes, name: str, wanted: Path, secret: bytes, head: tuple[bytes, str] | None) -> Path:
    """Return the path that a file holds.

    Parameters
    ----------
    content, name : of the file.
    wanted : the path as it begins: of which case, whom and key.
    secret : by which its lines are sealed.
    head : content and name of the head beside the keys; None where there is none.

    Raises
    ------
    InputProblems : it is no path, that of another case, person or key, or not as it was written.
    """
    document = parse_document(content, name)
    path = _shaped(document, wanted)
    index = path.first_wrong(secret)
    if index is not None:
        _refuse(document, ("asked", index), "a line that is not as it was written",
                "each line as it was written, in its order")  # fmt: skip
    count, seal = _head(*head) if head else (0, "")
    if path.asked and not head:
        _refuse(document, (), f"{_questions(len(path.asked))}, and no head of this path among the keys",
                "the head, which the trainer keeps in the folder keys")  # fmt: skip
    if count > len(path.asked):
        _refuse(document, ("asked",), _questions(len(path.asked)), f"{_questions(count)}: so many were answered")
    if count and path.asked[count - 1].seal != seal:
        _refuse(document, ("asked", count - 1), "a line of another path", "the path that belongs to its head")
    return path


def _head(content: bytes, name: str) -> tuple[int, str]:
    """Return how many questions were answered, and how the last one is sealed."""
    document = parse_document(content, name)
    root = document.root
    if set(root) != set(HEAD) or not _is_count(root["asked"]) or not isinstance(root["seal"], str):
        _refuse(document, (), "no head of a path", f"one with {', '.join(HEAD)}")
    return int(str(root["asked"])), str(root["seal"])


def _shaped(document: Document, wanted: Path) -> Path:
    root = document.root
    if set(root) != set(ROOT):
        _refuse(
            document, (), f"a file with {', '.join(map(str, root)) or 'nothing'}", f"a path, with {', '.join(ROOT)}"
        )
    for key, value in (("path", "1"), ("case", wanted.case), ("by", wanted.by), ("key", wanted.key)):
        if str(root[key]) != value:
            _refuse(document, (key,), f"'{root[key]}'", f"'{value}'")
    rows = root["asked"]
    if not isinstance(rows, list):
        _refuse(document, ("asked",), "no list", "a list of questions")
    return replace(wanted, asked=tuple(_row(document, i, row) for i, row in enumerate(rows)))


def _row(document: Document, index: int, row: Any) -> Asked:
    if not isinstance(row, Mapping) or set(row) != set(FIELDS):
        _refuse(document, ("asked", index), "no line of a path", f"one with {', '.join(FIELDS)}")
    for name in ("number", "points"):
        if not _is_count(row[name]):
            _refuse(document, ("asked", index, name), f"'{row[name]}'", "a whole number as it was written")
    texts = {name: str(row[name]) for name in FIELDS if name not in ("number", "points")}
    return Asked(number=int(str(row["number"])), points=int(str(row["points"])), **texts)


def _is_count(value: Any) -> bool:
    return not isinstance(value, bool | Mapping | list) and str(value).isascii() and str(value).isdecimal() and (
        len(str(value)) < 7)  # fmt: skip


def _refuse(document: Document, where: tuple[str | int, ...], found: str, needed: str) -> NoReturn:
    raise InputProblems([document.problem(where, found=found, needed=needed, do=DO)])


def _seal(one: Asked, before: str, secret: bytes) -> str:
    return _hmac(secret, [before, one.number, one.at, one.question, one.reads, one.points])


def _hmac(secret: bytes, said: list[str | int]) -> str:
    return hmac.new(secret, _quoted(said).encode(), hashlib.sha256).hexdigest()


def _questions(count: int) -> str:
    return f"{count} question{'s' * (count != 1)}"


def _quoted(value: Any) -> str:
    """Return data as JSON, which is YAML as well."""
    return json.dumps(value, ensure_ascii=False)
