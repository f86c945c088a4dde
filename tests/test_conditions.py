"""Conditions as functions, held to two other roads: SQL over stored facts, and brute force over points of intervals."""

from __future__ import annotations

import ast
import itertools
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from math import inf, isinf
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sql_road import SqlWriter, stored

from packcheck.rules import terms
from packcheck.rules.catalogue import Column, Measured, Row, Table, Value
from packcheck.rules.condition import condition_of
from packcheck.rules.expression import BadExpression, parse_expression
from packcheck.rules.intervals import interval_of

KINDS = {"m": "measured", "n": "number", "f": "flag", "t": "text"}
NAMES = ("m1", "m2", "m3", "n1", "n2", "f1", "f2", "t1", "t2")
TABLE = Table(
    "thing",
    "Things.",
    "thing",
    tuple(Column(name, KINDS[name[0]], "", "record", "", name) for name in NAMES),  # type: ignore[arg-type]
)
WORDS = ("white", "red", "none")
FAR = Fraction(10**7)

tenths = st.integers(-30, 30).map(lambda n: n / 10)


@st.composite
def readings(draw: st.DrawFn, complete: bool = False) -> Measured | None:
    if not complete and draw(st.integers(0, 4)) == 0:
        return None
    low, high = sorted((draw(tenths), draw(tenths)))
    if draw(st.integers(0, 3)) == 0:
        high = low
    elif not complete and draw(st.integers(0, 4)) == 0:
        high = inf
    return Measured(low, high, complete or draw(st.integers(0, 3)) > 0)


@st.composite
def rows(draw: st.DrawFn, complete: bool = False) -> dict[str, Value]:
    absent = st.nothing() if complete else st.none()
    by_kind = {
        "m": readings(complete),
        "n": absent | tenths,
        "f": absent | st.booleans(),
        "t": absent | st.sampled_from(WORDS),
    }
    return {name: draw(by_kind[name[0]]) for name in NAMES}


@st.composite
def numbers(draw: st.DrawFn, depth: int = 2, arithmetic: bool = True) -> str:
    kind = draw(st.integers(0, 9 if depth else 2))
    if kind < 3:
        return draw(st.sampled_from(("m1", "m2", "m3", "n1", "n2")) | tenths.map(str))
    inner = numbers(depth=depth - 1, arithmetic=arithmetic)
    if kind == 3:
        return f"abs({draw(inner)})"
    if kind == 4:
        return f"-({draw(inner)})"
    if kind in (5, 6) or not arithmetic:
        return f"{draw(st.sampled_from(('min', 'max')))}({draw(inner)}, {draw(inner)})"
    return f"({draw(inner)} {draw(st.sampled_from('+-*/'))} {draw(inner)})"


@st.composite
def conditions(draw: st.DrawFn, depth: int = 2, arithmetic: bool = True) -> str:
    kind = draw(st.integers(0, 8 if depth else 4))
    if kind < 3:
        side = numbers(arithmetic=arithmetic)
        middle = f" {draw(st.sampled_from(('<', '<=')))} {draw(side)}" if draw(st.integers(0, 3)) == 0 else ""
        return f"{draw(side)} {draw(st.sampled_from(('<', '<=', '>', '>=')))} {draw(side)}{middle}"
    if kind == 3:
        return draw(st.sampled_from(("f1", "f2", "f1 == f2", "f1 != f2", "n1 == n2", "n1 != n2", "n1 == 0.5")))
    if kind == 4:
        texts = ("t1 == t2", "t1 != 'red'", "t1 in ('white', 'red')", "t2 not in ('none', 'red')", "True", "False")
        return draw(st.sampled_from(texts))
    inner = conditions(depth=depth - 1, arithmetic=arithmetic)
    if kind == 5:
        return f"not ({draw(inner)})"
    return f"({draw(inner)}) {draw(st.sampled_from(('and', 'or')))} ({draw(inner)})"


class Answer(NamedTuple):
    """Whether a condition holds at every value that the facts allow, and whether it holds at any."""

    surely: bool
    possibly: bool


