"""What is done with a spoilt file: a layout or record is checked and told, a rule or profile read and judged with."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path
from typing import Any

from benchmarks.files_to_spoil import Seed, seeds

from packcheck.app.file_answer import Answer
from packcheck.app.formats import Form, told_of, whole
from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.document import read_document
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.adopting import adopted_by, check_values
from packcheck.judging.check import judge_file
from packcheck.judging.judge import judge
from packcheck.model.opening import open_file
from packcheck.render.expanded import render_expanded
from packcheck.render.paragraph import Choice
from packcheck.rules.findings import GATES
from packcheck.rules.library import check_examples, load_rules
from packcheck.rules.profile import read_profile
from packcheck.rules.rule import Rule
from packcheck.rules.rule_file import read_rule


@cache
def shipped_rules() -> tuple[Rule, ...]:
    """Return the rules that come with packcheck."""
    return load_rules([shipped_folder("rules")], table_by_name())


@cache
def _usual_facts(folder: Path) -> Any:
    """Return the facts of a small complete record, for mutated rules and profiles to judge."""
    seed = next(one for one in seeds()[1] if one.name.startswith("generated"))
    return build_facts(*_opened(write_seed(folder, "usual", seed, seed.text.encode())), adopted_by(None))


def _opened(file: Path) -> tuple[Any, Any]:
    opened = open_file(file)
    return opened.pack, opened.record


def write_seed(folder: Path, stem: str, seed: Seed, content: bytes) -> Path:
    """Write a file, beside the layout that its record names, and return its path."""
    file = folder / f"{stem}.yaml"
    file.write_bytes(content)
    if seed.layout:
        (folder / seed.layout_name).write_text(seed.layout, encoding="utf-8")
    return file


def use(seed: Seed, content: bytes, folder: Path, dice: random.Random) -> str:
    """Do with a mutated file what its kind is for; return ``judged`` or ``refused``."""
    file = write_seed(folder, "mutated", seed, content)
    try:
        {"layout": _check, "record": _check, "rule": _use_rule, "profile": _use_profile}[seed.kind](file, folder, dice)
        if seed.kind == "layout":
            _check_record_of(seed, content, folder, dice)
    except InputProblems as wrong:
        _print(Answer(str(file), problems=wrong.problems), dice)
        return "refused"
    return "judged"


def _check(file: Path, _: Path, dice: random.Random) -> None:
    judged = judge_file(file, rules=shipped_rules(), gate=dice.choice(GATES))
    _print(Answer(str(file), judged), dice)
    if dice.random() < 0.2:
        render_expanded(open_file(file).pack, width=100)


def _check_record_of(seed: Seed, content: bytes, folder: Path, dice: random.Random) -> None:
    """Check the untouched record of a mutated layout."""
    record = next((one for one in seeds()[1] if one.layout == seed.text), None)
    if record:
        (folder / record.layout_name).write_bytes(content)
        file = folder / "record.yaml"
        file.write_text(record.text, encoding="utf-8")
        _check(file, folder, dice)


def _use_rule(file: Path, folder: Path, dice: random.Random) -> None:
    tables = table_by_name()
    rule = read_rule(read_document(file), tables)
    check_examples(rule, [rule], tables[rule.each])
    facts = _usual_facts(folder)
    judge([rule], facts, tables, gate=dice.choice(GATES), profile=None, layout_only=dice.random() < 0.2)


def _use_profile(file: Path, folder: Path, dice: random.Random) -> None:
    document = read_document(file)
    profile = read_profile(document, shipped_rules())
    check_values(document, profile)
    judge(shipped_rules(), _usual_facts(folder), table_by_name(), gate=dice.choice(GATES), profile=profile,
          layout_only=False)  # fmt: skip


def _print(answer: Answer, dice: random.Random) -> None:
    choice = Choice(dice.random() < 0.3, dice.random() < 0.3)
    text = Form("text", dice.choice((40, 80, 100, 200)), dice.random() < 0.5, choice)
    for form in (text, Form("json")):
        assert whole([told_of(answer, 1, form)], form, ()).strip(), "an answer without words"
