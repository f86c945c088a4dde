"""What has changed since a release sheet was made: files, rules, version, and the sheet itself."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path
from typing import NamedTuple

from packcheck import __version__
from packcheck.app.arguments import rules_and_profile
from packcheck.app.exits import BROKEN, FINE, OPEN, printable, say
from packcheck.files.document import read_bytes
from packcheck.files.problems import InputProblems, WrongUsage
from packcheck.judging.provenance import rules_source
from packcheck.judging.releasing import release_of
from packcheck.judging.report import Report, Source
from packcheck.judging.sealed_sheet import Sheet, read_sheet
from packcheck.model.opening import open_file
from packcheck.render.first_screen import verdict_words
from packcheck.render.release_sheet import render_release
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

SAME, CHANGED, MISSING = "same", "changed", "missing"
_SHOWN = 90
"""Signs of a differing line that are shown."""


class Said(NamedTuple):
    """What became of one thing that a sheet names: same, changed or missing, and about what, in words."""

    state: str
    words: str


def verify_sheet(
    sheet: Path, record: Path | None, profile: Path | None, rules: list[Path] | None, layout: Path | None
) -> int:
    """Say what has changed since a sheet was made; return 0 for nothing, 1 for a change, 3 where something is missing.

    Parameters
    ----------
    sheet : the release sheet.
    record, profile : where the files are now; without, they are looked for in the sheet's own folder.
    rules : folders of rules beside those that come with packcheck.
    layout : where the layout is now.
    """
    known = read_sheet(read_bytes(sheet), str(sheet))
    paths = _Paths(known, {"record": record, "layout": layout, "profile": profile})
    held_to, shop = rules_and_profile(rules, paths.of("profile"))
    said = [*_of_files(known, paths), _of_rules(known, held_to), _of_version(known)]
    said.append(_of_seal(known))
    said += _made_anew(known, paths, held_to, shop, said)
    lines = [f"Release sheet of pack {known.pack}, made {known.made}: {known.file}"]
    lines += [f"  {state:<8} {words}" for state, words in said]
    say("".join(f"{printable(line)}\n" for line in lines))
    states = {one.state for one in said}
    return BROKEN if CHANGED in states else OPEN if MISSING in states else FINE


class _Paths:
    """Where the files of a sheet are: as named on the command line, else in the sheet's own folder or below.

    A sheet that somebody sent does not choose which other files are read.
    """

    def __init__(self, sheet: Sheet, given: dict[str, Path | None]) -> None:
        self._home, self._given = Path(sheet.file).parent, given
        self._named = {source.role: source.file for source in sheet.sources}

    def of(self, role: str) -> Path | None:
        """Return the path of a file that can be read, None where there is none."""
        if self._given.get(role) or role not in self._named:
            return self._given.get(role)
        beside = _within(self._home, self._named[role])
        record = self._given.get("record")
        if beside is None and role == "layout" and record is not None:
            return _within(record.parent, Path(self._named[role]).name)
        return beside


def _within(folder: Path, name: str) -> Path | None:
    """Return a file of a folder or below, wherever links lead; None where there is none."""
    path = folder / name
    try:
        lies_within = Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))
        return path if lies_within and path.is_file() else None
    except (OSError, ValueError):
        return None


def _of_files(sheet: Sheet, paths: _Paths) -> Iterator[Said]:
    for role in ("record", "layout", "profile"):
        source, path = sheet.source(role), paths.of(role)
        if source is None:
            if path is not None:
                yield Said(CHANGED, f"profile {path}: the sheet was made without one")
            continue
        if path is None:
            option = "as an argument" if role == "record" else f"with --{role}"
            yield Said(MISSING, f"{role} {source.file}: not beside the sheet or below; name it {option}")
            continue
        sha256 = hashlib.sha256(read_bytes(path)).hexdigest()
        if sha256 == source.sha256:
            yield Said(SAME, f"{role} {path}")
        else:
            yield Said(CHANGED, f"{role} {path}: SHA-256 {sha256[:12]}…, on the sheet {source.sha256[:12]}…")


def _of_rules(sheet: Sheet, rules: tuple[Rule, ...]) -> Said:
    now, then = rules_source(rules), sheet.source("rules")
    if now is None or then is None:
        return Said(MISSING, "the rules")
    if now.sha256 == then.sha256:
        return Said(SAME, f"rules, {now.file}")
    return Said(CHANGED, f"rules: {now.file} now, {then.file} then; name a folder of the shop's own with --rules")


def _of_version(sheet: Sheet) -> Said:
    if sheet.version == __version__:
        return Said(SAME, f"packcheck {__version__}")
    return Said(CHANGED, f"packcheck: {__version__} now, {sheet.version} then")


def _of_seal(sheet: Sheet) -> Said:
    if sheet.is_whole:
        return Said(SAME, "the text of the sheet, by its seal")
    return Said(CHANGED, "the text of the sheet: it is not the one that its seal was put under")


def _made_anew(
    sheet: Sheet, paths: _Paths, rules: tuple[Rule, ...], shop: Profile | None, said: list[Said]
) -> Iterator[Said]:
    """Yield how the files are judged today, and whether the sheet made anew from the same files has the same text."""
    path = paths.of("record")
    if path is None or paths.of("layout") is None:
        yield Said(MISSING, "the verdict today: it takes the record and its layout")
        return
    try:
        release = release_of(open_file(path, paths.of("layout")), rules, shop)
    except (InputProblems, WrongUsage) as wrong:
        yield Said(CHANGED, f"the verdict today: not judged, {wrong}")
        return
    words = f"judged today: {verdict_words(release.report)}"
    yield Said(SAME if release.may_be_made else CHANGED, words)
    if all(one.state == SAME for one in said[:-1]):  # all that the text follows from
        anew = render_release(release, made=sheet.made, sources=_named(sheet, release.report))
        yield _differing(sheet, anew)


def _named(sheet: Sheet, report: Report) -> tuple[Source, ...]:
    """Return the files of today under the names that the sheet gives them."""
    names = {source.role: source.file for source in sheet.sources}
    return tuple(Source(source.role, names.get(source.role, source.file), source.sha256) for source in report.sources)


def _differing(sheet: Sheet, anew: str) -> Said:
    if anew == sheet.body:
        return Said(SAME, "the text of the sheet, made anew from the same files")
    for number, (then, now) in enumerate(zip_longest(sheet.body.splitlines(), anew.splitlines(), fillvalue=""), 1):
        if then != now:
            words = f"it says '{then.strip()[:_SHOWN]}' where these files make '{now.strip()[:_SHOWN]}'"
            return Said(CHANGED, f"the sheet at line {number}: {words}")
    return Said(CHANGED, "the sheet: its line ends")
