"""Mutate layouts, records, rules and profiles, and check each as a user would: nothing but a plain answer may come out.

Run ``python tests/benchmarks/fuzz_inputs.py --count 1000 --seed 1``.  Mutation ``i`` of a seed is always the same one:
``--start`` goes on where an earlier run stopped, and ``--only SEED:INDEX`` does a single one again.  What a mutated
file may lead to: a judgement, ``InputProblems``, ``WrongUsage``.  Everything else is a failure, and so are more than
``--seconds`` of processor time or ``--megabytes`` of memory for one file; its files and its traceback are kept in a
folder that the run names.  The slowest and the largest file of the run are told.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import resource
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter, process_time

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from benchmarks.files_to_spoil import Seed, seeds  # noqa: E402
from benchmarks.spoiling import mutate  # noqa: E402
from benchmarks.using_spoilt_files import use, write_seed  # noqa: E402

from packcheck.files.problems import WrongUsage  # noqa: E402

MOST_MEMORY = 4 * 2**30


@dataclass(frozen=True)
class Most:
    """The most that one file may take: processor time [s] and memory of the process [MB]."""

    seconds: float = 5.0
    megabytes: float = 1024.0


class TooSlow(BaseException):
    """One file took longer than it may."""


@dataclass(frozen=True)
class Outcome:
    """What became of one mutation, with its processor time and the most memory the process held meanwhile.

    ``failure`` names the place in the code, empty when all went as it should.
    """

    index: int
    kind: str
    word: str
    failure: str = ""
    trace: str = ""
    seconds: float = 0.0
    megabytes: float = 0.0


def run_one(seed_number: int, index: int, folder: Path, most: Most | None = None, keep: Path | None = None) -> Outcome:
    """Make mutation ``index`` of a seed, use it, and say what became of it."""
    most = most or Most()
    dice = random.Random(f"{seed_number}:{index}")
    kind = dice.choices(seeds(), (35, 40, 17, 8))[0]
    seed = dice.choices(kind, [1 / (1 + len(one.text) / 2000) for one in kind])[0]  # a small file is soon tried
    content = mutate(seed, dice)
    _forget_peak()
    started = process_time()
    signal.setitimer(signal.ITIMER_VIRTUAL, 4 * most.seconds)
    try:
        word, failure, trace = use(seed, content, folder, dice), "", ""
    except WrongUsage:
        word, failure, trace = "wrong usage", "", ""
    except (Exception, TooSlow) as fault:
        word, failure, trace = "FAILED", _signature(fault), traceback.format_exc()
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
    seconds, megabytes = process_time() - started, _peak_megabytes()
    if not failure and (seconds > most.seconds or megabytes > most.megabytes):
        word, failure = "FAILED", f"{seconds:.1f} s and {megabytes:.0f} MB"
    if failure and keep:
        _keep(keep / f"{seed_number}-{index}", seed, content, trace)
    return Outcome(index, seed.kind, word, failure, trace, seconds, megabytes)


def _forget_peak() -> None:
    """Let Linux begin anew to note the most memory that this process holds."""
    with suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak_megabytes() -> float:
    """Return the most memory that this process held [MB] since the peak was forgotten."""
    with suppress(OSError, StopIteration):
        lines = Path("/proc/self/status").read_text().splitlines()
        return int(next(line for line in lines if line.startswith("VmHWM")).split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _signature(fault: BaseException) -> str:
    last = [frame for frame in traceback.extract_tb(fault.__traceback__) if "packcheck" in Path(frame.filename).parts]
    where = f"{Path(last[-1].filename).name}:{last[-1].lineno} {last[-1].name}" if last else "outside packcheck"
    return f"{type(fault).__name__} at {where}"


def _keep(folder: Path, seed: Seed, content: bytes, trace: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    write_seed(folder, seed.name.removesuffix(".yaml") + "-mutated", seed, content)
    (folder / "traceback.txt").write_text(trace, encoding="utf-8", errors="replace")


def _ring(*_: object) -> None:
    raise TooSlow


def _work(task: tuple[int, Sequence[int], Most, str]) -> list[Outcome]:
    seed_number, indexes, most, keep = task
    signal.signal(signal.SIGVTALRM, _ring)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    with tempfile.TemporaryDirectory(prefix="packcheck-fuzz-") as folder:
        return [run_one(seed_number, index, Path(folder), most, Path(keep)) for index in indexes]


def _show(outcomes: Iterable[Outcome], count: int, started: float) -> Counter[str]:
    words: Counter[str] = Counter()
    failures: Counter[str] = Counter()
    slowest = largest = Outcome(-1, "", "")
    for done, outcome in enumerate(outcomes, 1):
        slowest = max(slowest, outcome, key=lambda one: one.seconds)
        largest = max(largest, outcome, key=lambda one: one.megabytes)
        words[f"{outcome.kind} {outcome.word}"] += 1
        if outcome.failure:
            failures[outcome.failure] += 1
            if failures[outcome.failure] == 1:
                print(f"  mutation {outcome.index} ({outcome.kind}): {outcome.failure}", flush=True)
        if done % 5000 == 0 or done == count:
            print(f"{done} mutations in {perf_counter() - started:.0f} s", flush=True)
    for word, number in sorted(words.items()):
        print(f"{number:8} {word}")
    print(f"slowest: mutation {slowest.index}, {slowest.seconds:.2f} s of processor time")
    print(f"largest: mutation {largest.index}, {largest.megabytes:.0f} MB")
    for failure, number in failures.most_common():
        print(f"{number:8} FAILED: {failure}")
    return failures


def main() -> int:
    """Run the mutations that the command line asks for; exit 1 when any failed."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--start", type=int, default=0, help="index of the first mutation")
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=5, help="the most processor time that one file may take")
    parser.add_argument("--megabytes", type=float, default=1024, help="the most memory that one file may take")
    parser.add_argument("--only", metavar="SEED:INDEX", help="make one mutation and print its traceback")
    wanted = parser.parse_args()
    most = Most(wanted.seconds, wanted.megabytes)
    keep = tempfile.mkdtemp(prefix="packcheck-fuzz-kept-")
    if wanted.only:
        seed, index = (int(number) for number in wanted.only.split(":"))
        outcome = _work((seed, [index], most, keep))[0]
        print(f"{outcome.kind}: {outcome.word}\n{outcome.trace}kept in {keep}")
        return bool(outcome.failure)
    indexes = range(wanted.start, wanted.start + wanted.count)
    tasks = [(wanted.seed, indexes[i : i + 100], most, keep) for i in range(0, len(indexes), 100)]
    print(f"seed {wanted.seed}, mutations {indexes.start} to {indexes.stop - 1}; failures are kept in {keep}")
    with multiprocessing.Pool(wanted.workers) as pool:
        results = (outcome for batch in pool.imap_unordered(_work, tasks) for outcome in batch)
        return bool(_show(results, wanted.count, perf_counter()))


if __name__ == "__main__":
    sys.exit(main())
