"""Put one small defect at a time into a copy of the program and ask the tests: how many defects do they find?

    .venv/bin/python tests/benchmarks/mutants.py --count 300 --seed 1

The checkout is never touched: all work is done on copies in a temporary folder.
"""

from __future__ import annotations

import argparse
import ast
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
AREAS = ("packcheck/physics", "packcheck/facts", "packcheck/rules/compile.py", "packcheck/rules/condition.py")
AREAS = (*AREAS, "packcheck/judging/judge.py", "packcheck/network", "packcheck/geometry")
TESTS = [
    "tests/test_physics_joint.py", "tests/test_cells.py", "tests/test_facts_command.py", "tests/test_exposure_facts.py",
    "tests/test_times.py", "tests/test_rules_shipped.py", "tests/test_demonstration_packs.py",
    "tests/test_outcomes_from_files.py", "tests/test_circuit.py", "tests/test_check.py", "tests/validation",
    "tests/transcribed", "tests/test_store.py", "tests/test_judge.py", "tests/test_conditions.py", "tests/test_laws.py",
    "tests/test_fault_matrix.py",
]  # fmt: skip
"""What is asked, in this order, until something fails: the quick ones first."""
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

    def describe(self, text: str) -> str:
        """Return the defect in a line."""
        return f"{self.file}:{self.line}: {text[self.start : self.end]!r} -> {self.put!r}"


def mutants_of(file: str, text: str) -> Iterator[Mutant]:
    """Yield the defects that can be put into a source."""
    offsets = [0]
    for line in text.splitlines(keepends=True):
        offsets.append(offsets[-1] + len(line))
    lines = text.splitlines(keepends=True)

    def place(line: int, column: int) -> int:
        return offsets[line - 1] + len(lines[line - 1].encode()[:column].decode())

    def swap(node: ast.AST, put: str) -> Mutant:
        start, end = place(node.lineno, node.col_offset), place(node.end_lineno, node.end_col_offset)  # type: ignore[attr-defined]
        return Mutant(file, start, end, put, node.lineno)  # type: ignore[attr-defined]

    for node in ast.walk(ast.parse(text)):
        put = replacement(node, lambda part: ast.get_source_segment(text, part) or "")
        yield from (swap(node, word) for word in put)


def replacement(node: ast.AST, source: object) -> list[str]:
    """Return what can stand in place of a node: another operator, another constant, the other branch, one term less."""
    of = source
    match node:
        case ast.Compare(left=left, ops=[op], comparators=[right]) if type(op) in COMPARISONS:
            return [f"({of(left)} {COMPARISONS[type(op)]} {of(right)})"]  # type: ignore[operator]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in OPERATORS:
            return [f"({of(left)} {OPERATORS[type(op)]} {of(right)})", f"({of(left)})"]  # type: ignore[operator]
        case ast.BoolOp(op=op, values=[first, *_] as values):
            other = " or " if isinstance(op, ast.And) else " and "
            return ["(" + other.join(f"({of(v)})" for v in values) + ")", f"({of(first)})"]  # type: ignore[operator]
        case ast.IfExp(test=test, body=body, orelse=orelse):
            return [f"({of(orelse)} if {of(test)} else {of(body)})"]  # type: ignore[operator]
        case ast.UnaryOp(op=ast.USub() | ast.Not(), operand=operand):
            return [f"({of(operand)})"]  # type: ignore[operator]
        case ast.Constant(value=bool() as flag):
            return [str(not flag)]
        case ast.Constant(value=int() | float() as number):
            return [repr(number * 2 if number else 1)]
    return []


def sources() -> Iterator[str]:
    """Yield the files that defects are put into."""
    for area in AREAS:
        found = sorted((ROOT / area).glob("*.py")) if (ROOT / area).is_dir() else [ROOT / area]
        yield from (str(path.relative_to(ROOT)) for path in found)


def chosen(count: int, seed: int) -> list[Mutant]:
    """Return so many defects, drawn at random from all."""
    every = [m for file in sources() for m in mutants_of(file, (ROOT / file).read_text(encoding="utf-8"))]
    return random.Random(seed).sample(every, min(count, len(every)))


def survives(mutant: Mutant, copy: Path) -> bool:
    """Return whether the tests pass with the defect in; the copy is as before afterwards."""
    target = copy / mutant.file
    sound = target.read_text(encoding="utf-8")
    target.write_text(sound[: mutant.start] + mutant.put + sound[mutant.end :], encoding="utf-8")
    command = [str(ROOT / ".venv/bin/python"), "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *TESTS]
    try:
        run = subprocess.run(command, cwd=copy, capture_output=True, timeout=300, check=False)
        return run.returncode == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_text(sound, encoding="utf-8")


def copy_of_the_checkout(folder: Path) -> Path:
    """Return a copy to spoil; the tests import the packcheck beside them."""
    return Path(
        shutil.copytree(ROOT, folder, ignore=shutil.ignore_patterns(".venv", ".git", ".*_cache", "__pycache__"))
    )


def main() -> None:
    """Run and print the score and the survivors."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for name in ("one", "two"):
            copies.put(copy_of_the_checkout(Path(folder) / name))

        def tried(mutant: Mutant) -> bool:
            copy = copies.get()
            try:
                alive = survives(mutant, copy)
            finally:
                copies.put(copy)
            if alive:
                print(mutant.describe((ROOT / mutant.file).read_text(encoding="utf-8")), flush=True)
            return alive

        mutants = chosen(given.count, given.seed)
        with ThreadPoolExecutor(2) as workers:
            alive = sum(workers.map(tried, mutants))
    print(f"{len(mutants)} defects, {len(mutants) - alive} found: {1 - alive / len(mutants):.1%}")


if __name__ == "__main__":
    sys.exit(main())
