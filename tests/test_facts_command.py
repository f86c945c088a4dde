"""``packcheck facts`` from end to end: what anyone finds who opens the file with SQLite."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from packcheck.app.cli import run
from packcheck.facts.store import sql_columns
from packcheck.facts.tables import TABLES
from packcheck.files.quantities import Dimension
from packcheck.files.shipped import shipped_folder
from packcheck.model.opening import open_file

RECORD = shipped_folder("layouts") / "skerry-24" / "clean-sk-0417.yaml"
LAYOUT = RECORD.with_name("skerry-24.yaml")
ENDING_OF = {
    "V": "_v",
    "A": "_a",
    "Ω": "_ohm",
    "N·m": "_n_m",
    "mm": "_mm",
    "N": "_n",
    "h": "_h",
    "Ah": "_ah",
    "W": "_w",
    "Ω/V": "_ohm_per_v",
}
"""How the name of a column ends that holds a quantity in this unit."""


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    path = tmp_path_factory.mktemp("facts") / "facts.sqlite"
    assert run(["facts", str(RECORD), "--output", str(path)]) == 0
    with closing(sqlite3.connect(path)) as connection:
        yield connection


def test_every_table_and_column_of_the_catalogue_is_there_and_nothing_else(store: sqlite3.Connection) -> None:
    assert {name for (name,) in store.execute("SELECT name FROM sqlite_master WHERE type = 'table'")} == {
        "catalogue",
        *(table.name for table in TABLES),
    }
    for table in TABLES:
        columns = [name for _, name, *_ in store.execute(f"PRAGMA table_info('{table.name}')")]
        assert columns == ["row", *(name for column in table.columns for name in sql_columns(column))]


def test_the_catalogue_explains_every_column(store: sqlite3.Connection) -> None:
    rows = store.execute("SELECT table_name, column_name, kind, unit, meaning, source FROM catalogue").fetchall()
    explained = {(table, column): (kind, unit, meaning, source) for table, column, kind, unit, meaning, source in rows}
    assert len(explained) == len(rows) == sum(1 + len(table.columns) for table in TABLES) >= 200
    for table in TABLES:
        assert explained[table.name, ""][0] == "table"
        for column in table.columns:
            kind, unit, meaning, source = explained[table.name, column.name]
            assert (kind, unit) == (column.kind, column.unit)
            assert len(meaning) > 2
            assert source


def test_the_unit_of_a_column_is_the_programs_and_the_end_of_its_name(store: sqlite3.Connection) -> None:
    units = store.execute("SELECT column_name, unit FROM catalogue WHERE unit != ''").fetchall()
    assert len(units) >= 40
    assert {unit for _, unit in units} <= {dimension.unit for dimension in Dimension}
    assert {unit for _, unit in units} - set(ENDING_OF) == set()
    assert [column for column, unit in units if not column.endswith(ENDING_OF[unit])] == []


def test_what_the_record_says_is_in_the_tables(store: sqlite3.Connection) -> None:
    assert store.execute("SELECT count(*), sum(fitted) FROM module").fetchone() == (24, 24)
    low, high, fit = store.execute(
        "SELECT rest_v_lo, rest_v_hi, rest_v_fit FROM module WHERE position = 'P01'"
    ).fetchone()
    written = re.search(r"^  P01: \[\S+ \w, stick, ([\d.]+)\]", RECORD.read_text(encoding="utf-8"), re.MULTILINE)
    assert written
    rest = float(written[1])
    half = 0.0003 * rest + 0.002
    assert (low, high) == pytest.approx((rest - half, rest + half), abs=1e-12)
    assert fit == 1
    joints = len(open_file(LAYOUT).pack.joints)
    assert store.execute("SELECT count(*) FROM joint WHERE torque_n_m_lo > 4.0 AND torque_n_m_hi < 5.0").fetchone() == (
        joints,
    )
    assert store.execute("SELECT count(*) FROM loop").fetchone() == (0,)


def test_what_nobody_recorded_is_null(store: sqlite3.Connection) -> None:
    assert store.execute("SELECT DISTINCT condition FROM conductor").fetchall() == [(None,)]


def test_of_a_layout_only_the_tables_about_it_have_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "facts.sqlite"
    assert run(["facts", str(LAYOUT), "--output", str(path)]) == 0
    with closing(sqlite3.connect(path)) as store:
        filled = {t.name: store.execute(f'SELECT count(*) FROM "{t.name}"').fetchone()[0] for t in TABLES}
        assert store.execute("SELECT layout_path, modules, path FROM pack").fetchall() == [(1, 24.0, None)]
    assert filled["device"] == 5
    assert filled["module"] == filled["joint"] == filled["reading"] == 0
    said = capsys.readouterr().out
    assert said == f"{path}: {sum(filled.values())} rows in {len(TABLES)} tables\n"


def test_a_file_that_cannot_be_read_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("layout: 1\n", encoding="utf-8")
    assert run(["facts", str(bad), "--output", str(tmp_path / "facts.sqlite")]) == 4
    assert "bad.yaml" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [bad]


def test_a_profiles_bands_reach_the_facts(tmp_path: Path) -> None:
    layout = tmp_path / "layout.yaml"
    text = LAYOUT.read_text(encoding="utf-8")
    assert "    torque: 4.0 N·m to 5.0 N·m, aim 4.5 N·m\n" in text
    layout.write_text(text.replace("    torque: 4.0 N·m to 5.0 N·m, aim 4.5 N·m\n", ""), encoding="utf-8")
    profile = tmp_path / "shop.yaml"
    note = "by: A. Vey, at: 2026-09-01, why: the post maker's sheet"
    profile.write_text(
        f"profile: 1\nshop: North\ntorque bands:\n  M5: {{band: 3 N·m to 6 N·m, {note}}}\n", encoding="utf-8"
    )
    found = []
    for extra in ([], ["--profile", str(profile)]):
        path = tmp_path / "facts.sqlite"
        assert run(["facts", str(layout), "--output", str(path), *extra]) == 0
        with closing(sqlite3.connect(path)) as store:
            found.append(store.execute("SELECT DISTINCT torque_low_n_m, torque_high_n_m FROM joint_type").fetchall())
    assert found == [[(None, None)], [(3.0, 6.0)]]
