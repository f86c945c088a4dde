"""The lines of a release sheet that are read again: when, by which version, from which files, and the seal."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from packcheck.files.origin import Origin
from packcheck.files.problems import InputProblems, Problem
from packcheck.judging.report import Source

ROLES = ("record", "layout", "profile", "rules")
"""What goes into a sheet, in the order in which it stands there; a profile only where one was used."""
FIRST = "RELEASE SHEET of pack "
_FIELD = 8
_MADE = re.compile(r"^made    (\d{4}-\d\d-\d\d \d\d:\d\d)$", re.MULTILINE)
_BY = re.compile(r"^by      packcheck ([0-9][0-9A-Za-z.+-]{0,63})$", re.MULTILINE)
_SOURCE = re.compile(rf"^({'|'.join(ROLES)}) +(\S[^\n]*)\n {{{_FIELD}}}SHA-256 ([0-9a-f]{{64}})$", re.MULTILINE)
_SEAL = re.compile(r"^SEAL    SHA-256 ([0-9a-f]{64})$", re.MULTILINE)


@dataclass(frozen=True)
class Sheet:
    """A release sheet as read: its text down to the seal, what its lines say, and what the seal says of the text."""

    file: str
    pack: str
    made: str
    version: str
    sources: tuple[Source, ...]
    body: str
    seal: str

    @property
    def is_whole(self) -> bool:
        """Return whether the text above the seal is the one it was put under."""
        return seal_of(self.body) == self.seal

    def source(self, role: str) -> Source | None:
        """Return the file of a role, None where the sheet names none."""
        return next((source for source in self.sources if source.role == role), None)


def head_lines(pack: str, made: str, version: str) -> Iterator[str]:
    """Yield the first lines of a sheet."""
    yield f"{FIRST}{pack}"
    yield f"{'made':<{_FIELD}}{made}"
    yield f"{'by':<{_FIELD}}packcheck {version}"


def source_lines(sources: Iterable[Source]) -> Iterator[str]:
    """Yield the lines that name the files, record first."""
    for source in sorted(sources, key=lambda source: ROLES.index(source.role)):
        yield f"{source.role:<{_FIELD}}{source.file}"
        yield f"{'':<{_FIELD}}SHA-256 {source.sha256}"


def seal_line(body: str) -> str:
    """Return the line that closes the text of a sheet."""
    return f"{'SEAL':<{_FIELD}}SHA-256 {seal_of(body)}"


def seal_of(body: str) -> str:
    """Return the SHA-256 of a text, in UTF-8, in hexadecimal digits."""
    return hashlib.sha256(body.encode("utf-8", "surrogatepass")).hexdigest()


def read_sheet(content: bytes, file: str) -> Sheet:
    """Return what a release sheet says; line ends of any system are taken as one.

    Raises
    ------
    InputProblems : it is no release sheet, or a line that names a file, the version, the time or the seal is missing,
        stands there twice, or is not as it was written.
    """
    text = content.decode("utf-8", "replace").replace("\r\n", "\n").removeprefix("\ufeff")
    if not text.startswith(FIRST):
        raise _unreadable(file, "a file that is no release sheet", "a file that `packcheck release` wrote")
    seals = list(_SEAL.finditer(text))
    if len(seals) != 1:
        raise _unreadable(file, f"{len(seals)} seals", "the one line SEAL that it was written with")
    body = text[: seals[0].start()]
    made, by = _MADE.findall(body), _BY.findall(body)
    sources = tuple(Source(role, name, sha256) for role, name, sha256 in _SOURCE.findall(body))
    roles = [source.role for source in sources]
    if len(made) != 1 or len(by) != 1 or len(set(roles)) < len(roles) or not {*ROLES} - {"profile"} <= {*roles}:
        needed = "one line each for made, by, record, layout and rules, with its SHA-256"
        raise _unreadable(file, "lines at its head that are not as they were written", needed)
    pack = body.splitlines()[0].removeprefix(FIRST)
    return Sheet(file, pack, made[0], by[0], sources, body, seals[0][1])


def _unreadable(file: str, found: str, needed: str) -> InputProblems:
    why, do = "nothing can be told from a sheet that was changed there", "take the sheet as it was written"
    return InputProblems([Problem(Origin(file), found, needed, why, do)])
