"""The whole road, from a file to an answer, with the rules that come with packcheck."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from packcheck.app.cli import run
from packcheck.facts.tables import TABLES, table_by_name
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.judging.check import check_file
from packcheck.render.json import judged_file, render_json
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Gate, Verdict
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule

LAYOUT = Path(__file__).parent / "samples" / "gannet-6.yaml"
HEAD = "record: 1\nlayout: gannet-6.yaml\nof: {name: gannet-6, revision: 2, pack: GN-0007}\n"
MODULES = "modules:\n  columns: [plus at]\n  P01: [A]\n  P02: [A]\n"
REVERSED = HEAD + MODULES + "bars:\n  B01..B02: as drawn\n  B04..B05: as drawn\n"


@pytest.fixture(scope="module")
def rules() -> tuple[Rule, ...]:
    return load_rules([shipped_folder("rules")], table_by_name())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "gannet-6.yaml").write_bytes(LAYOUT.read_bytes())
    (tmp_path / "empty.yaml").write_text(HEAD, encoding="utf-8")
    (tmp_path / "reversed.yaml").write_text(REVERSED, encoding="utf-8")
    return tmp_path


def test_a_sound_layout_breaks_no_rule(rules: tuple[Rule, ...]) -> None:
    report = check_file(LAYOUT, rules=rules)
    assert report.judgement.verdict is Verdict.NO_RULE_BROKEN
    assert report.rules_judged > 10
    assert report.about.kind == "layout"


def test_a_record_of_nothing_is_a_to_do_list(folder: Path, rules: tuple[Rule, ...]) -> None:
    report = check_file(folder / "empty.yaml", rules=rules)
    assert report.judgement.verdict is Verdict.HOLD
    asked = {(errand.instrument, what) for errand in report.to_do for what in errand.what}
    assert {("click wrench", "torque"), ("multimeter", "rest voltage"), ("eyes", "serial number")} <= asked
    places = [errand.places for errand in report.to_do if "torque" in errand.what and errand.noun == "joint"]
    assert sum(map(len, places)) == 18


def test_a_reversed_module_forbids_energizing_at_its_place(folder: Path, rules: tuple[Rule, ...]) -> None:
    report = check_file(folder / "reversed.yaml", rules=rules)
    assert report.judgement.verdict is Verdict.DO_NOT_ENERGIZE
    worst = report.paragraphs[0]
    assert (worst.rule, worst.places) == ("module-reversed", ("P02",))
    assert [stated.names for stated in report.stated] == [tuple(f"B{n:02d}" for n in (1, 2, 4, 5))]


def test_a_later_gate_asks_for_more(folder: Path, rules: tuple[Rule, ...]) -> None:
    asked = [check_file(folder / "empty.yaml", rules=rules, gate=gate).rules_judged for gate in Gate]
    assert asked == sorted(asked)
    assert asked[0] < asked[-1]


@pytest.mark.parametrize("name", ["gannet-6", "empty", "reversed"])
def test_the_json_of_a_real_answer_fits_the_schema(folder: Path, rules: tuple[Rule, ...], name: str) -> None:
    schema = json.loads((schema_folder() / "report.json").read_text(encoding="utf-8"))
    entry = judged_file(check_file(folder / f"{name}.yaml", rules=rules))
    document = json.loads(render_json([entry], version="0.1.0", code=entry["exit code"]))
    Draft202012Validator(schema).validate(document)


def test_the_same_file_gives_the_same_text_twice(folder: Path, rules: tuple[Rule, ...]) -> None:
    texts = {render_terminal(check_file(folder / "reversed.yaml", rules=rules)) for _ in range(2)}
    assert len(texts) == 1


@pytest.mark.parametrize(("name", "code"), [("gannet-6", 0), ("empty", 3), ("reversed", 1)])
def test_exit_codes_of_real_answers(folder: Path, name: str, code: int, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(folder / f"{name}.yaml")]) == code
    assert capsys.readouterr().err == ""


def test_facts_are_a_database_anyone_can_query(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = folder / "facts.sqlite"
    assert run(["facts", str(folder / "reversed.yaml"), "--output", str(target)]) == 0
    with closing(sqlite3.connect(target)) as store:
        turned = store.execute("SELECT position FROM module WHERE facing_as_planned = 0").fetchall()
        described = store.execute("SELECT count(DISTINCT table_name) FROM catalogue").fetchone()
    assert turned == [("P02",)]
    assert described == (len(TABLES),)
    assert str(target) in capsys.readouterr().out


def test_a_shop_may_waive_and_adopt(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = folder / "shop.yaml"
    note = "by: E. Hale, at: 2026-09-01, why: no micro-ohmmeter here"
    shop.write_text(f"profile: 1\nshop: Bench\nwaivers:\n  joint-resistance-high: {{{note}}}\n", encoding="utf-8")
    assert run(["check", str(folder / "empty.yaml"), "--profile", str(shop)]) == 3
    text = " ".join(capsys.readouterr().out.split())
    assert "joint-resistance-high: no micro-ohmmeter here (E. Hale, 2026-09-01)" in text
    assert "so this does not count: not recorded at" in text


def test_a_bad_rule_of_a_shop_is_told_apart_from_a_bad_pack(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = folder / "own" / "house"
    own.mkdir(parents=True)
    (own / "bad.yaml").write_text("rule: bad\n", encoding="utf-8")
    assert run(["check", str(folder / "empty.yaml"), "--rules", str(folder / "own")]) == 4
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "bad.yaml" in printed.err
