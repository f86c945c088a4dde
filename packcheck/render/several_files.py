"""The answers to several files as one table: how many of each kind, then a line for each, worst first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import takewhile

from packcheck.files.frozen import dataclass
from packcheck.judging.report import Report
from packcheck.render.first_screen import Sorted
from packcheck.render.page import plural, printable
from packcheck.render.words import headline_under
from packcheck.rules.findings import Verdict

MOST_CLEAN = 20
"""Lines of files of which no rule is broken, before the rest is counted."""
_SHORT = {
    Verdict.DO_NOT_ENERGIZE: "DO NOT ENERGIZE", Verdict.HOLD: "HOLD", Verdict.NO_RULE_BROKEN: "no rule broken",
}  # fmt: skip
_UNJUDGED = "NOT JUDGED"
_ORDER = ("DO NOT ENERGIZE", "DO NOT BUILD", _UNJUDGED, "HOLD", "no rule broken")
_LONGEST_NAME = 40


@dataclass(frozen=True)
class Line:
    """One file in the table: the answer in two words, in a line, what weighs most, and the exit code."""

    file: str = ""
    short: str = _UNJUDGED
    words: str = ""
    worst: str = ""
    code: int = 0

    @property
    def is_judged(self) -> bool:
        """Return whether the file was judged at all."""
        return self.short != _UNJUDGED


def line_of(report: Report | None) -> Line:
    """Return the line of a file that was judged, or of one that was not."""
    if report is None:
        return Line()
    verdict = report.judgement.verdict
    stop = verdict is Verdict.DO_NOT_ENERGIZE and report.about.kind == "layout"
    weighty = Sorted.of(report).weighty
    more = f" (and {len(weighty) - 1} more)" if len(weighty) > 1 else ""
    return Line(
        file=report.about.file,
        short="DO NOT BUILD" if stop else _SHORT[verdict],
        worst=f"{headline_under(weighty[0])}{more}" if weighty else "",
    )


def render_several(lines: Sequence[Line], *, width: int, everything: bool = False) -> str:
    """Return the table of a run.

    Parameters
    ----------
    lines : one per file, in the order asked for.
    width : columns to write for.
    everything : name every file, however many are clean.
    """
    counts = Counter(line.short for line in lines)
    head = ", ".join(f"{counts[short]:,} {short}" for short in _ORDER if counts[short])
    rows = sorted(lines, key=lambda line: _ORDER.index(line.short))
    left_out = 0 if everything else max(0, counts[_ORDER[-1]] - MOST_CLEAN)
    shown = rows[: len(rows) - left_out]
    folder = _common_folder([line.file for line in lines])
    names = [printable(line.file[len(folder) :]) for line in shown]
    longest = min(_LONGEST_NAME, max(map(len, names), default=0))
    text = "".join(_row(line, name, longest, width) for line, name in zip(shown, names, strict=True))
    rest = f"  and {plural(left_out, 'more file')} with no rule broken; --all names them\n" if left_out else ""
    place = f" in {printable(folder)}" if folder else ""
    return f"{len(lines):,} FILES{place}: {head}\n{text}{rest}"


def _common_folder(files: Sequence[str]) -> str:
    """Return the folder that all of them lie in, with the stroke at its end, or nothing."""
    first, last = min(files), max(files)
    start = "".join(a for a, _ in takewhile(lambda pair: pair[0] == pair[1], zip(first, last, strict=False)))
    return start[: max(start.rfind("/"), start.rfind("\\")) + 1]


def _row(line: Line, name: str, longest: int, width: int) -> str:
    said = line.worst or (line.words.partition(": ")[2] if not line.is_judged else "")
    row = f"  {line.short:<15}  {name:<{longest}}  {printable(said)}".rstrip()
    if len(row) <= width or not said:
        return f"{row}\n"
    below = f"    {printable(said)}"
    return f"  {line.short:<15}  {name}\n{below if len(below) <= width else below[: width - 1].rstrip() + '…'}\n"
