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
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
AREAS = ("packcheck/physics", "packcheck/facts", "packcheck/rules/compile.py", "packcheck/rules/condition.py")
AREAS = (*AREAS, "packcheck/judging/judge.py", "packcheck/network", "packcheck/geometry")
STAGES = (
    [
        "tests/test_physics_joint.py", "tests/test_cells.py", "tests/test_exposure_facts.py", "tests/test_times.py",
        "tests/test_rules_shipped.py", "tests/test_demonstration_packs.py", "tests/test_outcomes_from_files.py",
    ],
    ["tests/transcribed", "tests/test_facts_command.py", "tests/test_store.py", "tests/test_check.py",
     "tests/test_branches.py", "tests/test_circuit.py", "tests/test_fault_matrix.py"],
    ["tests/validation", "tests/test_judge.py", "tests/test_conditions.py", "tests/test_laws.py",
     "tests/test_repeats.py", "tests/test_clamp.py", "tests/test_gates.py"],
)  # fmt: skip
"""What is asked, in this order, until something fails: the quick ones first."""
LONGEST_S = 1800
"""A stage that takes longer, on however busy a machine, has not ended: it counts as found, and is told apart."""
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


def fate(mutant: Mutant, copy: Path) -> str:
    """Return ``found``, ``without end`` or ``alive``; the copy is as before afterwards."""
    target = copy / mutant.file
    sound = target.read_text(encoding="utf-8")
    target.write_text(sound[: mutant.start] + mutant.put + sound[mutant.end :], encoding="utf-8")
    command = [str(ROOT / ".venv/bin/python"), "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider"]
    try:
        for stage in STAGES:
            tests = [test for test in stage if (copy / test).exists()]
            run = subprocess.run([*command, *tests], cwd=copy, capture_output=True, timeout=LONGEST_S, check=False)
            if run.returncode:
                return "found"
        return "alive"
    except subprocess.TimeoutExpired:
        return "without end"
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
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--journal", type=Path, help="a file that keeps each fate, so that a run can go on later")
    given = parser.parse_args()
    journal = given.journal or Path(tempfile.mkdtemp()) / "fates.txt"
    known = dict(line.split("\t") for line in journal.read_text().splitlines()) if journal.exists() else {}
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for number in range(given.workers):
            copies.put(copy_of_the_checkout(Path(folder) / str(number)))

        def tried(mutant: Mutant) -> str:
            name = mutant.describe((ROOT / mutant.file).read_text(encoding="utf-8")).replace("\n", " ")
            if name not in known:
                copy = copies.get()
                try:
                    known[name] = fate(mutant, copy)
                finally:
                    copies.put(copy)
                with journal.open("a") as lines:
                    lines.write(f"{name}\t{known[name]}\n")
            if known[name] == "alive":
                print(name, flush=True)
            return known[name]

        with ThreadPoolExecutor(given.workers) as workers:
            fates = Counter(workers.map(tried, chosen(given.count, given.seed)))
    number = sum(fates.values())
    print(f"{number} defects: {', '.join(f'{count} {fate_}' for fate_, count in fates.most_common())}")
    print(f"{1 - fates['alive'] / number:.1%} found")


if __name__ == "__main__":
    sys.exit(main())
