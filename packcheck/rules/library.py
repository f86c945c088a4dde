"""Load folders of rule files, hold them to each other, and run the examples they carry."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from packcheck.files.document import Document, parse_document
from packcheck.files.memory import collection_held_off
from packcheck.files.origin import Origin, in_text
from packcheck.files.problems import InputProblems, Problem, nearest_name
from packcheck.rules import terms
from packcheck.rules.catalogue import Table
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Outcome
from packcheck.rules.rule import Example, Rule, causes_of
from packcheck.rules.rule_file import read_rule
from packcheck.rules.rule_folder import Stamp, rule_files

_EXAMPLES = b"\nexamples:"
"""How the last part of a rule file begins."""


def load_rules(folders: Iterable[Path], tables: Mapping[str, Table], *, with_examples: bool = True) -> tuple[Rule, ...]:
    """Return every rule in the folders, by family and name.

    A rule file lies at ``FOLDER/<family>/<name>.yaml``.  Files that did not change since they were last read in this
    process are not read again.

    Parameters
    ----------
    folders : where the families lie.
    tables : the fact tables by name.
    with_examples : False leaves the examples out, where they stand last as they should: they are most of a file, and
        no pack is judged by them.

    Raises
    ------
    InputProblems : with every problem of every file: unreadable, a name or family other than its place says, two rules
        of one name, ``follows from`` that names no rule or leads in a circle.
    """
    stamps = tuple(stamp for folder in folders for stamp in rule_files(folder))
    return _load(stamps, tuple(tables.items()), with_examples)


def check_examples(rule: Rule, rules: Iterable[Rule], table: Table) -> list[str]:
    """Return what is wrong with a rule's examples, one sentence each; empty when all come out as they say.

    Each example must give its outcome, a broken one must break this rule only (rules that it follows from or that
    follow from it apart), and every outcome that the rule can give needs an example.
    """
    others = [other for other in rules if other.each == rule.each and other.name != rule.name]
    follows_from = {other.name: other.follows_from for other in (*others, rule)}
    unrelated = [o for o in others if not _related(rule.name, o.name, follows_from)]
    wrong = [
        f"line {example.line}: {text}"
        for example in rule.examples
        for text in _mismatch(rule, example, unrelated, table)
    ]
    lacking = outcomes_possible(rule, table) - {example.outcome for example in rule.examples}
    return wrong + [f"no example of {outcome.value}" for outcome in Outcome if outcome in lacking]


def rules_of(folder: Path, rules: Iterable[Rule]) -> list[Rule]:
    """Return the rules whose files lie below a folder."""
    inside = Path(os.path.realpath(folder))
    return [rule for rule in rules if inside in Path(os.path.realpath(rule.file)).parents]


def require_tested(folder: Path, rules: Sequence[Rule], tables: Mapping[str, Table]) -> None:
    """Refuse a folder of rules that holds no rule, or rules whose examples do not come out as they say.

    Raises
    ------
    InputProblems : with the folder, or every example that comes out otherwise.
    """
    own = rules_of(folder, rules)
    if not own:
        needed, do = "rule files, FOLDER/<family>/<name>.yaml", "name the folder that holds the families"
        raise InputProblems([Problem(Origin(str(folder)), "a folder without a rule", needed, "", do)])
    wrong = [
        Problem(
            in_text(rule.file, example.line),
            text,
            "an example that comes out as it says",
            "",
            "correct the rule or the example; `packcheck rules test FOLDER` shows all",
        )
        for rule in own
        for example in rule.examples
        for text in _otherwise(rule, example, tables[rule.each])
    ]
    if wrong:
        raise InputProblems(wrong)


def outcomes_possible(rule: Rule, table: Table) -> frozenset[Outcome]:
    """Return the outcomes that a rule can give, as its examples must show.

    Every rule can be met; broken too, unless it asks for nothing but a proof; with a ``where``, not apply; with a
    measured column, be undecided; with a column that somebody has to record, be unproven.
    """
    read = {*terms.columns_within(rule.where), *terms.columns_within(rule.require)}
    columns = [table.column_by_name[column.name] for column in read]
    possible = {Outcome.MET, Outcome.BROKEN}
    if rule.where != terms.Truth(True):
        possible.add(Outcome.NOT_APPLICABLE)
    if any(column.kind == "measured" for column in columns):
        possible.add(Outcome.UNDECIDED)
    if any(column.datum for column in columns):
        possible.add(Outcome.UNPROVEN)
    if isinstance(rule.require, terms.ColumnTerm) and table.column_by_name[rule.require.name].proof:
        possible.discard(Outcome.BROKEN)
    return frozenset(possible)


def judge_example(rule: Rule, example: Example, table: Table) -> Outcome:
    """Return how a rule comes out on the facts of an example."""
    return compile_rule(rule, table).answer(example.values).outcome


def _otherwise(rule: Rule, example: Example, table: Table) -> Iterable[str]:
    outcome = judge_example(rule, example, table)
    if outcome is not example.outcome:
        yield f"comes out {outcome.value}, not {example.outcome.value} ({example.because})"


def _mismatch(rule: Rule, example: Example, unrelated: Iterable[Rule], table: Table) -> Iterable[str]:
    otherwise = list(_otherwise(rule, example, table))
    yield from otherwise
    if not otherwise and example.outcome is Outcome.BROKEN:
        for other in unrelated:
            if judge_example(other, example, table) is Outcome.BROKEN:
                yield f"breaks {other.name} too ({example.because})"


def _related(one: str, other: str, follows_from: Mapping[str, Sequence[str]]) -> bool:
    return other in causes_of(one, follows_from) or one in causes_of(other, follows_from)


# -- loading ---------------------------------------------------------------------------------------------------------


@lru_cache(maxsize=8)
def _load(stamps: tuple[Stamp, ...], tables: tuple[tuple[str, Table], ...], with_examples: bool) -> tuple[Rule, ...]:
    problems: list[Problem] = []
    read: list[tuple[Document, Rule]] = []
    table_by_name = dict(tables)
    with collection_held_off():
        for name, _, _ in stamps:
            try:
                document = _document(name, with_examples)
                read.append((document, read_rule(document, table_by_name, with_examples)))
                problems.extend(_misplaced(document, read[-1][1]))
            except InputProblems as bad:
                problems.extend(bad.problems)
    problems.extend(_unlike(read))
    if problems:
        raise InputProblems(problems)
    return tuple(sorted((rule for _, rule in read), key=lambda rule: (rule.family, rule.name)))


def _document(name: str, with_examples: bool) -> Document:
    try:
        with open(name, "rb") as stream:
            content = stream.read()
    except OSError as error:
        raise InputProblems([Problem(Origin(name), str(error.strerror), "a rule file that can be read")]) from error
    if with_examples:
        return parse_document(content, name)
    head, _, _ = content.partition(_EXAMPLES)
    return replace(parse_document(head, name), sha256=hashlib.sha256(content).hexdigest())


def _misplaced(document: Document, rule: Rule) -> Iterable[Problem]:
    path = Path(document.file)
    if rule.name != path.stem:
        yield document.problem(("rule",), found=f"the name {rule.name}", needed=f"{path.stem}, as the file is called",
                               do="rename the rule or its file")  # fmt: skip
    if rule.family != path.parent.name:
        needed = f"{path.parent.name}, as its folder is called"
        do = "move the file, or correct the family"
        yield document.problem(("family",), found=f"the family {rule.family}", needed=needed, do=do)


def _unlike(read: Sequence[tuple[Document, Rule]]) -> Iterable[Problem]:
    """Yield the problems that show only when all rules are seen together."""
    follows_from = {rule.name: rule.follows_from for _, rule in read}
    seen: dict[str, str] = {}
    for document, rule in read:
        if rule.name in seen:
            found = f"a second rule {rule.name}; the first is in {seen[rule.name]}"
            yield document.problem(("rule",), found=found, needed="a name of its own", do="Give it another name.")
        seen.setdefault(rule.name, document.file)
        for index, name in enumerate(rule.follows_from):
            if name not in follows_from:
                near = nearest_name(name, list(follows_from))
                do = f"Did you mean {near}?" if near else "Take it out, or add the folder of that rule with --rules."
                path = ("follows from", index)
                yield document.problem(path, found=f"the rule {name}", needed="the name of a rule", do=do)
        if rule.name in causes_of(rule.name, follows_from):
            found = "a circle of rules that follow from each other"
            do = "Take out the rule that is the consequence."
            yield document.problem(("follows from",), found=found, needed="causes before consequences", do=do)
