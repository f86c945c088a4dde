"""Put one small defect at a time into the running program and ask the tests: how many defects do they find?

    .venv/bin/python tests/benchmarks/mutants.py --count 300 --seed 1 --journal fates.txt

First every test is run once, and which functions of the program it calls is kept (``--reached``). Then, for each
defect, a child process is forked that has everything loaded, puts the defect into the functions in memory, empties all
caches and runs the tests that reach it, the quick ones and one of each kind first, until one fails. A defect outside
any function (a constant, a table) is put into a copy of the checkout instead, and the tests of ``OF_CONSTANTS`` are run
on that. The checkout is never touched.
"""

from __future__ import annotations

import argparse
import ast
import builtins
import functools
import gc
import inspect
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import chain, zip_longest
from pathlib import Path
from queue import Queue
from types import CodeType, FunctionType

import pytest
from defects import ROOT, Mutant, chosen, files

NOT_ASKED = (
    "bench_page", "bench_server", "html_in_chromium", "next_drawing", "drawings_", "draw_command", "office",
    "packaging", "readme", "paper", "watch", "manners", "editors", "architecture", "sheets",
    "formats_for_others", "fuzz_inputs", "html_page",
    "large_files", "whole_file", "release", "cli.py",
)  # fmt: skip
"""Parts of names of test files that are about other rooms, or start other programs."""
OF_CONSTANTS = (
    "tests/test_physics_joint.py", "tests/test_cells.py", "tests/transcribed", "tests/validation",
    "tests/test_outcomes_from_files.py", "tests/test_demonstration_packs.py", "tests/test_exposure_facts.py",
    "tests/test_drawing_mistakes.py", "tests/test_rules_shipped.py", "tests/test_times.py", "tests/test_isolation.py",
)  # fmt: skip
ALIKE = 8
"""So many of the cases of one test are run, spread evenly."""
OF_FILES = ("outcomes_from_files", "bad_files")
"""Tests that read a file for each case, of which all are run."""
LONGEST_S = 90.0
"""A defect that tests of so much time, as they took when their reach was measured, have not found is alive."""


# -- which tests call which functions ----------------------------------------------------------------------------------


