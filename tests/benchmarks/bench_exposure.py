"""Time the exposure through a whole order of work for growing packs.

Run ``python tests/benchmarks/bench_exposure.py``.  The clock runs over ``work_out`` on a pack that has been read: the
plan, every step of the proposed order, its bridges, and for small packs the single change that helps most.  The last
line is one pack of 200 positions with a tool as long as the pack, so that every pair of bare conductors is in reach.
No limit is asserted here.
"""

from __future__ import annotations

import sys
from math import log
from pathlib import Path
from time import perf_counter

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from workshop import pack_of, stick_layout  # noqa: E402

from packcheck.exposure.answer import work_out  # noqa: E402
from packcheck.exposure.exposed import Asked  # noqa: E402


def timed(modules: int, asked: Asked) -> tuple[float, str]:
    """Return the time [s] for a pack of so many modules, and what was looked at in words."""
    pack = pack_of(stick_layout(modules))
    start = perf_counter()
    answer = work_out(pack, None, asked)
    took = perf_counter() - start
    pairs = sum(exposure.pairs for exposure in answer.exposures)
    return took, f"{len(answer.exposures)} steps, {pairs} pairs in reach over all steps"


def main() -> None:
    """Print the times and how they grow."""
    before: tuple[int, float] | None = None
    for modules in (50, 100, 200, 500, 1000, 2000):
        took, words = timed(modules, Asked())
        growth = f", growth like n^{log(took / before[1]) / log(modules / before[0]):.2f}" if before else ""
        print(f"{modules} positions: {took:.2f} s ({words}){growth}", flush=True)
        before = (modules, took)
    for caps in (True, False):
        took, words = timed(200, Asked(tools_mm=(10_000.0,), caps=caps))
        print(f"200 positions, every pair in reach, caps {'on' if caps else 'off'}: {took:.2f} s ({words})", flush=True)


if __name__ == "__main__":
    main()
