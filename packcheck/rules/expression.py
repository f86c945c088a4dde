"""Read a rule's condition: a plain Python expression, held to a short list of what may stand in it.

Nothing is ever evaluated as Python.  The text becomes a tree of :mod:`packcheck.rules.terms` in which every name is
a column of the rule's fact table or one of the rule's limits, and every comparison is between like and like.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise

from packcheck.files.problems import nearest_name
from packcheck.rules import terms, units
from packcheck.rules.catalogue import Table
from packcheck.rules.operands import (
    ANY,
    Number,
    Part,
    Text,
    Truth,
    extreme,
    in_order,
    kind_of,
    product,
    quotient,
    same,
    total,
)
from packcheck.rules.source import ALLOWED, BadExpression, ExpressionProblem, Source

__all__ = ["BadExpression", "ExpressionProblem", "parse_expression"]

_GREATEST_NUMBER = 1e60
_PLAIN_NUMBER = re.compile(r"\d+(\.\d*)?([eE][-+]?\d+)?|\.\d+([eE][-+]?\d+)?")
_FUNCTIONS = ("abs", "min", "max")


def parse_expression(text: str, table: Table, limits: Mapping[str, str | None] | None = None) -> terms.TruthTerm:
    """Return the condition that a rule's expression states.

    Parameters
    ----------
    text : the expression as written in the rule file.
    table : the fact table whose columns it may name.
    limits : the rule's named numbers with the unit of each; None where the unit is not known and is not checked.

    Raises
    ------
    BadExpression : with every mistake found and where it stands in the text.

    Examples
    --------
    >>> from packcheck.rules.catalogue import Column
    >>> joint = Table("joint", "", "joint", (Column("torque_n_m", "measured", "", "record", "N·m"),))
    >>> parse_expression("not torque_n_m > 0", joint)
    Not(part=Below(left=Constant(value=0.0), right=ColumnTerm(name='torque_n_m', kind='measured')))
    """
    reader = _Reader(text, table, limits or {})
    part = reader.read_whole()
    if reader.problems or part is None:
        raise BadExpression(reader.problems)
    return part.term


class _Reader:
    """Reads one expression and gathers what is wrong in it."""

    def __init__(self, text: str, table: Table, limits: Mapping[str, str | None]) -> None:
        self.source = Source(text)
        self.table = table
        self.columns = table.column_by_name
        self.limits = limits
        self.problems: list[ExpressionProblem] = []

    def read_whole(self) -> Truth | None:
        body = self.source.read_tree(self.problems)
        return None if body is None else self._truth(body)

    # -- conditions ----------------------------------------------------------------------------------------------

    def _truth(self, node: ast.expr) -> Truth | None:
        part = self._part(node)
        if part is None or isinstance(part, Truth):
            return part
        kind = "text" if isinstance(part, Text) else "number"
        name = node.id if isinstance(node, ast.Name) else kind
        self._wrong(
            node,
            f"the {kind} {name} on its own" if name != kind else f"a {kind} on its own",
            "a condition",
            do=f"Compare it with something, such as {name} <= ...",
        )
        return None

    def _part(self, node: ast.expr) -> Part | None:
        match node:
            case ast.Name():
                return self._name(node)
            case ast.Constant():
                return self._constant(node)
            case ast.Compare():
                return self._comparison(node)
            case ast.BoolOp():
                return self._joined(node)
            case ast.UnaryOp(op=ast.Not()):
                inner = self._truth(node.operand)
                return inner and Truth(terms.Not(inner.term))
            case ast.UnaryOp(op=ast.USub()):
                number = self._number(node.operand)
                return number and Number(terms.Negative(number.term), number.unit, number.bare)
            case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div()):
                return self._arithmetic(node)
            case ast.Call():
                return self._call(node)
        self._refuse(node)
        return None

    def _joined(self, node: ast.BoolOp) -> Truth | None:
        parts = [self._truth(value) for value in node.values]
        held = tuple(part.term for part in parts if part is not None)
        if len(held) < len(parts):
            return None
        return Truth(terms.All(held) if isinstance(node.op, ast.And) else terms.AnyOf(held))

    def _comparison(self, node: ast.Compare) -> Truth | None:
        sides = [node.left, *node.comparators]
        found = [
            self._membership(left, operator, right)
            if isinstance(operator, ast.In | ast.NotIn)
            else self._pair(left, operator, right)
            for (left, right), operator in zip(pairwise(sides), node.ops, strict=True)
        ]
        held = tuple(part for part in found if part is not None)
        if len(held) < len(found):
            return None
        return Truth(held[0] if len(held) == 1 else terms.All(held))

    def _membership(self, left: ast.expr, operator: ast.cmpop, right: ast.expr) -> terms.TruthTerm | None:
        text = self._part(left)
        words = [
            item.value
            for item in (right.elts if isinstance(right, ast.Tuple | ast.List) else [])
            if isinstance(item, ast.Constant) and isinstance(item.value, str)
        ]
        if text is None:
            return None
        if not isinstance(text, Text):
            self._wrong(left, "something other than a text before in", "a text column, as in mark in ('a', 'b')")
            return None
        if not isinstance(right, ast.Tuple | ast.List) or not words or len(words) < len(right.elts):
            self._wrong(right, "something other than a list of texts", 'texts in brackets, such as ("a", "b")')
            return None
        found = terms.OneOf(text.term, tuple(words))
        return terms.Not(found) if isinstance(operator, ast.NotIn) else found

    def _pair(self, left: ast.expr, operator: ast.cmpop, right: ast.expr) -> terms.TruthTerm | None:
        first, second = self._part(left), self._part(right)
        if first is None or second is None:
            return None
        if isinstance(operator, ast.Is | ast.IsNot):
            self._wrong(right, "is", "== or !=", do="Compare with ==; a missing value is handled by itself.")
            return None
        if type(first) is not type(second):
            self._wrong(right, f"{kind_of(first)} compared with {kind_of(second)}", "like compared with like")
            return None
        if isinstance(first, Number) and isinstance(second, Number):
            return self._number_pair(first, operator, second, right)
        if not isinstance(operator, ast.Eq | ast.NotEq):
            self._wrong(right, f"an order between {kind_of(first).removeprefix('a ')}s", "== or !=")
            return None
        equal = same(first, second)
        return terms.Not(equal) if isinstance(operator, ast.NotEq) else equal

    def _number_pair(self, left: Number, operator: ast.cmpop, right: Number, node: ast.expr) -> terms.TruthTerm | None:
        if not self._agree(left, right, node, "compared"):
            return None
        if (ordered := in_order(left, operator, right)) is not None:
            return ordered
        read = [c.name for c in terms.columns_within(terms.Sum((left.term, right.term))) if c.kind == "measured"]
        if read:
            self._wrong(
                node,
                f"== or != on {read[0]}, which is measured",
                "<= or >=",
                "a reading with its uncertainty is never one exact number",
            )
            return None
        equal = terms.Equal(left.term, right.term)
        return terms.Not(equal) if isinstance(operator, ast.NotEq) else equal

    # -- numbers -------------------------------------------------------------------------------------------------

    def _number(self, node: ast.expr) -> Number | None:
        part = self._part(node)
        if part is None or isinstance(part, Number):
            return part
        self._wrong(node, f"{kind_of(part)} used in arithmetic", "a number")
        return None

    def _arithmetic(self, node: ast.BinOp) -> Number | None:
        left, right = self._number(node.left), self._number(node.right)
        if left is None or right is None:
            return None
        if isinstance(node.op, ast.Mult):
            return product(left, right)
        if isinstance(node.op, ast.Div):
            return quotient(left, right)
        less = isinstance(node.op, ast.Sub)
        if not self._agree(left, right, node.right, "subtracted" if less else "added"):
            return None
        return total(left, right, less=less)

    def _call(self, node: ast.Call) -> Number | None:
        name = node.func.id if isinstance(node.func, ast.Name) else ""
        if name not in _FUNCTIONS or node.keywords:
            self._refuse(node)
            return None
        numbers = [self._number(argument) for argument in node.args]
        held = [number for number in numbers if number is not None]
        if len(held) < len(numbers):
            return None
        if name == "abs":
            if len(held) != 1:
                self._wrong(node, f"abs with {len(held)} numbers", "abs with one number")
                return None
            return Number(terms.Absolute(held[0].term), held[0].unit, held[0].bare)
        if len(held) < 2:
            self._wrong(node, f"{name} with {len(held)} number", f"{name} of two or more numbers")
            return None
        for other, argument in zip(held[1:], node.args[1:], strict=True):
            if not self._agree(held[0], other, argument, "compared"):
                return None
        return extreme(held, greatest=name == "max")

    def _agree(self, left: Number, right: Number, node: ast.expr, verb: str) -> bool:
        if left.unit == right.unit or left.unit is ANY or right.unit is ANY:
            return True
        shown = units.unit_in_words(left.unit), units.unit_in_words(right.unit)
        if left.bare or right.bare:
            unit = shown[0] if right.bare else shown[1]
            found = f"a bare number {verb} with a value in {unit}"
            do = f"Name it under limits with its unit, such as 0.3 {unit}, and use the name here."
            self._wrong(node, found, "a number with a unit", "a bare number hides what it is measured in", do)
        else:
            self._wrong(node, f"{shown[0]} {verb} with {shown[1]}", "the same unit on both sides")
        return False

    # -- names and constants -------------------------------------------------------------------------------------

    def _name(self, node: ast.Name) -> Part | None:
        if (column := self.columns.get(node.id)) is not None:
            term = terms.ColumnTerm(column.name, column.kind)
            if column.kind == "text":
                return Text(term)
            return Truth(term) if column.kind == "flag" else Number(term, units.read_unit(column.unit))
        if node.id in self.limits:
            symbol = self.limits[node.id]
            return Number(terms.LimitTerm(node.id), ANY if symbol is None else units.read_unit(symbol))
        near = nearest_name(node.id, [*self.columns, *self.limits, "True", "False"])
        do = f"Did you mean {near}?" if near else f"The columns are: {', '.join(self.columns)}."
        self._wrong(node, f"the name {node.id}", f"a column of {self.table.name} or one of the limits", do=do)
        return None

    def _constant(self, node: ast.Constant) -> Part | None:
        if isinstance(node.value, bool):
            return Truth(terms.Truth(node.value))
        if isinstance(node.value, str):
            return Text(terms.Word(node.value))
        written = self.source.written(node)
        if not isinstance(node.value, int | float) or not _PLAIN_NUMBER.fullmatch(written):
            self._refuse(node)
            return None
        if node.value > _GREATEST_NUMBER:
            self._wrong(node, "a number beyond all measure", f"at most {_GREATEST_NUMBER:.0e}")
            return None
        value = float(Fraction(written))
        return Number(terms.Constant(value), units.PLAIN if value else ANY, bare=True)

    # -- problems ------------------------------------------------------------------------------------------------

    def _refuse(self, node: ast.expr) -> None:
        written = " ".join(self.source.written(node).split())
        shown = written if len(written) <= 40 else written[:37] + "..."
        self._wrong(node, f"{shown}, which has no place in a condition", ALLOWED)

    def _wrong(self, node: ast.expr, found: str, needed: str, why: str = "", do: str = "") -> None:
        self.problems.append(ExpressionProblem(self.source.at(node), found, needed, why, do))
