"""Leave out everything that can be left out of the shipped records with faults, one thing at a time.

Prints what becomes better by it, which nothing may.

.venv/bin/python tests/benchmarks/leave_out.py
"""

from __future__ import annotations

import sys
from multiprocessing import Pool
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from removals import improvements, ways_in  # noqa: E402
from test_removals import FAULTY, loaded  # noqa: E402


def left_out(name: str) -> tuple[str, int, list[str]]:
    """Return the name of a record, how many things were left out of it, and what became better."""
    record, pack, gate = loaded(name)
    ways = list(ways_in(record, pack))
    return name, len(ways), improvements(record, pack, ways, gate)


def main() -> None:
    """Run and print."""
    total = 0
    with Pool(2) as pool:
        for name, count, better in pool.imap_unordered(left_out, sorted(FAULTY)):
            total += count
            print(f"{name}: {count} left out, {len(better)} improvements", *better, sep="\n  ", flush=True)
    print(f"{total} things left out of {len(FAULTY)} records")


if __name__ == "__main__":
    main()