def asked(items: Iterable[pytest.Item]) -> list[pytest.Item]:
    """Return the tests that are run: of one test's cases some, spread evenly."""
    alike: dict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        if not any(part in item.nodeid for part in NOT_ASKED) and not list(item.iter_markers("chromium")):
            alike[item.nodeid.partition("[")[0]].append(item)
    kept = []
    for name, cases in alike.items():
        step = 1 if any(part in name for part in OF_FILES) else max(1, -(-len(cases) // ALIKE))
        kept += cases[::step]
    return kept


class Reaching:
    """Runs the tests once and writes down which functions of the program each calls, and how long it takes."""

    def __init__(self, file: Path) -> None:
        self.file = file

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        called: set[str] = set()
        builtins.__called__ = called.add  # type: ignore[attr-defined]
        put_in(chain.from_iterable(noting(file) for file in files()))
        took: dict[str, float] = {}
        reached: dict[str, list[int]] = defaultdict(list)
        for number, item in enumerate(asked(session.items)):
            called.clear()
            began = time.perf_counter()
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
            took[item.nodeid] = time.perf_counter() - began
            for name in called:
                reached[name].append(number)
        self.file.write_text(json.dumps({"took": took, "reached": reached}))
        return True


def noting(file: str) -> Iterator[tuple[CodeType, CodeType]]:
    """Yield the functions of a file, and beside each one that first notes that it was called."""
    path = str(ROOT / file)
    text = Path(path).read_text(encoding="utf-8")
    tree = ast.parse(text)
    for function in (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)):
        first = function.decorator_list[0].lineno if function.decorator_list else function.lineno
        call = ast.parse(f"__called__({f'{file}:{first}'!r})").body[0]
        function.body.insert(1 if ast.get_docstring(function) else 0, call)
    noted = compile(ast.fix_missing_locations(tree), path, "exec", dont_inherit=True)
    sound = compile(text, path, "exec", dont_inherit=True)
    yield from zip(outermost(sound), outermost(noted), strict=True)


def outermost(code: CodeType) -> Iterator[CodeType]:
    """Yield the functions and methods of a compiled source, without those inside them."""
    for inner in (one for one in code.co_consts if isinstance(one, CodeType)):
        if inner.co_flags & inspect.CO_OPTIMIZED:
            yield inner
        else:
            yield from outermost(inner)


def in_turn(names: Iterable[str], took: dict[str, float], longest: float = LONGEST_S) -> list[str]:
    """Return tests in the order in which they are asked: one of each kind, quick ones first, up to the longest time.

    The census of all facts finds most of what nothing else does, and is asked as if it were quick.
    """

    def long(name: str) -> float:
        return took[name] / (100 if "census" in name else 1)

    alike: dict[str, list[str]] = defaultdict(list)
    for name in sorted(names, key=long):
        alike[name.partition("[")[0]].append(name)
    turns = sorted(alike.values(), key=lambda cases: long(cases[0]))
    order, spent = [], 0.0
    for name in chain.from_iterable(zip_longest(*turns)):
        if name and spent < longest:
            order.append(name)
            spent += took[name]
    return order


# -- a defect in memory ------------------------------------------------------------------------------------------------


def changed(sound: CodeType, spoilt: CodeType) -> Iterator[tuple[CodeType, CodeType]] | None:
    """Return the functions that differ between two compiled sources; None where something outside functions does."""
    ours = [c for c in sound.co_consts if isinstance(c, CodeType)]
    theirs = [c for c in spoilt.co_consts if isinstance(c, CodeType)]
    rest = [[c for c in code.co_consts if not isinstance(c, CodeType)] for code in (sound, spoilt)]
    if len(ours) != len(theirs) or sound.co_code != spoilt.co_code or repr(rest[0]) != repr(rest[1]):
        return None
    pairs = []
    for one, other in zip(ours, theirs, strict=True):
        if one == other:
            continue
        if one.co_flags & inspect.CO_OPTIMIZED:
            pairs.append((one, other))
            continue
        inner = changed(one, other)
        if inner is None:
            return None
        pairs += inner
    return iter(pairs)


def functions_spoilt(mutant: Mutant) -> list[tuple[CodeType, CodeType]]:
    """Return the sound and the spoilt code of the functions that a defect is in; none for one outside functions."""
    path = ROOT / mutant.file
    text = path.read_text(encoding="utf-8")
    sound = compile(text, str(path), "exec", dont_inherit=True)
    found = changed(sound, compile(mutant.spoil(text), str(path), "exec", dont_inherit=True))
    return [] if found is None else list(found)


def put_in(pairs: Iterable[tuple[CodeType, CodeType]]) -> int:
    """Put spoilt code into the living functions, empty every cache, and return how many functions were found."""
    found, spoilt = 0, dict(pairs)
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__ in spoilt:
            thing.__code__ = spoilt[thing.__code__]
            found += 1
    for thing in gc.get_objects():
        if isinstance(thing, functools._lru_cache_wrapper):
            thing.cache_clear()
    return found


class Asking:
    """Forks a child for each defect, in which the tests that reach it are run until one fails."""

    def __init__(self, mutants: list[Mutant], reached: Path, journal: Path, workers: int, longest: float) -> None:
        self.mutants, self.journal, self.workers, self.longest = mutants, journal, workers, longest
        told = json.loads(reached.read_text())
        self.took, self.reached = told["took"], told["reached"]
        self.names = list(self.took)
        self.known = dict(line.split("\t") for line in journal.read_text().splitlines()) if journal.exists() else {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        running: dict[int, tuple[Mutant, float]] = {}
        gc.collect()
        gc.freeze()
        waiting = [m for m in self.mutants if m.describe() not in self.known]
        outside = [m for m in waiting if not functions_spoilt(m)]
        for mutant in (m for m in waiting if m not in outside):
            while len(running) >= self.workers:
                self._wait(running)
            if (child := os.fork()) == 0:
                self._child(mutant, items)
            running[child] = mutant, time.monotonic()
        while running:
            self._wait(running)
        self._in_copies(outside)
        return True

    def _tests(self, mutant: Mutant) -> list[str]:
        functions = {f"{mutant.file}:{sound.co_firstlineno}" for sound, _ in functions_spoilt(mutant)}
        numbers = {n for name in functions for n in self.reached.get(name, ())}
        return in_turn((self.names[n] for n in numbers), self.took, self.longest)

    def _child(self, mutant: Mutant, items: dict[str, pytest.Item]) -> None:
        code = 3
        try:
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            gc.unfreeze()
            if put_in(functions_spoilt(mutant)):
                code = 0
                for item in (items[name] for name in self._tests(mutant) if name in items):
                    item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
                    if item.session.testsfailed:
                        code = 1
                        break
        except BaseException:
            code = 1
        finally:
            os._exit(code)

    def _wait(self, running: dict[int, tuple[Mutant, float]]) -> None:
        child, status = os.waitpid(-1, os.WNOHANG)
        if child:
            mutant, _ = running.pop(child)
            fates = {0: "alive", 3: "not put in"}
            self._tell(mutant, fates.get(os.waitstatus_to_exitcode(status), "found"))
            return
        for child, (mutant, began) in list(running.items()):
            if time.monotonic() - began > 10 * self.longest:
                os.kill(child, 9)
                os.waitpid(child, 0)
                running.pop(child)
                self._tell(mutant, "without end")
        time.sleep(0.05)

    def _in_copies(self, mutants: Iterable[Mutant]) -> None:
        with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(self.workers) as workers:
            copies: Queue[Path] = Queue()
            for number in range(self.workers):
                ignored = shutil.ignore_patterns(".venv", ".git", ".*_cache", "__pycache__")
                copies.put(Path(shutil.copytree(ROOT, Path(folder) / str(number), ignore=ignored)))

            def tried(mutant: Mutant) -> None:
                copy = copies.get()
                target = copy / mutant.file
                sound = target.read_text(encoding="utf-8")
                target.write_text(mutant.spoil(sound), encoding="utf-8")
                command = [sys.executable, "-B", "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *OF_CONSTANTS]
                try:
                    run = subprocess.run(command, cwd=copy, capture_output=True, timeout=1800, check=False)
                    self._tell(mutant, "found" if run.returncode else "alive")
                except subprocess.TimeoutExpired:
                    self._tell(mutant, "without end")
                finally:
                    target.write_text(sound, encoding="utf-8")
                    copies.put(copy)

            list(workers.map(tried, mutants))

    def _tell(self, mutant: Mutant, fate: str) -> None:
        self.known[mutant.describe()] = fate
        with self.journal.open("a", encoding="utf-8") as lines:
            lines.write(f"{mutant.describe()}\t{fate}\n")


def main() -> int:
    """Run and print the score and the survivors."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--in", dest="rooms", nargs="+", default=["packcheck"], help="only folders or files of ROOMS")
    parser.add_argument("--tests", nargs="+", default=["tests"], help="only these files of tests are asked")
    parser.add_argument(
        "--longest", type=float, default=LONGEST_S, help="a defect not found in tests of so many seconds is alive"
    )
    parser.add_argument("--reached", type=Path, help="a file that keeps which functions each test calls")
    parser.add_argument("--journal", type=Path, help="a file that keeps each fate, so that a run can go on later")
    given = parser.parse_args()
    kept = Path(tempfile.mkdtemp())
    reached, journal = given.reached or kept / "reached.json", given.journal or kept / "fates.txt"
    options = ["-q", "-p", "no:cacheprovider", "--no-header", "--rootdir", str(ROOT), *given.tests]
    os.chdir(ROOT)
    mutants = chosen(given.count, given.seed, given.rooms)
    if not reached.exists():
        if given.count:  # in a process of its own, so that the functions here stay as they are
            asked_of = ["--tests", *given.tests, "--reached", str(reached), "--count", "0"]
            subprocess.run([sys.executable, __file__, *asked_of], check=True)
        else:
            pytest.main(options, [Reaching(reached)])
    if given.count == 0:
        return 0
    asking = Asking(mutants, reached, journal, given.workers, given.longest)
    pytest.main([*options, "-s"], [asking])
    fates = {mutant.describe(): asking.known[mutant.describe()] for mutant in mutants}
    for name, fate in fates.items():
        if fate != "found":
            print(f"{fate}: {name}")
    counts = Counter(fates.values())
    print(f"{len(fates)} defects: {', '.join(f'{count} {fate}' for fate, count in counts.most_common())}")
    print(f"{1 - (counts['alive'] + counts['not put in']) / len(fates):.1%} found")
    return 0


if __name__ == "__main__":
    sys.exit(main())
