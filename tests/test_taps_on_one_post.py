"""Two taps recorded on one post: what the meter shows between them is an honest nothing, and no slip of the pen."""

from __future__ import annotations

from pathlib import Path

import pytest

from packcheck.app.cli import run
from packcheck.facts.tables import table_by_name
from packcheck.files.problems import InputProblems
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import check_file
from packcheck.rules.findings import Outcome
from packcheck.rules.library import load_rules

PACK = shipped_folder("layouts") / "skerry-24"
RULES = load_rules([shipped_folder("rules")], table_by_name())


def recorded(folder: Path, row: str, taps: str = "  T00..T11: as drawn\n  T12: {on: P22.B}\n") -> Path:
    """Return the record of a clean build with T12 on the post of T11, and what was read between them."""
    text = (PACK / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    for old, new in (("  T00..T12: as drawn\n", taps), ("[T12, T11, 15.84]", row)):
        assert text.count(old) == 1
        text = text.replace(old, new)
    (folder / "skerry-24.yaml").write_bytes((PACK / "skerry-24.yaml").read_bytes())
    file = folder / "record.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def broken(file: Path) -> set[tuple[str, str]]:
    """Return what is broken in a record and was not in that of the clean build."""
    reports = [check_file(one, rules=RULES) for one in (file, PACK / "clean-sk-0417.yaml")]
    now, before = ({(f.rule, f.subject) for f in r.judgement.findings if f.outcome is Outcome.BROKEN} for r in reports)
    return now - before


def test_nothing_between_two_taps_on_one_post_is_what_must_be_read(tmp_path: Path) -> None:
    assert broken(recorded(tmp_path, "[T12, T11, 0.001]")) == {("tap-moved", "T12")}


def test_a_module_read_between_two_taps_on_one_post_disagrees(tmp_path: Path) -> None:
    found = broken(recorded(tmp_path, "[T12, T11, 15.84]"))
    assert {("tap-moved", "T12"), ("reading-disagrees", "X12")} <= found


@pytest.mark.parametrize("row", ["[T11, T11, 0.001]", "[T11, P22.B, 0.001]"])
def test_one_place_twice_is_refused_where_no_tap_was_moved_onto_it(row: str, tmp_path: Path) -> None:
    with pytest.raises(InputProblems, match="both leads of the meter on"):
        check_file(recorded(tmp_path, row, "  T00..T12: as drawn\n"), rules=RULES)


@pytest.mark.parametrize("command", ["check", "next", "diagnose", "draw"])
def test_every_command_takes_such_a_record(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code = run([command, str(recorded(tmp_path, "[T12, T11, 0.001]"))])
    told = capsys.readouterr()
    assert code == (0 if command == "diagnose" else 1), told.err
    assert "NOT JUDGED" not in told.out
