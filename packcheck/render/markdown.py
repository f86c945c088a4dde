"""The answer as a summary in Markdown, short enough for a pull request or a mail."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from packcheck.files.problems import Problem
from packcheck.judging.report import Paragraph, Report
from packcheck.render.first_screen import Sorted, about_words, counts_words, do_now_words, heading_of, verdict_words
from packcheck.render.page import plural, printable
from packcheck.render.paragraph import title_of
from packcheck.render.surroundings import checked_words, to_the_engineer
from packcheck.render.terminal import SHORT_CAUTION
from packcheck.render.to_do import errands_of, how_many, trips
from packcheck.rules.findings import Outcome

MOST_FINDINGS, MOST_ERRANDS, MOST_PROBLEMS = 20, 20, 20
"""How many of each are told before the rest is counted."""
_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~!&$@])")
_LIST = re.compile(r"\A(\s*)([-+]|\d+[.)])(?=\s)")


def judged_summary(report: Report) -> str:
    """Return the summary of a file that was judged."""
    sorted_ = Sorted.of(report)
    lines = [f"## {plain(verdict_words(report))}", "", plain(about_words(report)), "",
             f"**Do now:** {plain(do_now_words(report, sorted_))}", "",
             f"**Found:** {plain(counts_words(report, sorted_))}", ""]  # fmt: skip
    lines += _findings(sorted_.weighty)
    lines += _to_do(report)
    if sorted_.of_drawing:
        lines += [f"{plural(len(sorted_.of_drawing), 'remark')} on the drawing. {plain(to_the_engineer(report))}", ""]
    lines += [plain(" ".join(checked_words(report))), ""]
    lines += [f"- {source.role} `{_code(source.file)}`, SHA-256 `{source.sha256}`" for source in report.sources]
    caution = SHORT_CAUTION.partition(" Without --brief")[0]
    return "\n".join([*lines, f"- packcheck {report.version}", "", f"> {plain(caution)}", ""])


def unread_summary(file: str, problems: Sequence[Problem]) -> str:
    """Return the summary of a file that could not be read."""
    lines = [f"## NOT JUDGED: {plural(len(problems), 'mistake')} in {plain(file)}", ""]
    for problem in problems[:MOST_PROBLEMS]:
        do = f" {plain(problem.do)}" if problem.do else ""
        lines.append(f"- {plain(problem.place())}: found {plain(problem.found)}; needed {plain(problem.needed)}.{do}")
    return "\n".join([*lines, *_rest(len(problems) - MOST_PROBLEMS, "mistake"), ""])


def failed_summary(file: str, defect: str) -> str:
    """Return the summary of a file at which packcheck itself failed."""
    return f"## NOT JUDGED: {plain(file)}\n\n{plain(defect)}\n"


def render_markdown(summaries: Sequence[tuple[str, str, str]]) -> str:
    """Return the summaries of a whole run: each file's name, its answer in a line, and its summary."""
    if len(summaries) == 1:
        return summaries[0][2]
    rows = [f"| {plain(file)} | {plain(words)} |" for file, words, _ in summaries]
    head = "\n".join([f"## {len(summaries)} files", "", "| file | answer |", "|---|---|", *rows, ""])
    return "\n".join([head, *(summary for _, _, summary in summaries)])


def plain(text: str) -> str:
    """Return a text in which nothing is taken for Markdown or HTML; what stands in `grave accents` stays code.

    Examples
    --------
    >>> plain("*P01* <b> `packcheck next`")
    '\\\\*P01\\\\* \\\\<b\\\\> `packcheck next`'
    """
    pieces = printable(text).split("`")
    if len(pieces) % 2 == 0:
        pieces = [printable(text)]
    told = "`".join(piece if i % 2 else _SPECIAL.sub(r"\\\1", piece) for i, piece in enumerate(pieces))
    return _LIST.sub(lambda found: f"{found[1]}\\{found[2]}" if found[2] in "-+" else found[0], told)


def _code(text: str) -> str:
    return printable(text).replace("`", "'")


def _findings(weighty: Sequence[Paragraph]) -> Iterator[str]:
    numbered = list(enumerate(weighty, 1))
    for heading, group in groupby(numbered[:MOST_FINDINGS], key=lambda row: heading_of(row[1])):
        yield f"### {heading}"
        yield ""
        for number, paragraph in group:
            yield f"{number}. **{plain(title_of(paragraph))}** (`{paragraph.rule}`)"
            if paragraph.outcome is Outcome.BROKEN:
                yield from (f"   - {plain(do)}" for do in dict.fromkeys(finding.do for finding in paragraph.findings))
        yield ""
    yield from _rest(len(numbered) - MOST_FINDINGS, "finding")


def _to_do(report: Report) -> Iterator[str]:
    errands = errands_of(report)
    if not errands:
        return
    yield f"### TO DO, {how_many(errands)}"
    yield ""
    for trip in trips(errands[:MOST_ERRANDS]):
        title = "; ".join(filter(None, (trip.gate, trip.stage)))
        if title:
            yield from (f"**{plain(title)}**", "")
        yield from (f"- [ ] {plain(words)}" for words in trip.errands)
        yield ""
    yield from _rest(len(errands) - MOST_ERRANDS, "line")


def _rest(count: int, noun: str) -> Iterator[str]:
    if count > 0:
        yield f"and {plural(count, f'more {noun}')}"
        yield ""
