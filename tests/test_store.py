"""Facts in SQLite: what is stored and what is refused."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from math import inf
from pathlib import Path

import pytest
from rule_fixtures import JOINT, PACK
from sql_road import stored

from packcheck.facts.store import write_store
from packcheck.files.problems import OwnFault, WrongUsage
from packcheck.rules.catalogue import Column, Measured, Row, Table, Value

ROWS = (
    Row("B01/P01", {"fitted": True, "torque_n_m": Measured(4.4, 4.6), "torque_low_n_m": 4, "mark": "white"}),
    Row("B01/P02", {"fitted": False, "resistance_ohm": Measured(5e8, inf, False), "torque_n_m": 4.5}),
)
FACTS = {"joint": ROWS}


def test_values_are_stored_as_intervals_with_null_for_what_is_absent() -> None:
    with stored(FACTS, [JOINT, PACK]) as store:
        found = store.execute("SELECT * FROM joint").fetchall()
        assert store.execute("SELECT row FROM pack").fetchall() == []
    assert found == [
        (0, "B01/P01", 1, 4.4, 4.6, 1, 4.0, None, None, None, None, "white"),
        (1, "B01/P02", 0, 4.5, 4.5, 1, None, None, 5e8, inf, 0, None),
    ]


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("torque_n_m", Measured(2, 1)),
        ("torque_n_m", Measured(float("nan"), 1)),
        ("torque_n_m", float("nan")),
        ("torque_n_m", "4.5"),
        ("torque_low_n_m", True),
        ("torque_low_n_m", float("nan")),
        ("torque_low_n_m", Measured(1, 1)),
        ("fitted", 1),
        ("fitted", "yes"),
        ("mark", 3),
    ],
)
def test_value_that_does_not_fit_its_column_is_refused(column: str, value: Value) -> None:
    with pytest.raises(OwnFault, match=column), stored({"joint": (Row("J", {column: value}),)}, [JOINT]):
        pass


@pytest.mark.parametrize("name", ["Joint", "a b", "x;y", 'x"', "", "row", "catalogue"])
def test_name_that_is_no_plain_word_is_refused(name: str) -> None:
    with pytest.raises(OwnFault), stored({}, [Table("thing", "", "thing", (Column(name, "text", "", "layout"),))]):
        pass
    with pytest.raises(OwnFault), stored({}, [Table(name, "", "thing", ())]):
        pass


def test_written_file_can_be_queried_and_explains_itself(tmp_path: Path) -> None:
    path = tmp_path / "facts.sqlite"
    write_store(path, FACTS, [JOINT, PACK])
    with closing(sqlite3.connect(path)) as store:
        assert store.execute("SELECT joint FROM joint WHERE torque_n_m_lo >= 4.45").fetchall() == [("B01/P02",)]
        assert store.execute("SELECT * FROM catalogue WHERE column_name = 'torque_n_m'").fetchall() == [
            ("joint", "torque_n_m", "measured", "N·m", "torque read", "record", "torque", "torque wrench")
        ]
        assert store.execute("SELECT count(*) FROM catalogue").fetchone() == (
            len(JOINT.columns) + len(PACK.columns) + 2,
        )
    assert list(tmp_path.iterdir()) == [path]


def test_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "facts.sqlite"
    write_store(path, FACTS, [JOINT])
    before = path.read_bytes()
    with pytest.raises(OwnFault):
        write_store(path, {"joint": (Row("J", {"mark": 3}),)}, [JOINT])
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]
    with pytest.raises(WrongUsage):
        write_store(tmp_path / "none" / "facts.sqlite", FACTS, [JOINT])
