"""The pages are true: tables and pictures are up to date, examples print what is shown, lists are complete."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from readme_tables import (
    PAGES,
    PICTURES,
    README,
    ROOT,
    RULES,
    Workplace,
    commands_of,
    example_files,
    fact_table,
    fences,
    fresh_picture,
    key_table,
    rule_table,
    texts,
    with_fresh_tables,
)

from packcheck.app import exits
from packcheck.app.cli import application
from packcheck.app.show import KINDS
from packcheck.facts.tables import TABLES, table_by_name
from packcheck.files.document import parse_document
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.rules.findings import GATES, Gate, Outcome, Severity, Verdict
from packcheck.rules.library import load_rules

TEXTS = texts()
TEXT = TEXTS[README]
EVERYTHING = "\n".join(TEXTS.values())
FILES = example_files(EVERYTHING)
CONSOLES = fences(EVERYTHING, "console")
COMMANDS = [command for console in CONSOLES for command, _ in commands_of(console)]


def section(title: str, page: Path = README) -> str:
    """Return what stands under a heading of the second level."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## |\Z)", TEXTS[page], re.DOTALL | re.MULTILINE)
    assert found, title
    return found[1]


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Workplace:
    return Workplace(tmp_path_factory.mktemp("readme"), EVERYTHING)


# -- what it begins with ---------------------------------------------------------------------------------------------


def test_the_job_is_one_paragraph_on_top_and_the_two_commands_follow() -> None:
    title, job, _, run, _, test = TEXT.split("\n\n")[:6]
    assert title == "# packcheck"
    assert job.startswith("packcheck ")
    assert 60 <= len(job.split()) <= 130
    assert [f"```sh\n{line}```" for line in fences(TEXT, "sh")] == [run, test]


def test_both_commands_are_one_line_from_a_fresh_checkout() -> None:
    run, test = (fence.splitlines() for fence in fences(TEXT, "sh"))
    assert len(run) == len(test) == 1
    for line in (run[0], test[0]):
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install ")
    assert run[0].split("&& ")[1].split()[-1] == "."
    example = run[0].split()[-1]
    assert run[0].endswith(f"&& .venv/bin/packcheck check {example}")
    assert (ROOT / example).is_file()
    assert test[0].endswith("-e '.[dev]' && .venv/bin/python -m pytest -n 2")


# -- examples --------------------------------------------------------------------------------------------------------


def test_none_of_the_examples_is_missing() -> None:
    own = ["asked.yaml", "own/torque/mark-not-white.yaml", "shelf-0008.yaml", "shop.yaml", "taken.yaml"]
    assert sorted(FILES) == [*own, "wr-0007.yaml", "wren-4.yaml"]
    assert len(COMMANDS) >= 15
    people = re.findall(r"^\*\*The (\w+)\*\*", section("Three people, one screen each"), re.MULTILINE)
    assert people == ["engineer", "technician", "trainer"]


@pytest.mark.parametrize("console", CONSOLES, ids=lambda body: body.splitlines()[0][2:50])
def test_every_command_prints_what_is_shown(console: str, place: Workplace) -> None:
    for command, shown in commands_of(console):
        assert place.run(command) == shown, f"{command}: renew with python tests/readme_tables.py --write"


def test_a_wrong_output_would_be_seen(place: Workplace) -> None:
    assert place.run("packcheck --version") != "packcheck 0.0\n"
    assert commands_of("$ a\nb\nc\n$ d\n") == [("a", "b\nc\n"), ("d", "")]


def test_the_layout_and_the_record_can_be_read_and_are_clean(place: Workplace) -> None:
    pack = read_pack(parse_document(FILES["wren-4.yaml"], "wren-4.yaml"))
    assert len(pack.positions) == 4
    assert len(pack.joints) == 10
    record = read_record(parse_document(FILES["wr-0007.yaml"], "wr-0007.yaml"), pack)
    assert (record.serial, len(record.joints), record.extra_none) == ("WR-0007", 10, True)
    rules = load_rules([shipped_folder("rules")], table_by_name())
    for name in ("wren-4.yaml", "wr-0007.yaml"):
        judgement = check_file(place.folder / name, rules=rules, gate=Gate.PLUG_IN).judgement
        assert judgement.verdict is Verdict.NO_RULE_BROKEN
        assert {f.severity for f in judgement.findings} <= {Severity.ADVISE}


@pytest.mark.parametrize("console", CONSOLES, ids=lambda body: body.splitlines()[0][2:50])
def test_no_shown_output_is_an_accident(console: str) -> None:
    assert not re.search(r"Traceback|fault of packcheck|NOT JUDGED|command not found|No such file", console)


