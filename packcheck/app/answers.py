"""One answer per file of a run: judged, not readable, or a fault of packcheck; and all of them as one text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from packcheck import __version__
from packcheck.app.exits import DEFECT, UNREAD, defect_report, worst
from packcheck.files.memory import collection_held_off
from packcheck.files.problems import InputProblems, Problem
from packcheck.judging.check import Judged
from packcheck.judging.report import Report, exit_code
from packcheck.render.page import printable
from packcheck.render.paragraph import Choice
from packcheck.render.terminal import render_terminal, verdict_words


@dataclass(frozen=True)
class Answer:
    """What became of one file: exactly one of ``judged``, ``problems`` and ``defect`` is there."""

    file: str
    judged: Judged | None = None
    problems: tuple[Problem, ...] = ()
    defect: str = ""

    @property
    def report(self) -> Report | None:
        """Return the answer to a file that was judged."""
        return self.judged.report if self.judged else None

    @property
    def code(self) -> int:
        """Return the exit code of this file alone."""
        if self.report is not None:
            return exit_code(self.report.judgement)
        return UNREAD if self.problems else DEFECT

    @property
    def files(self) -> tuple[str, ...]:
        """Return the files that were read for it."""
        if self.report is not None:
            return (self.file, *(source.file for source in self.report.sources))
        return (self.file, *dict.fromkeys(problem.file for problem in self.problems))

    @property
    def words(self) -> str:
        """Return the answer in one line."""
        if self.report is not None:
            return verdict_words(self.report)
        return "NOT JUDGED: it cannot be read" if self.problems else "NOT JUDGED: a fault of packcheck itself"


def answer_each(files: Iterable[str], check: Callable[[str], Judged]) -> tuple[Answer, ...]:
    """Return one answer per file; a file that fails does not keep the others from being judged."""
    return tuple(_answer(file, check) for file in files)


def _answer(file: str, check: Callable[[str], Judged]) -> Answer:
    try:
        return Answer(file, judged=check(file))
    except InputProblems as wrong:
        return Answer(file, problems=wrong.problems)
    except Exception as fault:
        return Answer(file, defect=defect_report(fault))


def answers_in(form: str, answers: Sequence[Answer], width: int, colour: bool, choice: Choice) -> str:
    """Return every answer in a format; width, colour and choice are for text alone."""
    if form == "text":
        return answers_as_text(answers, width=width, colour=colour, choice=choice)
    return _ANSWERS_AS[form](answers, __version__)


def answers_as_text(answers: Sequence[Answer], *, width: int, colour: bool, choice: Choice) -> str:
    """Return every answer in the order asked for, and after several a line for each."""
    texts = [_as_text(answer, width, colour, choice) for answer in answers]
    if len(answers) > 1:
        texts.append("".join([f"{len(answers)} FILES\n", *(f"  {printable(a.file)}: {a.words}\n" for a in answers)]))
    return f"\n{'=' * width}\n\n".join(texts)


def _as_text(answer: Answer, width: int, colour: bool, choice: Choice) -> str:
    if answer.report is not None:
        return render_terminal(answer.report, width=width, colour=colour, choice=choice)
    if answer.problems:
        from packcheck.render.problems import render_problems

        return render_problems(answer.problems, width=width, colour=colour)
    return f"NOT JUDGED: {printable(answer.file)}: {answer.defect}\n"


def answers_as_json(answers: Sequence[Answer], version: str) -> str:
    """Return every answer in one JSON document, its shape in ``schemas/report.json``."""
    from packcheck.render.json import failed_file, judged_file, render_json, unread_file

    entries = [
        judged_file(answer.report) if answer.report is not None
        else unread_file(answer.file, answer.problems) if answer.problems
        else failed_file(answer.file, answer.defect)
        for answer in answers
    ]  # fmt: skip
    return render_json(entries, version=version, code=worst(answer.code for answer in answers))


def answers_as_html(answers: Sequence[Answer], version: str) -> str:
    """Return every answer in one page."""
    from packcheck.judging.dossier import compose_dossier
    from packcheck.render.html.page import failed_part, judged_part, render_html, unread_part

    parts = []
    for number, answer in enumerate(answers, 1):
        prefix = f"a{number}-" if len(answers) > 1 else ""
        if answer.judged is not None:
            with collection_held_off():
                parts.append(judged_part(compose_dossier(answer.judged), prefix))
        elif answer.problems:
            parts.append(unread_part(answer.file, answer.problems, prefix))
        else:
            parts.append(failed_part(answer.file, answer.defect, prefix))
    return render_html(parts, version=version)


def answers_as_sarif(answers: Sequence[Answer], version: str) -> str:
    """Return every answer in one SARIF log."""
    from packcheck.render.sarif import failed_run, judged_run, render_sarif, unread_run

    rules = next((answer.judged.rules for answer in answers if answer.judged), ())
    runs = [
        judged_run(answer.judged.report, rules) if answer.judged is not None
        else unread_run(answer.problems) if answer.problems
        else failed_run(answer.file, answer.defect)
        for answer in answers
    ]  # fmt: skip
    return render_sarif(runs, rules, version=version, code=worst(answer.code for answer in answers))


def answers_as_junit(answers: Sequence[Answer], _: str) -> str:
    """Return every answer in one JUnit document."""
    from packcheck.render.junit import failed_suite, judged_suite, render_junit, unread_suite

    return render_junit(
        judged_suite(answer.judged.report, answer.judged.rules) if answer.judged is not None
        else unread_suite(answer.file, answer.problems) if answer.problems
        else failed_suite(answer.file, answer.defect)
        for answer in answers
    )  # fmt: skip


def answers_as_markdown(answers: Sequence[Answer], _: str) -> str:
    """Return every answer as one summary."""
    from packcheck.render.markdown import failed_summary, judged_summary, render_markdown, unread_summary

    return render_markdown([
        (answer.file, answer.words,
         judged_summary(answer.report) if answer.report is not None
         else unread_summary(answer.file, answer.problems) if answer.problems
         else failed_summary(answer.file, answer.defect))
        for answer in answers
    ])  # fmt: skip


_ANSWERS_AS: dict[str, Callable[[Sequence[Answer], str], str]] = {
    "json": answers_as_json,
    "html": answers_as_html,
    "sarif": answers_as_sarif,
    "junit": answers_as_junit,
    "markdown": answers_as_markdown,
}
"""How each format but text is written; the second argument is the version of packcheck."""