def answered(term: terms.TruthTerm, values: Mapping[str, Value], widened: bool = True) -> Answer:
    truth = condition_of(term)(values, widened)
    return Answer(truth is True, truth is not False)


def sql_answers(term: terms.TruthTerm, all_values: list[dict[str, Value]]) -> list[tuple[Answer, Answer]]:
    """Return what the SQL answers for each row: (widened, as read)."""
    writer = SqlWriter(TABLE)
    asked = [ask(term, widened) for widened in (True, False) for ask in (writer.surely, writer.possibly)]
    facts = {TABLE.name: tuple(Row(str(i), values) for i, values in enumerate(all_values))}
    with stored(facts, [TABLE]) as store:
        found = store.execute(f'SELECT {", ".join(asked)} FROM "thing" ORDER BY row', writer.parameters).fetchall()
    assert all(answer in (0, 1) for row in found for answer in row), "NULL or a number reached a condition"
    return [(Answer(bool(a), bool(b)), Answer(bool(c), bool(d))) for a, b, c, d in found]


def usable(text: str) -> terms.TruthTerm | None:
    try:
        return parse_expression(text, TABLE)
    except BadExpression as error:
        refused = error.problems
    assert all("too many" in problem.found or "characters" in problem.found for problem in refused), text
    return None


# -- brute force -------------------------------------------------------------------------------------------------------


class _Exact(ast.NodeTransformer):
    """Python's own reading of the condition, its decimals made exact."""

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            return node
        return ast.Call(ast.Name("Fraction", ast.Load()), [ast.Constant(repr(node.value))], [])


def python_condition(text: str) -> object:
    tree = ast.fix_missing_locations(_Exact().visit(ast.parse(text, mode="eval")))
    return compile(tree, "condition", "eval")


def points(values: Mapping[str, Value], name: str) -> list[object]:
    """Return values that a fact allows: ends, zero, one between; far off where it is unbounded."""
    value = values[name]
    if name[0] == "f":
        return [False, True] if value is None else [value]
    if name[0] == "t":
        return [*WORDS, "other"] if value is None else [value]
    low, high = (-inf, inf) if value is None else (value, value)
    if isinstance(value, Measured):
        low, high = value.low, value.high
    ends = [-FAR if isinf(low) else Fraction(repr(float(low))), FAR if isinf(high) else Fraction(repr(float(high)))]
    inside = [Fraction(0)] if low <= 0 <= high else []
    return list(dict.fromkeys([*ends, *inside, sum(ends, Fraction(0)) / 2]))


def truths(text: str, term: terms.TruthTerm, values: Mapping[str, Value]) -> Iterator[bool]:
    """Yield the truth of the condition at every combination of points, leaving out divisions by zero."""
    names = [column.name for column in terms.columns_within(term)]
    code = python_condition(text)
    for combination in itertools.islice(itertools.product(*(points(values, name) for name in names)), 300):
        scope = {"Fraction": Fraction, **dict(zip(names, combination, strict=True))}
        try:
            yield bool(eval(code, scope))  # type: ignore[arg-type]
        except ZeroDivisionError:
            continue


def widened_values(values: Mapping[str, Value]) -> dict[str, Value]:
    return {name: None if isinstance(v, Measured) and not v.fit else v for name, v in values.items()}


@settings(max_examples=400, deadline=None)
@given(conditions(), st.lists(rows(), min_size=1, max_size=6))
def test_sure_holds_at_every_point_and_impossible_at_none(text: str, all_values: list[dict[str, Value]]) -> None:
    term = usable(text)
    if term is None:
        return
    for values, (widened, as_read) in zip(all_values, sql_answers(term, all_values), strict=True):
        for answer, allowed in ((widened, widened_values(values)), (as_read, values)):
            found = set(truths(text, term, allowed))
            assert not (answer.surely and False in found), (text, values)
            assert answer.possibly or True not in found, (text, values)


