"""How many complete 24-module records are judged in a second: by one process, on all cores, and on Dask.

Run ``python tests/benchmarks/bench_many.py``; ``--count 1000`` takes so many records, ``--dask`` adds a run on a local
Dask cluster, which needs ``pip install distributed``.  It prints and asserts nothing.  On a busy machine the processor
time of a record tells more than that of the clock.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import sys
import tempfile
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).resolve().parent))

from bench_check import SMALL, written

from packcheck.app.arguments import rules_and_profile
from packcheck.app.formats import Form, Told
from packcheck.app.many import HeldTo, Order, cores, judge_here, judge_many, judge_on_all_cores

GOAL = 100
"""Records in a second on two cores."""


def copies(folder: Path, count: int) -> list[str]:
    """Return so many records of one layout, written to a folder."""
    record = written(folder, "string", SMALL)
    many = folder / "many"
    shutil.rmtree(many, ignore_errors=True)
    many.mkdir()
    shutil.copy(folder / f"string-{SMALL}.yaml", many)
    for number in range(count):
        shutil.copy(record, many / f"record-{number:05}.yaml")
    return sorted(map(str, many.glob("record-*.yaml")))


def busy_s() -> float:
    """Return the processor time [s] of this process and of those that it has waited for."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def on_dask(files: list[str], order: Order) -> list[Told]:
    """Judge files on a cluster: here a local one; ``Client("tcp://...")`` names another that sees the same files.

    ``pure=False``: a file may have changed between two equal calls.  A cluster is unencrypted unless it is told.
    """
    from distributed import Client, LocalCluster

    with (
        LocalCluster(n_workers=cores(), threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        return list(judge_many(files, order, client.get_executor(pure=False), workers=cores()))


def main() -> None:
    """Print records per second for each way."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=600)
    parser.add_argument("--dask", action="store_true")
    asked = parser.parse_args()
    folder = Path(tempfile.gettempdir()) / "packcheck-benchmark-packs"
    folder.mkdir(exist_ok=True)
    files = copies(folder, asked.count)
    order = Order(HeldTo(rules_and_profile(None, None)[0]), form=Form("jsonl", several=True))
    ways = {
        "one process": lambda: list(judge_here(files, order)),
        f"{cores()} cores": lambda: judge_on_all_cores(files, order),
    }
    if asked.dask:
        ways["Dask"] = lambda: on_dask(files, order)
    list(judge_here(files[:2], order))
    for name, way in ways.items():
        start, used = perf_counter(), busy_s()
        told = way()
        took, used = perf_counter() - start, busy_s() - used
        assert len(told) == len(files)
        print(f"{name}: {len(files) / took:.0f} records/s, {used / len(files) * 1e3:.1f} ms of processor time each"
              f" (goal: {GOAL} records/s on two cores, 20 ms each)", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