# -- lists that must be complete -------------------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.parent.name)
def test_the_generated_tables_are_up_to_date(page: Path) -> None:
    assert with_fresh_tables(TEXTS[page]) == TEXTS[page], "renew with python tests/readme_tables.py --write"


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_are_as_drawn_now(name: str) -> None:
    assert (ROOT / name).read_bytes() == fresh_picture(PICTURES[name]), (
        "renew with python tests/readme_tables.py --write"
    )


def test_the_readme_is_short() -> None:
    assert len(TEXT.splitlines()) <= 200


@pytest.mark.parametrize(("kind", "least"), [("layout", 120), ("record", 45), ("profile", 12)])
def test_every_key_is_told_with_an_example(kind: str, least: int) -> None:
    rows = list(key_table(kind))[2:]
    assert len(rows) >= least
    assert [row for row in rows if "| `` |" in row or "|  |" in row] == []


def test_the_generated_tables_hold_every_rule_and_every_column() -> None:
    rules = list(rule_table())[2:]
    assert len(rules) == len(list((ROOT / "rules").rglob("*.yaml"))) >= 80
    links = [link for row in rules for link in re.findall(r"\]\(([^)]+)\)", row)]
    assert all((ROOT / "rules" / link).is_file() for link in links)
    facts = list(fact_table())[2:]
    assert len(facts) == len(TABLES) >= 15
    assert sum(row.count("`") // 2 for row in facts) == len(TABLES) + sum(len(table.columns) for table in TABLES)


def commands() -> Iterator[str]:
    """Yield every command as it is typed."""
    app = application(["every one"])
    for command in app.registered_commands:
        yield f"packcheck {command.name}"
    for group in app.registered_groups:
        assert group.typer_instance
        for command in group.typer_instance.registered_commands:
            yield f"packcheck {group.name} {command.name}"


def test_every_command_and_kind_of_file_is_named() -> None:
    named = section("Commands")
    assert len(list(commands())) >= 7
    assert [command for command in commands() if f"`{command} " not in named and f"`{command}`" not in named] == []
    assert [kind for kind in KINDS if f"`{kind}`" not in named] == []


@pytest.mark.parametrize("command", sorted(commands()))
def test_every_option_of_a_command_is_named_in_its_row(command: str) -> None:
    help_text = subprocess.run([sys.executable, "-m", *command.split(), "--help"], capture_output=True, text=True,
                               cwd=ROOT, check=True).stdout  # fmt: skip
    options = set(re.findall(r"^  (--[a-z]+)", help_text, re.MULTILINE))
    assert "--help" in options
    options.remove("--help")
    (row,) = (line for line in section("Commands").splitlines() if re.match(rf"\| `{command}\b", line))
    assert {option for option in options if f"`{option}" not in row and f" {option} " not in row} == set()


def test_every_exit_code_is_named() -> None:
    codes = {value for name, value in vars(exits).items() if name.isupper() and type(value) is int}
    assert codes == {0, 1, 2, 3, 4, 5, 130}
    rows = {int(code) for code in re.findall(r"^\| (\d+) \|", section("Commands"), re.MULTILINE)}
    assert rows | {130} == codes
    assert ", ".join(str(code) for code in exits.WORST_FIRST) in section("Commands")


def test_every_outcome_severity_gate_and_verdict_is_named() -> None:
    answer = section("What an answer says", RULES)
    assert [o.value for o in Outcome if f"| {o.value} |" not in answer and f"*{o.value}*" not in answer] == []
    assert [word for word in (*Severity, *GATES, *Verdict) if f"**{word.value}**" not in answer] == []


def test_every_link_leads_to_a_file() -> None:
    links = {
        page: [link for link in re.findall(r"\]\(([^)#]+)\)", text) if "://" not in link]
        for page, text in TEXTS.items()
    }
    assert {"DEVELOPERS.md", "layouts/README.md", "rules/README.md"} <= set(links[README])
    assert [link for page, found in links.items() for link in found if not (page.parent / link).is_file()] == []


def test_what_it_cannot_see_is_said() -> None:
    limits = section("What is assumed, and what it cannot see", RULES)
    for said in ("100 µΩ, 20 µΩ and 100 µΩ", "half width", "two posts", "one\n  temperature", "exchanged"):
        assert said in limits
    from packcheck.network.graph import BODY_OHM, DEVICE_OHM, JOINT_OHM

    assert [round(ohm * 1e6) for ohm in (JOINT_OHM, BODY_OHM, DEVICE_OHM)] == [100, 20, 100]
