"""Files far beyond any pack: what they cost grows with their length, and what no pack needs is refused early."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from time import process_time

import pytest
from workshop import METER, Data, clean_record, pack_of, stick_layout, write

from packcheck.app.cli import run
from packcheck.facts.tables import table_by_name
from packcheck.files.document.building import MOST_PIECES
from packcheck.files.fields import MOST_PROBLEMS
from packcheck.files.shipped import shipped_folder
from packcheck.judging.check import MOST_STRAYS, check_file
from packcheck.judging.report import Report
from packcheck.network.chains import gather_chains
from packcheck.render.terminal import render_terminal
from packcheck.rules.library import load_rules

LAYOUT = stick_layout(24)
RULES = load_rules([shipped_folder("rules")], table_by_name())


def strays(record: Data, count: int) -> None:
    for i in range(count):
        record["bars"][f"X{i}"] = {"lands": [f"P{i % 20 + 1:02d}.A", f"P{i % 20 + 3:02d}.A"]}


def readings(record: Data, count: int) -> None:
    for i in range(count):
        record["readings"][f"Z{i}"] = [f"P{i % 24 + 1:02d}.A", f"P{i * 7 % 24 + 1:02d}.B", 7.9]


def unknown_keys(record: Data, count: int) -> None:
    record.update({f"key{i}": 1 for i in range(count)})


def unknown_modules(record: Data, count: int) -> None:
    record["modules"].update({f"Q{i}": ["x", "A", "stick", 7.9] for i in range(count)})


def parts(record: Data, count: int) -> None:
    record["parts"].update({f"x{i}": [1, 1, 0, 0] for i in range(count)})


def instruments(record: Data, count: int) -> None:
    record["instruments"].update({f"X{i}": dict(METER) for i in range(count)})


def seconds_of(folder: Path, swell: Callable[[Data, int], None], count: int) -> float:
    record = clean_record(pack_of(LAYOUT))
    record["layout"] = "layout.yaml"
    swell(record, count)
    write(folder / "layout.yaml", LAYOUT)
    file = write(folder / "record.yaml", record)
    started = process_time()
    assert run(["check", str(file), "--brief"]) in (0, 1, 3, 4)
    return process_time() - started


@pytest.mark.parametrize(("swell", "count"), [
    (strays, 500), (readings, 1000), (unknown_keys, 10_000), (unknown_modules, 5_000), (parts, 3_000),
    (instruments, 3_000),
])  # fmt: skip
def test_four_times_the_rows_cost_no_more_than_some_four_times(
    swell: Callable[[Data, int], None], count: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A cost that grows with the square would be sixteen times as much."""
    seconds_of(tmp_path, swell, 10)
    small = min(seconds_of(tmp_path, swell, count) for _ in range(2))
    large = seconds_of(tmp_path, swell, 4 * count)
    capsys.readouterr()
    assert large < 9 * small + 0.1


def test_more_than_any_pack_holds_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "pack.yaml"
    file.write_text("layout: 1\n" + "".join(f"key{i}: 1\n" for i in range(MOST_PIECES // 2)), encoding="utf-8")
    assert run(["check", str(file)]) == 4
    assert "more than 700,000 names, values, lists and mappings" in capsys.readouterr().out


def test_beyond_a_thousand_mistakes_the_rest_is_not_listed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seconds_of(tmp_path, unknown_modules, 2 * MOST_PROBLEMS)
    assert f"{MOST_PROBLEMS + 1:,} mistakes" in capsys.readouterr().out


def test_a_name_as_long_as_a_book_is_cut_short(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "pack.yaml"
    file.write_text(f"layout: 1\n? {'k' * 3_000_000}\n: 1\n", encoding="utf-8")
    started = process_time()
    assert run(["check", str(file)]) == 4
    assert process_time() - started < 5
    assert len(capsys.readouterr().out) < 20_000


def seconds_to_gather(branches: int) -> float:
    between = [branch % 6 for branch in range(branches)], [6 + branch % 5 for branch in range(branches)]
    started = process_time()
    chains = gather_chains(*between, [1.0] * branches, [0.0] * 11)
    assert len(chains) == branches
    return process_time() - started


def test_four_times_the_branches_between_few_places_cost_no_more_than_some_four_times() -> None:
    large = min(seconds_to_gather(16_000) for _ in range(3))
    assert large < 9 * min(seconds_to_gather(4_000) for _ in range(3)) + 0.1


def judged_with(folder: Path, count: int) -> Report:
    record = clean_record(pack_of(LAYOUT))
    record["layout"] = "layout.yaml"
    strays(record, count)
    write(folder / "layout.yaml", LAYOUT)
    file = write(folder / "record.yaml", record)
    return check_file(file, rules=RULES)


def test_what_explains_readings_is_looked_for_while_stray_conductors_are_few(tmp_path: Path) -> None:
    """Each pair of strays is a hypothesis of its own: with thousands of them a check would take minutes."""
    most = judged_with(tmp_path, MOST_STRAYS)
    assert most.diagnosis is not None
    assert most.unsought == ""
    more = judged_with(tmp_path, MOST_STRAYS + 1)
    assert more.diagnosis is None
    said = " ".join(render_terminal(more, width=100).split())
    assert "Not sought along with a check of 41 conductors beyond the layout (at most 40). `packcheck diagnose" in said


def test_a_slip_in_a_range_does_not_put_a_crowd_of_conductors_into_a_pack(tmp_path: Path) -> None:
    """A range of ten thousand that the layout lacks is judged, one more is refused with its place."""
    for last, code in ((9999, 1), (10_000, 4), (99_999, 4)):
        record = clean_record(pack_of(LAYOUT))
        record["bars"][f"X0..X{last}"] = {"lands": ["P05.A", "P06.A"]}
        write(tmp_path / "layout.yaml", LAYOUT)
        file = write(tmp_path / "record.yaml", record)
        started = process_time()
        assert run(["check", str(file), "--brief"]) == code
        assert process_time() - started < (20 if code == 1 else 2)