SINGLE_USE = (
    "m1 <= m2",
    "m1 < 1.5 <= m2",
    "abs(m1) <= m2",
    "m1 + m2 <= m3",
    "m1 - m2 < n1",
    "m1 * m2 <= m3",
    "-m1 <= 2 * m2",
    "min(m1, m2) <= max(m3, n1)",
    "m1 <= m2 and m3 < n1",
    "m1 <= m2 or not m3 < n1",
    "not (m1 < m2 and f1)",
    "n1 == n2",
    "t1 == t2 or f1",
    "t1 not in ('white', 'red') and m1 <= 0.5",
    "abs(m1) * 0.5 <= m2",
)


@pytest.mark.parametrize("text", SINGLE_USE)
@settings(max_examples=30, deadline=None)
@given(values=rows(complete=True))
def test_no_answer_is_vaguer_than_it_must_be_where_each_column_is_read_once(
    text: str, values: dict[str, Value]
) -> None:
    term = parse_expression(text, TABLE)
    found = set(truths(text, term, values))
    assert answered(term, values) == Answer(False not in found, True in found)


# -- SQL against the walk ----------------------------------------------------------------------------------------------


@settings(max_examples=300, deadline=None)
@given(conditions(arithmetic=False), st.lists(rows(), min_size=1, max_size=6))
def test_sql_and_walk_agree_exactly_where_nothing_is_reckoned(text: str, all_values: list[dict[str, Value]]) -> None:
    term = parse_expression(text, TABLE)
    for values, (widened, as_read) in zip(all_values, sql_answers(term, all_values), strict=True):
        assert widened == answered(term, values, True), (text, values)
        assert as_read == answered(term, values, False), (text, values)


@settings(max_examples=200, deadline=None)
@given(conditions(), st.lists(rows(), min_size=1, max_size=6))
def test_sql_and_condition_never_contradict_each_other(text: str, all_values: list[dict[str, Value]]) -> None:
    term = usable(text)
    if term is None:
        return
    for values, answers in zip(all_values, sql_answers(term, all_values), strict=True):
        for sql, widened in zip(answers, (True, False), strict=True):
            exact = answered(term, values, widened)
            assert exact.surely or not sql.surely, (text, values)
            assert sql.possibly or not exact.possibly, (text, values)


@settings(max_examples=200, deadline=None)
@given(conditions(), rows(), st.sampled_from(NAMES))
def test_knowing_less_never_makes_anything_surer(text: str, values: dict[str, Value], name: str) -> None:
    term = usable(text)
    if term is None:
        return
    before, after = (answered(term, v) for v in (values, {**values, name: None}))
    assert before.surely or not after.surely
    assert after.possibly or not before.possibly


# -- single facts ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("m1 <= 4.5", {"m1": Measured(4.5, 4.5)}),
        ("m1 + 0.2 <= 0.3", {"m1": Measured(0.1, 0.1)}),
        ("0.3 - 0.2 - m1 >= 0", {"m1": Measured(0.1, 0.1)}),
        ("m1 * 3 <= 0.3", {"m1": Measured(0.1, 0.1)}),
        ("m1 / 3 <= m2", {"m1": Measured(0.9, 0.9), "m2": Measured(0.3, 0.3)}),
        ("m1 * 1.1 <= 1.21", {"m1": Measured(1.1, 1.1)}),
        ("n1 + n2 == 0.3", {"n1": 0.1, "n2": 0.2}),
    ],
)
def test_limit_met_to_the_last_digit_is_met(text: str, values: dict[str, Value]) -> None:
    assert answered(parse_expression(text, TABLE), values) == Answer(True, True)


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("m1 <= 4.5", {"m1": Measured(4.500000000000001, 4.500000000000001)}),
        ("m1 + 0.2 <= 0.3", {"m1": Measured(0.10000000000000002, 0.10000000000000002)}),
        ("m1 * 3 < 0.3", {"m1": Measured(0.1, 0.1)}),
    ],
)
def test_limit_missed_by_the_last_digit_is_missed(text: str, values: dict[str, Value]) -> None:
    assert answered(parse_expression(text, TABLE), values) == Answer(False, False)


