"""The folder of a lesson: where case, key, answer sheet and paths lie, read and written with care."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from packcheck.files import clock
from packcheck.files.problems import WrongUsage
from packcheck.lessons.making import ROOM_FOR_MARK, Case
from packcheck.lessons.open_case import OpenCase, ask, open_case, path_secret
from packcheck.lessons.paths import Path as Asked
from packcheck.lessons.paths import head_text, path_text, read_path
from packcheck.lessons.sealing import mark_of, unseal
from packcheck.lessons.trial import Trial
from packcheck.simulate.asked.question import Question

KEYS, SUFFIX = "keys", ".key.json"
PATH, HEAD = ".path.yaml", ".path.json"
_NAME = re.compile(r"[\w-]{1,40}")
_BY = re.compile(r"[\w-]{1,24}")


@dataclass(frozen=True)
class OpenKey:
    """A key that was opened: what it holds, the secret that it was sealed by, its hash."""

    case: str
    holds: dict[str, Any]
    secret: bytes
    mark: str


def open_key(lesson: Path, case: str, passphrase: str) -> OpenKey:
    """Return the key of a case, opened; refuse one that is not the key that its case was made with.

    Raises
    ------
    WrongUsage : there is no such case, its key was exchanged or changed, or the passphrase is another one.
    """
    if not _NAME.fullmatch(case):
        raise WrongUsage(f"'{case}' is no name of a case")
    record, sealed = lesson / f"{case}.yaml", lesson / KEYS / f"{case}{SUFFIX}"
    if not record.is_file() or not sealed.is_file():
        raise WrongUsage(f"{lesson} has no {case}, or no key to it")
    text, written = _text(sealed), _text(record)
    if ROOM_FOR_MARK.format(mark=mark_of(text)) not in written:
        raise WrongUsage(f"{sealed} is not the key that {record} was made with")
    holds, secret = unseal(text, passphrase, str(sealed))
    return OpenKey(case, holds, secret, mark_of(text))


def stand_again(lesson: Path, key: OpenKey) -> OpenCase:
    """Return the case of a key with its true build.

    Raises
    ------
    WrongUsage : its layout is not there or was changed, or it cannot be built again as it was.
    """
    from packcheck.files.document import read_bytes
    from packcheck.model.opening import Text

    layout = layout_in(lesson)
    return open_case(key.case, key.holds, key.mark, key.secret, Text(read_bytes(layout), layout.name))


def write_lesson(folder: Path, trial: Trial, cases: Sequence[Case], brief: str) -> None:
    """Write cases with their brief, answer sheets and keys into a new folder.

    Raises
    ------
    WrongUsage : the folder is there already, or cannot be made.
    """
    from packcheck.files.whole_file import write_whole
    from packcheck.lessons.answers import blank_sheet

    try:
        folder.mkdir(parents=True)
    except FileExistsError:
        raise WrongUsage(f"{folder} is there already; name a new folder") from None
    except OSError as error:
        raise WrongUsage(f"{folder} cannot be made: {error.strerror}") from None
    (folder / KEYS).mkdir()
    write_whole(folder / trial.layout.name, trial.layout.content)
    write_whole(folder / "brief.html", brief)
    for case in cases:
        write_whole(folder / f"{case.name}.yaml", case.text)
        write_whole(folder / f"answer-{case.name}.yaml", blank_sheet(case.name))
        write_whole(folder / KEYS / f"{case.name}{SUFFIX}", case.sealed)


def layout_in(lesson: Path) -> Path:
    """Return the layout in the folder of a lesson.

    Raises
    ------
    WrongUsage : there is none.
    """
    for path in sorted(lesson.glob("*.yaml")):
        with path.open("rb") as stream:
            if stream.read(7) == b"layout:":
                return path
    raise WrongUsage(f"{lesson} has no layout beside its cases")


@dataclass(frozen=True)
class PathFile:
    """The file of one trainee's path through one case, and its head among the keys."""

    lesson: Path
    key: OpenKey
    by: str

    def __post_init__(self) -> None:
        """Hold the name to what a file can be called by."""
        if not _BY.fullmatch(self.by):
            raise WrongUsage(f"--by: found '{self.by[:60]}', needed initials or a short name: letters, digits, - and _")

    @property
    def file(self) -> Path:
        """Return where the path lies; names that differ in their capitals alone are one."""
        return self.lesson / f"{self.key.case}.{self.by.casefold()}{PATH}"

    @property
    def head(self) -> Path:
        """Return where its head lies."""
        return self.lesson / KEYS / f"{self.key.case}.{self.by.casefold()}{HEAD}"

    def read(self) -> Asked:
        """Return the path as it stands.

        Raises
        ------
        InputProblems : it is not as it was written.
        WrongUsage : it is gone though questions were answered.
        """
        from packcheck.files.document import read_bytes

        begun = Asked(self.key.case, self.by.casefold(), self.key.mark)
        if not self.file.exists():
            if self.head.exists():
                raise WrongUsage(
                    f"{self.file} is not there, though questions were answered on it; its head {self.head} is"
                )
            return begun
        head = (read_bytes(self.head), str(self.head)) if self.head.exists() else None
        secret = path_secret(self.key.secret, self.key.case)
        return read_path(read_bytes(self.file), str(self.file), begun, secret, head)

    def write(self, path: Asked) -> None:
        """Write the path whole, then its head: if only the first is done, the path is still one that fits its head."""
        from packcheck.files.whole_file import write_whole

        write_whole(self.file, path_text(path))
        write_whole(self.head, head_text(path))

    def ask(self, case: OpenCase, question: Question) -> Asked:
        """Answer a question, keep it, and return the path with it; one at a time writes the file."""
        from packcheck.app.bench.desk import hold, release

        handle = hold(self.file, "question")
        try:
            before = self.read()
            after = ask(case, before, question, f"{clock.now():%Y-%m-%d %H:%M}")
            if after is not before:
                self.write(after)
            return after
        finally:
            release(self.file, handle)


def asked_by(lesson: Path, case: str) -> Iterator[str]:
    """Yield who asked on a case, by paths and heads."""
    found = {path.name[len(case) + 1 : -len(PATH)] for path in lesson.glob(f"{case}.*{PATH}")}
    found |= {path.name[len(case) + 1 : -len(HEAD)] for path in (lesson / KEYS).glob(f"{case}.*{HEAD}")}
    yield from sorted(name for name in found if _BY.fullmatch(name))


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise WrongUsage(f"{path} cannot be read as text") from None
