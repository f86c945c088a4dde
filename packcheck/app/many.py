"""Many files judged: in this process, on all cores, or on whatever executor somebody brings.

``judge_many`` is the whole of it: it sends chunks of file names and gives back what is told of each file, in the order
asked for.  What it sends and what comes back are plain frozen data, so that any ``concurrent.futures.Executor`` will
do: a pool of processes, of threads, or one that speaks for a cluster.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import field
from functools import cached_property, lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from packcheck.app.file_answer import PATIENCE_S, answer_of
from packcheck.app.formats import Form, Told, lost, told_of
from packcheck.files.frozen import dataclass
from packcheck.rules.findings import Gate
from packcheck.rules.profile import Profile
from packcheck.rules.rule import Rule

if TYPE_CHECKING:
    from concurrent.futures import Executor, Future, ProcessPoolExecutor

LARGEST_CHUNK = 32
_FEW_BYTES = 100_000
"""Files of less than this altogether are judged before other processes would have started."""
_Numbered = tuple[int, str]


@dataclass(frozen=True, eq=False)
class HeldTo:
    """Rules and profile; sent to another process they travel as bytes, which are read once there."""

    rules: tuple[Rule, ...]
    profile: Profile | None = None

    @cached_property
    def _packed(self) -> bytes:
        import pickle

        return pickle.dumps((self.rules, self.profile), pickle.HIGHEST_PROTOCOL)

    def __reduce__(self) -> tuple[Callable[[bytes], HeldTo], tuple[bytes]]:
        return _unpacked, (self._packed,)


@lru_cache(maxsize=2)
def _unpacked(packed: bytes) -> HeldTo:
    import pickle

    rules, profile = pickle.loads(packed)
    return HeldTo(rules, profile)


@dataclass(frozen=True)
class Order:
    """What every file of a run is held to, in which form its answer is wanted, and for how long [s] it is waited for.

    ``patience_s`` is processor time; 0 waits for ever.
    """

    held_to: HeldTo
    gate: Gate = Gate.PLUG_IN
    layout: Path | None = None
    form: Form = field(default_factory=Form)
    patience_s: float = PATIENCE_S


def judge_many(
    files: Sequence[str], order: Order, executor: Executor, *, workers: int = 2, done: Callable[[int], object] = int
) -> Iterator[Told]:
    """Judge files on an executor and yield what is told of each, in their order.

    A file at which its process was ended is told as such; no file keeps the others from being judged.

    Parameters
    ----------
    files : names that mean the same to the executor's processes.
    order : what they are held to.
    executor : any; one for a cluster must not take equal calls for one, since a file may have changed between them.
    workers : how many it has, for the size of the chunks.
    done : called with the number of files of each chunk that is finished, perhaps from another thread.
    """
    sent = [(chunk, executor.submit(judge_chunk, chunk, order)) for chunk in _chunks(files, workers)]
    for chunk, future in sent:
        future.add_done_callback(partial(_count, len(chunk), done))
    for chunk, future in sent:
        try:
            yield from future.result()
        except Exception:
            yield from (lost(file, number, order.form) for number, file in chunk)


def judge_chunk(chunk: Sequence[_Numbered], order: Order) -> list[Told]:
    """Judge some files in this process, and return what is told of each."""
    return [judge_one(number, file, order) for number, file in chunk]


def judge_one(number: int, file: str, order: Order) -> Told:
    """Judge one file in this process, the ``number``-th of its run counted from 1."""
    from packcheck.judging import check

    held = order.held_to

    def judge(name: str) -> check.Judged:
        return check.judge_file(
            Path(name), rules=held.rules, gate=order.gate, profile=held.profile, layout=order.layout
        )

    return told_of(answer_of(file, judge, order.patience_s), number, order.form)


def judge_here(files: Sequence[str], order: Order, done: Callable[[int], object] = int) -> Iterator[Told]:
    """Judge files one after the other in this process."""
    for number, file in enumerate(files, 1):
        yield judge_one(number, file, order)
        done(1)


def judge_on_all_cores(files: Sequence[str], order: Order, done: Callable[[int], object] = int) -> list[Told]:
    """Judge files in as many processes as there are cores; those that were lost with a process are tried once more."""
    workers = min(cores(), len(files))
    with _processes(workers) as pool:
        try:
            told = list(judge_many(files, order, pool, workers=workers, done=done))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    missing = [(number, file) for number, (file, one) in enumerate(zip(files, told, strict=True), 1) if one.is_lost]
    for start in range(0, len(missing), LARGEST_CHUNK):
        for number, again in _apart(missing[start : start + LARGEST_CHUNK], order):
            told[number - 1] = again
    return told


def _apart(chunk: Sequence[_Numbered], order: Order) -> Iterator[tuple[int, Told]]:
    """Judge some files in a process of their own, and where that one is ended too each in its own."""
    from concurrent.futures import BrokenExecutor

    with _processes(1) as pool:
        try:
            yield from zip(
                (number for number, _ in chunk), pool.submit(judge_chunk, chunk, order).result(), strict=True
            )
            return
        except BrokenExecutor:
            pass
    for number, file in chunk:
        if len(chunk) > 1:
            yield from _apart([(number, file)], order)
        else:
            yield number, lost(file, number, order.form)


def is_worth_processes(files: Sequence[str]) -> bool:
    """Return whether so many files are judged sooner by several processes."""
    if len(files) < 2 or "-" in files or cores() < 2:
        return False
    total = 0
    for file in files:
        with suppress(OSError, ValueError):
            total += os.stat(file).st_size
        if total > _FEW_BYTES:
            return True
    return False


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _processes(count: int) -> ProcessPoolExecutor:
    """Return a pool; on Linux its processes are copies of this one, which need not read packcheck again."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    context = multiprocessing.get_context("fork" if sys.platform == "linux" else "spawn")
    return ProcessPoolExecutor(count, mp_context=context, initializer=_stop_quietly)


def _stop_quietly() -> None:
    """Let Ctrl-C end a process of the pool without a word; the one in front of the user says what is to be said."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _chunks(files: Sequence[str], workers: int) -> Iterator[tuple[_Numbered, ...]]:
    """Yield the files with their numbers in chunks: small enough that no worker is left with much at the end."""
    size = max(1, min(LARGEST_CHUNK, len(files) // (8 * workers)))
    numbered = tuple(enumerate(files, 1))
    for start in range(0, len(numbered), size):
        yield numbered[start : start + size]


def _count(files: int, done: Callable[[int], object], _: Future[list[Told]]) -> None:
    done(files)
