"""Small defects that can be put into a source of the program, one at a time: a comparison, an operator, a constant."""

from __future__ import annotations

import ast
import random
from collections.abc import Iterator, Sequence
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).parents[2]
ROOMS = (
    "packcheck/physics", "packcheck/facts", "packcheck/rules", "packcheck/judging", "packcheck/network",
    "packcheck/geometry", "packcheck/diagnosis", "packcheck/exposure", "packcheck/matching", "packcheck/model",
    "packcheck/files", "packcheck/lessons", "packcheck/simulate",
)  # fmt: skip
COMPARISONS = {ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "=="}
COMPARISONS |= {ast.In: "not in", ast.NotIn: "in", ast.Is: "is not", ast.IsNot: "is"}
OPERATORS = {ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*"}


class Mutant(NamedTuple):
    """One defect: what stands in a file from one offset to another, and what is put there."""

    file: str
    start: int
    end: int
    put: str
    line: int
    last: int

    def spoil(self, text: str) -> str:
        """Return the source with the defect in it."""
        return text[: self.start] + self.put + text[self.end :]

    def describe(self) -> str:
        """Return the defect in a line."""
        text = (ROOT / self.file).read_text(encoding="utf-8")
        return " ".join(f"{self.file}:{self.line}: {text[self.start : self.end]!r} -> {self.put!r}".split())


def mutants_of(file: str, text: str) -> Iterator[Mutant]:
    """Yield the defects that can be put into a source."""
    offsets = [0]
    for line in text.splitlines(keepends=True):
        offsets.append(offsets[-1] + len(line))
    lines = text.splitlines(keepends=True)

    def place(line: int, column: int) -> int:
        return offsets[line - 1] + len(lines[line - 1].encode()[:column].decode())

    tree = ast.parse(text)
    unasked = {k.value for k in ast.walk(tree) if isinstance(k, ast.keyword) and k.arg == "strict"}  # changes nothing
    for node in ast.walk(tree):
        if node in unasked:
            continue
        for word in replacement(node, lambda part: ast.get_source_segment(text, part) or ""):
            start, end = place(node.lineno, node.col_offset), place(node.end_lineno, node.end_col_offset)  # type: ignore[attr-defined]
            yield Mutant(file, start, end, word, node.lineno, node.end_lineno)  # type: ignore[attr-defined]


def replacement(node: ast.AST, of: Any) -> list[str]:
    """Return what can stand in place of a node: another operator, another constant, the other branch, one term less."""
    match node:
        case ast.Compare(left=left, ops=[op], comparators=[right]) if type(op) in COMPARISONS:
            return [f"({of(left)} {COMPARISONS[type(op)]} {of(right)})"]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in OPERATORS:
            return [f"({of(left)} {OPERATORS[type(op)]} {of(right)})", f"({of(left)})"]
        case ast.BoolOp(op=op, values=[first, *_] as values):
            other = " or " if isinstance(op, ast.And) else " and "
            return ["(" + other.join(f"({of(v)})" for v in values) + ")", f"({of(first)})"]
        case ast.IfExp(test=test, body=body, orelse=orelse):
            return [f"({of(orelse)} if {of(test)} else {of(body)})"]
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            return [f"({of(operand)})"]
        case ast.Constant(value=bool() as flag):
            return [str(not flag)]
        case ast.Constant(value=int() | float() as number):
            return [repr(number * 2 if number else 1)]
    return []


def files() -> list[str]:
    """Return the files that defects are put into."""
    found = chain.from_iterable(sorted((ROOT / room).rglob("*.py")) for room in ROOMS)
    return [str(path.relative_to(ROOT)) for path in found]


def chosen(count: int, seed: int, rooms: Sequence[str] = ("packcheck",)) -> list[Mutant]:
    """Return so many defects, drawn at random from all of some rooms."""
    drawn = (file for file in files() if file.startswith(tuple(rooms)))
    every = [m for file in drawn for m in mutants_of(file, (ROOT / file).read_text(encoding="utf-8"))]
    return random.Random(seed).sample(every, min(count, len(every)))