@pytest.mark.parametrize(
    ("text", "values", "answer"),
    [
        ("m1 <= m2", {}, Answer(False, True)),
        ("0 * m1 <= 0", {}, Answer(True, True)),
        ("m1 / m2 <= 5", {"m1": Measured(1, 1), "m2": Measured(-1, 1)}, Answer(False, True)),
        ("m1 / m2 <= 5", {"m1": Measured(1, 1), "m2": Measured(0, 1)}, Answer(False, True)),
        ("m1 / m2 <= 5", {"m1": Measured(1, 1), "m2": Measured(1, inf)}, Answer(True, True)),
        ("m1 - m2 <= 5", {"m1": Measured(1, inf), "m2": Measured(1, inf)}, Answer(False, True)),
        ("f1", {}, Answer(False, True)),
        ("not f1", {}, Answer(False, True)),
        ("f1 or not f1", {}, Answer(False, True)),
        ("t1 != 'red'", {}, Answer(False, True)),
        ("t1 not in ('red', 'white')", {}, Answer(False, True)),
        ("f1 and m1 < 0", {"f1": False}, Answer(False, False)),
        ("f1 or m1 < 0", {"f1": True}, Answer(True, True)),
        ("n1 != n2", {"n1": 1.0}, Answer(False, True)),
    ],
)
def test_missing_and_unbounded_values_leave_open_what_they_must(
    text: str, values: dict[str, Value], answer: Answer
) -> None:
    term = parse_expression(text, TABLE)
    assert answered(term, values) == answer
    assert sql_answers(term, [values])[0][0].possibly == answer.possibly


SIZES = st.floats(1e-9, 1e12) | st.floats(-1e12, -1e-9)
"""Micro-ohms to tera-ohms: what quantities of every kind come to in their base units."""


@given(*(st.tuples(SIZES, SIZES).map(sorted) for _ in range(3)))
def test_what_is_reckoned_with_floats_holds_what_is_reckoned_with_fractions(
    one: list[float], two: list[float], three: list[float]
) -> None:
    """m1 + m2 - m3, m1 * m2 and m1 / m3, by hand over the corners of their intervals."""
    values: dict[str, Value] = {f"m{n}": Measured(*ends) for n, ends in enumerate((one, two, three), 1)}
    (a, b), (c, d), (e, f) = ([Fraction(Decimal(repr(end))) for end in ends] for ends in (one, two, three))
    m1, m2, m3 = (terms.ColumnTerm(name, "measured") for name in ("m1", "m2", "m3"))
    corners: list[tuple[terms.NumberTerm, list[Fraction]]] = [
        (terms.Sum((m1, m2, terms.Negative(m3))), [a + c - f, b + d - e]),
        (terms.Product(m1, m2), [x * y for x in (a, b) for y in (c, d)]),
    ]
    if not e <= 0 <= f:
        corners.append((terms.Quotient(m1, m3), [x / y for x in (a, b) for y in (e, f)]))
    for term, ends in corners:
        assert interval_of(term, True)(values, True) == (min(ends), max(ends))
        low, high = interval_of(term, False)(values, True)
        assert low <= min(ends)
        assert max(ends) <= high
        scale = max(map(abs, (*ends, *one, *two, *three)))
        assert high - low <= max(ends) - min(ends) + scale / 10**14, "widened for rounding alone"


def test_unfit_reading_counts_widened_as_unknown_and_as_read_as_shown() -> None:
    term = parse_expression("not m1 > 1", TABLE)
    widened, as_read = sql_answers(term, [{"m1": Measured(2, 2, False)}])[0]
    assert (widened, as_read) == (Answer(False, True), Answer(False, False))


def test_text_of_the_rule_never_reaches_the_sql() -> None:
    writer = SqlWriter(TABLE)
    sql = writer.surely(parse_expression("t1 == 'x\"; DROP TABLE thing; --' and m1 < 0.125", TABLE))
    assert "DROP" not in sql
    assert "0.125" not in sql
    assert writer.parameters == ['x"; DROP TABLE thing; --', 0.125]
