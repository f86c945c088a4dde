"""Rules kept beside the bytecode are the rules that the files state, or they are read again."""

from __future__ import annotations

import os
import pickle
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from packcheck.facts.tables import table_by_name
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.rules import kept_rules, library
from packcheck.rules.kept_rules import kept_file, load_shipped
from packcheck.rules.library import load_rules
from packcheck.rules.rule import Rule

ROOT = Path(__file__).resolve().parents[1]
TABLES = table_by_name()
SHIPPED = shipped_folder("rules")


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep rules in a folder of the test, whatever the process was told about bytecode."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "kept"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    return kept_file()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with two families of the shipped rules."""
    for family in ("polarity", "hardware"):
        shutil.copytree(SHIPPED / family, tmp_path / "rules" / family)
    for file in (tmp_path / "rules").rglob("*.yaml"):
        text = file.read_text(encoding="utf-8")
        start = text.index("follows from:") if "follows from:" in text else 0
        end = text.index("\nwhy:") + 1
        file.write_text(text[:start] + text[end:] if start else text, encoding="utf-8")
    return tmp_path / "rules"


@pytest.fixture
def readings(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return the names of rule files that are read as such, one entry each time."""
    names: list[str] = []
    really: Callable[..., object] = library._document

    def noted(name: str, with_examples: bool) -> object:
        names.append(Path(name).stem)
        return really(name, with_examples)

    monkeypatch.setattr(library, "_document", noted)
    forget()
    return names


def forget() -> None:
    """Begin as a new process does."""
    library._load.cache_clear()
    kept_rules._load.cache_clear()


def stated(rules: tuple[Rule, ...]) -> list[dict[str, object]]:
    return [{**vars(rule), "examples": ()} for rule in rules]


def test_what_is_kept_is_what_the_shipped_files_state(place: Path, readings: list[str]) -> None:
    whole = stated(load_rules([SHIPPED], TABLES))
    assert stated(load_shipped(SHIPPED, TABLES)) == whole
    assert place.is_file()
    readings.clear()
    forget()
    assert stated(load_shipped(SHIPPED, TABLES)) == whole
    assert readings == []
    assert len(whole) > 200
    assert load_shipped(SHIPPED, TABLES) is load_shipped(SHIPPED, TABLES)


@pytest.mark.parametrize("part", ["title: ", "because: "])
def test_one_byte_otherwise_in_one_file_is_seen(folder: Path, place: Path, part: str, readings: list[str]) -> None:
    before = load_shipped(folder, TABLES)
    file = Path(before[0].file)
    times = file.stat()
    file.write_text(file.read_text(encoding="utf-8").replace(part, part + "X", 1), encoding="utf-8")
    os.utime(file, ns=(times.st_atime_ns, times.st_mtime_ns))
    forget()
    after = load_shipped(folder, TABLES)
    assert after[0].sha256 != before[0].sha256
    assert (after[0].title != before[0].title) is (part == "title: ")
    assert len(readings) == 2 * len(before)
    assert place.is_file()


def test_a_file_more_and_a_file_less_are_seen(folder: Path, place: Path) -> None:
    assert not place.exists()
    before = {rule.name for rule in load_shipped(folder, TABLES)}
    gone = sorted((folder / "hardware").glob("*.yaml"))[0]
    text = gone.read_text(encoding="utf-8")
    gone.unlink()
    assert before - {rule.name for rule in load_shipped(folder, TABLES)} == {gone.stem}
    gone.write_text(text, encoding="utf-8")
    assert {rule.name for rule in load_shipped(folder, TABLES)} == before


def test_a_mistake_is_told_as_if_nothing_were_kept(folder: Path, place: Path) -> None:
    file = Path(load_shipped(folder, TABLES)[0].file)
    kept_before = place.read_bytes()
    file.write_text(file.read_text(encoding="utf-8").replace("severity: ", "severity: very ", 1), encoding="utf-8")
    with pytest.raises(InputProblems) as told:
        load_shipped(folder, TABLES)
    with pytest.raises(InputProblems) as read:
        load_rules([folder], TABLES)
    assert told.value.problems == read.value.problems
    assert place.read_bytes() == kept_before


@pytest.mark.parametrize("damage", [b"", b"not kept by us", "short", "other code", "no rules"])
def test_what_cannot_be_taken_is_read_again(
    folder: Path, place: Path, damage: bytes | str, readings: list[str]
) -> None:
    rules = stated(load_shipped(folder, TABLES))
    content = place.read_bytes()
    code = pickle.dumps((), 5)
    made = {"short": content[: len(content) // 2], "other code": code + content, "no rules": code}
    place.write_bytes(damage if isinstance(damage, bytes) else made[damage])
    forget()
    readings.clear()
    assert stated(load_shipped(folder, TABLES)) == rules
    assert len(readings) == len(rules)
    assert place.read_bytes() == content


def test_code_that_is_otherwise_reads_again(
    folder: Path, place: Path, readings: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    load_shipped(folder, TABLES)
    assert place.exists()
    readings.clear()
    forget()
    really = kept_rules._stamps
    monkeypatch.setattr(kept_rules, "_stamps", lambda: [(name, time + 1, size) for name, time, size in really()])
    load_shipped(folder, TABLES)
    assert readings != []


def test_every_module_that_a_rule_is_read_by_counts() -> None:
    program = (
        "import sys; from packcheck.facts.tables import table_by_name; from packcheck.rules.library import load_rules\n"
        "from packcheck.files.shipped import shipped_folder; from packcheck.rules import kept_rules\n"
        "load_rules([shipped_folder('rules')], table_by_name())\n"
        "seen = {name for name, _, _ in kept_rules._stamps()}\n"
        "used = {m.__file__.split('/packcheck/')[-1] for n, m in sys.modules.items() if n.startswith('packcheck.')}\n"
        "print(sorted(used - seen - {'facts/__init__.py'}))"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_where_nothing_can_be_kept_rules_are_read_all_the_same(
    folder: Path, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place.parents[2].mkdir(parents=True, exist_ok=True)
    monkeypatch.setattr(sys, "pycache_prefix", str(folder / "polarity" / "no-folder.txt"))
    (folder / "polarity" / "no-folder.txt").write_text("a file in the way of the folder", encoding="utf-8")
    forget()
    assert len(load_shipped(folder, TABLES)) > 20
    monkeypatch.setattr(sys, "pycache_prefix", str(folder.parent / "kept"))
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    forget()
    assert len(load_shipped(folder, TABLES)) > 20
    assert not kept_file().exists()


def test_a_check_says_the_same_from_what_is_kept(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "packcheck", "check", "layouts/skerry-24/clean-sk-0417.yaml", "--format", "json"]
    environment = {**os.environ, "PYTHONPYCACHEPREFIX": str(tmp_path)}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    told = [
        subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    ]
    assert told[0] == told[1]
    assert len(list(tmp_path.rglob("shipped.*.rules"))) == 1
