"""The commands ``packcheck lesson make``, ``mark``, ``ask`` and ``page``."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from packcheck import __version__
from packcheck.app.arguments import deliver, one_of, open_layout, rules_and_profile
from packcheck.app.exits import FINE, printable, say
from packcheck.app.options import Force, Output, RulesFolder, TextOrJson, fault_names
from packcheck.app.teaching.ask import ask
from packcheck.app.teaching.case_page.command import page
from packcheck.app.teaching.passphrase import Secret, passphrase_of
from packcheck.files.problems import WrongUsage

if TYPE_CHECKING:
    from packcheck.lessons.trial import Trial

lesson_app = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Make cases for teaching, mark answers.")
lesson_app.command("ask", short_help="Answer one question on a case, at a price.")(ask)
lesson_app.command("page", short_help="Serve a page on which a trainee asks.")(page)


@lesson_app.command("make", short_help="Write cases, a brief and sealed keys.")
def make(
    layout: Annotated[Path, typer.Argument(metavar="LAYOUT", help="A layout.")],
    output: Annotated[Path, typer.Option("-o", "--output", metavar="FOLDER", help="New folder for the lesson.")],
    number: Annotated[int, typer.Option(metavar="NUMBER", help="The same number gives the same lesson.")] = 1,
    cases: Annotated[int, typer.Option(metavar="COUNT", help="How many cases.")] = 8,
    fault: Annotated[
        list[str] | None, typer.Option("--fault", metavar="NAME", autocompletion=fault_names, help="Only these faults.")
    ] = None,
    level: Annotated[str, typer.Option(metavar="1-7", help="How hard: one number or a span.")] = "1-6",
    healthy: Annotated[float, typer.Option(metavar="SHARE", help="Share of cases with nothing wrong.")] = 0.2,
    pairs: Annotated[int, typer.Option(metavar="COUNT", help="Pairs with one symptom and two causes.")] = 1,
    compound: Annotated[int, typer.Option(metavar="COUNT", help="Cases with two faults.")] = 0,
    passphrase: Secret = None,
    rules: RulesFolder = None,
) -> int:
    """Write a lesson: records that do not tell what they are of, a brief, answer sheets, and keys under a passphrase.

    \b
    Example:
      packcheck lesson make layouts/skerry-24/skerry-24.yaml --output lesson-1 --cases 8
    """
    from packcheck.app.teaching.brief import render_brief
    from packcheck.app.teaching.folder import KEYS, write_lesson
    from packcheck.lessons.making import Wishes, make_cases
    from packcheck.lessons.sealing import salt_of, secret_of

    wishes = Wishes(cases, tuple(fault or ()), _levels(level), healthy, pairs, compound)
    trial = _trial(layout, rules)
    salt = salt_of(trial.layout.content, number)
    made = make_cases(trial, secret_of(passphrase_of(passphrase), salt), salt, wishes)
    write_lesson(output, trial, made, render_brief(trial.bench.pack, [case.name for case in made], version=__version__))
    say(f"{printable(str(output))}: {len(made)} cases, their brief and answer sheets; the keys are in {KEYS}\n")
    return FINE


@lesson_app.command("mark", short_help="Mark answer sheets; say what the class missed.")
def mark(
    lesson: Annotated[Path, typer.Argument(metavar="LESSON", help="The folder that `lesson make` wrote.")],
    answers: Annotated[list[Path], typer.Argument(metavar="ANSWER...", help="Answer sheets, filled in.")],
    format: TextOrJson = "text",
    again: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Write what was not mastered anew, at other places.")
    ] = None,
    passphrase: Secret = None,
    output: Output = None,
    rules: RulesFolder = None,
    force: Force = False,
) -> int:
    """Mark answers to the cases of a lesson; say what the class missed and what it took it for.

    \b
    Example:
      packcheck lesson mark lesson-1 answer-case-01.yaml answer-case-02.yaml
    """
    form = one_of("format", format, ("text", "json"))
    from packcheck.app.teaching.folder import open_key
    from packcheck.app.teaching.marks import idle_paths, render_marks, render_marks_json, with_path
    from packcheck.files.document import read_bytes
    from packcheck.lessons.answers import read_answer
    from packcheck.lessons.marking import mark as marked

    words = passphrase_of(passphrase)
    read = [read_answer(read_bytes(file), str(file)) for file in answers]
    keys = {case: open_key(lesson, case, words) for case in dict.fromkeys(answer.case for answer in read)}
    marks = [with_path(marked(answer, keys[answer.case].holds), lesson, keys[answer.case]) for answer in read]
    idle = idle_paths(lesson, keys.values(), {(one.case, one.by.casefold()) for one in marks})
    name = printable(lesson.resolve().name)
    text = render_marks(marks, idle, lesson=name) if form == "text" else (
        render_marks_json(marks, idle, lesson=name, version=__version__))  # fmt: skip
    deliver(text, output, answers, force=force)
    if again is not None:
        owed = [case for case in keys if not all(one.is_mastered for one in marks if one.case == case)]
        _write_again(lesson, again, {case: keys[case].holds for case in owed}, words, rules)
    return FINE


def _write_again(
    lesson: Path, folder: Path, keys: dict[str, dict[str, object]], passphrase: str, rules: list[Path] | None
) -> None:
    from packcheck.app.teaching.brief import render_brief
    from packcheck.app.teaching.folder import layout_in, write_lesson
    from packcheck.lessons.making import again
    from packcheck.lessons.sealing import salt_of, secret_of

    trial = _trial(layout_in(lesson), rules)
    number = int.from_bytes(str(sorted(keys)).encode()[:4])
    salt = salt_of(trial.layout.content + repr(sorted(keys)).encode(), number)
    secret = secret_of(passphrase, salt)
    made = [again(trial, dict(key), case, secret, salt) for case, key in keys.items()]
    write_lesson(folder, trial, made, render_brief(trial.bench.pack, [case.name for case in made], version=__version__))
    say(f"{printable(str(folder))}: {len(made)} cases anew, at other places\n")


def _trial(layout: Path, rules: list[Path] | None) -> Trial:
    from packcheck.lessons.trial import Trial
    from packcheck.simulate.scribe import Bench

    text, pack = open_layout(layout)
    return Trial(text, Bench(pack), rules_and_profile(rules, None)[0])


def _levels(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"([1-7])(?:-([1-7]))?", text.strip())
    if not found:
        raise WrongUsage(f"--level: found '{text}', needed one number or a span within 1-7, such as 2-4")
    low, high = int(found[1]), int(found[2] or found[1])
    return min(low, high), max(low, high)
