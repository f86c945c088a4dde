"""The formats of `packcheck check`: one file's answer as a part, and the parts of a run as one text.

A part is plain data that can be sent from one process to another; it is made where the file was judged.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field, replace
from typing import Any

from packcheck import __version__
from packcheck.app.exits import worst
from packcheck.app.file_answer import Answer
from packcheck.files.frozen import dataclass
from packcheck.files.memory import collection_held_off
from packcheck.render.page import printable
from packcheck.render.paragraph import Choice
from packcheck.render.several_files import Line, line_of, render_several
from packcheck.render.terminal import render_terminal
from packcheck.rules.rule import Rule


@dataclass(frozen=True)
class Form:
    """How answers are wanted; width, colour and choice are for text alone.

    ``several``: the answer stands among others.  ``in_full``: of text, the whole answer and not its line alone.
    """

    name: str = "text"
    width: int = 80
    colour: bool = False
    choice: Choice = field(default_factory=Choice)
    several: bool = False
    in_full: bool = True


@dataclass(frozen=True)
class Told:
    """What a run keeps of one file: its line in the table, its answer in the format asked for, the files read.

    ``is_lost``: its process was ended from outside.
    """

    line: Line
    part: Any
    files: tuple[str, ...]
    is_lost: bool = False


def told_of(answer: Answer, number: int, form: Form) -> Told:
    """Return what is kept of the answer to the ``number``-th file, counted from 1."""
    line = replace(line_of(answer.report), file=answer.file, code=answer.code, words=answer.words)
    return Told(line, _PARTS[form.name](answer, number, form), answer.files)


def lost(file: str, number: int, form: Form) -> Told:
    """Return what is kept of a file at which the process that judged it was ended from outside."""
    defect = "the process that judged it was ended from outside, perhaps for want of memory; check this file by itself"
    return replace(told_of(Answer(file, defect=defect), number, form), is_lost=True)


def whole(told: Sequence[Told], form: Form, rules: Sequence[Rule]) -> str:
    """Return the answer to a run in its format."""
    code = worst(one.line.code for one in told)
    return _WHOLE[form.name]([*told], form, rules, code)


def text_of(answer: Answer, _: int, form: Form) -> str:
    """Return the answer as text; nothing where only its line is wanted."""
    if not form.in_full:
        return ""
    if answer.report is not None:
        return render_terminal(answer.report, width=form.width, colour=form.colour, choice=form.choice)
    if answer.problems:
        from packcheck.render.problems import render_problems

        return render_problems(answer.problems, width=form.width, colour=form.colour)
    return f"NOT JUDGED: {printable(answer.file)}: {answer.defect}\n"


def _texts(told: Sequence[Told], form: Form, _: Sequence[Rule], __: int) -> str:
    parts = [one.part for one in told if one.part]
    if form.several:
        parts.insert(0, render_several([one.line for one in told], width=form.width, everything=form.choice.everything))
    return f"\n{'=' * form.width}\n\n".join(parts)


def entry_of(answer: Answer, _: int = 1, __: Form | None = None) -> dict[str, Any]:
    """Return the answer as an entry of the JSON document, its shape in ``schemas/report.json``."""
    from packcheck.render.json import failed_file, judged_file, unread_file

    if answer.report is not None:
        return judged_file(answer.report)
    return unread_file(answer.file, answer.problems) if answer.problems else failed_file(answer.file, answer.defect)


def _document(told: Sequence[Told], _: Form, __: Sequence[Rule], code: int) -> str:
    from packcheck.render.json import render_json

    return render_json((one.part for one in told), version=__version__, code=code)


def _line_of_json(answer: Answer, _: int, __: Form) -> str:
    from packcheck.render.json import render_json_line

    return render_json_line(entry_of(answer), version=__version__, code=answer.code)


def _lines_of_json(told: Sequence[Told], _: Form, __: Sequence[Rule], ___: int) -> str:
    return "".join(one.part for one in told)


def _part_of_page(answer: Answer, number: int, form: Form) -> Any:
    from packcheck.judging.dossier import compose_dossier
    from packcheck.render.html.page import failed_part, judged_part, unread_part

    prefix = f"a{number}-" if form.several else ""
    if answer.judged is not None:
        with collection_held_off():
            return judged_part(compose_dossier(answer.judged), prefix)
    if answer.problems:
        return unread_part(answer.file, answer.problems, prefix)
    return failed_part(answer.file, answer.defect, prefix)


def _page(told: Sequence[Told], _: Form, __: Sequence[Rule], ___: int) -> str:
    from packcheck.render.html.page import render_html

    return render_html([one.part for one in told], version=__version__)


def _run_of(answer: Answer, _: int, __: Form) -> Any:
    from packcheck.render.sarif import failed_run, judged_run, unread_run

    if answer.judged is not None:
        return judged_run(answer.judged.report, answer.judged.rules)
    return unread_run(answer.problems) if answer.problems else failed_run(answer.file, answer.defect)


def _log(told: Sequence[Told], _: Form, rules: Sequence[Rule], code: int) -> str:
    from packcheck.render.sarif import render_sarif

    shown = rules if any(one.line.is_judged for one in told) else ()
    return render_sarif([one.part for one in told], shown, version=__version__, code=code)


def _suite_of(answer: Answer, _: int, __: Form) -> Any:
    from packcheck.render.junit import failed_suite, judged_suite, unread_suite

    if answer.judged is not None:
        return judged_suite(answer.judged.report, answer.judged.rules)
    return unread_suite(answer.file, answer.problems) if answer.problems else failed_suite(answer.file, answer.defect)


def _suites(told: Sequence[Told], _: Form, __: Sequence[Rule], ___: int) -> str:
    from packcheck.render.junit import render_junit

    return render_junit(one.part for one in told)


def _summary_of(answer: Answer, _: int, __: Form) -> str:
    from packcheck.render.markdown import failed_summary, judged_summary, unread_summary

    if answer.report is not None:
        return judged_summary(answer.report)
    return (
        unread_summary(answer.file, answer.problems) if answer.problems else failed_summary(answer.file, answer.defect)
    )


def _summaries(told: Sequence[Told], _: Form, __: Sequence[Rule], ___: int) -> str:
    from packcheck.render.markdown import render_markdown

    return render_markdown([(one.line.file, one.line.words, one.part) for one in told])


_PARTS: dict[str, Callable[[Answer, int, Form], Any]] = {
    "text": text_of, "json": entry_of, "jsonl": _line_of_json, "html": _part_of_page, "sarif": _run_of,
    "junit": _suite_of, "markdown": _summary_of,
}  # fmt: skip
_WHOLE: dict[str, Callable[[Sequence[Told], Form, Sequence[Rule], int], str]] = {
    "text": _texts, "json": _document, "jsonl": _lines_of_json, "html": _page, "sarif": _log,
    "junit": _suites, "markdown": _summaries,
}  # fmt: skip
