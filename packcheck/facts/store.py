"""Put facts into SQLite tables, in a file that anyone can query.

A measured column ``x`` becomes ``x_lo`` and ``x_hi``, the ends of what the reading allows, and ``x_fit``: 1 when the
instrument can prove something met, 0 when not.  What nobody recorded is NULL.  Every table is STRICT, so that a text
can never stand where a number belongs, and has the column ``row``, which counts its rows from 0.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from types import NoneType
from typing import Any

from packcheck.files.problems import OwnFault, WrongUsage
from packcheck.files.whole_file import SQLITE_MARK, build_whole
from packcheck.rules.catalogue import Column, Facts, Measured, Row, Table, Value

OLDEST_SQLITE = (3, 37, 0)
"""The first release with STRICT tables."""

CATALOGUE = "catalogue"
_NAME = re.compile(r"[a-z][a-z0-9_]*")
_CATALOGUE_COLUMNS = ("table_name", "column_name", "kind", "unit", "meaning", "source", "datum", "instrument")


def write_store(path: Path, facts: Facts, tables: Sequence[Table]) -> None:
    """Write the facts to an SQLite file, whole or not at all, with a table ``catalogue`` of what each column means.

    Raises
    ------
    WrongUsage : the file cannot be written.
    OwnFault : a value that its column cannot hold, two tables of one name, or an SQLite older than 3.37.
    """
    try:
        build_whole(path, lambda draft: _write(draft, facts, tables))
    except sqlite3.OperationalError as error:
        raise WrongUsage(f"cannot write {path}: {error}") from error


def fill_store(connection: sqlite3.Connection, facts: Facts, tables: Iterable[Table]) -> None:
    """Fill an empty database with the rows of each table by its name; a table without rows is made and left empty.

    Raises
    ------
    OwnFault : a value that its column cannot hold, two tables of one name, or an SQLite older than 3.37.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise OwnFault(f"SQLite {sqlite3.sqlite_version} has no STRICT tables; 3.37 or newer is needed")
    connection.execute("PRAGMA journal_mode = OFF")
    connection.execute("BEGIN")
    for table in tables:
        try:
            _fill_table(connection, table, facts.get(table.name, ()))
        except (sqlite3.Error, OverflowError) as error:
            raise OwnFault(f"the fact table {table.name} cannot be stored: {error}") from error
    connection.execute("COMMIT")


def sql_columns(column: Column) -> tuple[str, ...]:
    """Return the names of the SQL columns that hold one column of the catalogue."""
    if column.kind == "measured":
        return column.name + "_lo", column.name + "_hi", column.name + "_fit"
    return (column.name,)


def _write(draft: Path, facts: Facts, tables: Sequence[Table]) -> None:
    with closing(sqlite3.connect(draft, isolation_level=None)) as connection:
        connection.execute(f"PRAGMA application_id = {SQLITE_MARK}")
        fill_store(connection, facts, tables)
        connection.execute("BEGIN")
        declared = ", ".join(f"{name} TEXT NOT NULL" for name in _CATALOGUE_COLUMNS)
        connection.execute(f"CREATE TABLE {CATALOGUE} ({declared}, PRIMARY KEY (table_name, column_name)) STRICT")
        places = ", ".join("?" * len(_CATALOGUE_COLUMNS))
        connection.executemany(f"INSERT INTO {CATALOGUE} VALUES ({places})", _catalogue_rows(tables))
        connection.execute("COMMIT")


def _catalogue_rows(tables: Iterable[Table]) -> Iterator[tuple[str, ...]]:
    for table in tables:
        yield table.name, "", "table", "", table.meaning, "", "", ""
        for c in table.columns:
            yield table.name, c.name, c.kind, c.unit, c.meaning, c.source, c.datum, c.instrument


def _fill_table(connection: sqlite3.Connection, table: Table, rows: Sequence[Row]) -> None:
    columns = _stored_columns(table)
    declared = ", ".join(_declared(column) for column in columns)
    connection.execute(f'CREATE TABLE "{table.name}" (row INTEGER PRIMARY KEY, {declared}) STRICT')
    if not rows:
        return
    lists: list[Sequence[object]] = [range(len(rows))]
    for column in columns:
        lists.extend(_column_lists(table, column, rows))
    places = ", ".join("?" * len(lists))
    connection.executemany(f'INSERT INTO "{table.name}" VALUES ({places})', zip(*lists, strict=True))


def _stored_columns(table: Table) -> tuple[Column, ...]:
    for name in (table.name, *(name for column in table.columns for name in sql_columns(column))):
        if not _NAME.fullmatch(name) or name in ("row", CATALOGUE):
            raise OwnFault(f"the fact table {table.name} has the impossible name {name!r}")
    if table.subject in table.column_by_name:
        return table.columns
    return (Column(table.subject, "text", "name of the subject", "layout"), *table.columns)


def _declared(column: Column) -> str:
    if column.kind == "measured":
        low, high, fit = (f'"{name}"' for name in sql_columns(column))
        return f"{low} REAL, {high} REAL, {fit} INTEGER"
    return f'"{column.name}" {({"number": "REAL", "flag": "INTEGER", "text": "TEXT"})[column.kind]}'


_HELD: dict[str, frozenset[type]] = {
    "measured": frozenset({Measured, float, int, NoneType}),
    "number": frozenset({float, int, NoneType}),
    "flag": frozenset({bool, NoneType}),
    "text": frozenset({str, NoneType}),
}
"""The types that a column of each kind holds."""


def _column_lists(table: Table, column: Column, rows: Sequence[Row]) -> list[list[Any]]:
    name = column.name
    values: list[Any] = [row.values.get(name) for row in rows]
    if name == table.subject:
        values = [value or row.subject for value, row in zip(values, rows, strict=True)]
    types = set(map(type, values))
    if not types <= _HELD[column.kind]:
        raise _misfit(table, name, next(value for value in values if type(value) not in _HELD[column.kind]))
    if column.kind != "measured":
        if column.kind == "number":
            _check_order(table, name, values, values)
        return [values]
    if types & {float, int}:
        values = [Measured(value, value) if isinstance(value, float | int) else value for value in values]
    lists = [[None if value is None else value[part] for value in values] for part in (0, 1)]
    _check_order(table, name, *lists)
    return [*lists, [None if value is None else bool(value[2]) for value in values]]


def _check_order(table: Table, column: str, lows: Sequence[Any], highs: Sequence[Any]) -> None:
    """Refuse an interval that ends before it begins, and what is not a number at all."""
    for low, high in zip(lows, highs, strict=True):
        if low is not None and not low <= high:
            raise _misfit(table, column, Measured(low, high))


def _misfit(table: Table, column: str, value: Value) -> OwnFault:
    return OwnFault(f"the fact {table.name}.{column} cannot hold {value!r}")
