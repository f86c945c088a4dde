"""Time one solution of a 10,000-module string against ngspice on the same network.

Run ``python tests/benchmarks/bench_solver.py``.  The clock runs over ``solve_circuit`` on ready branches, and over
``ngspice -b`` on a ready, lean netlist of which it prints a single current: the time of the processor, best of three
each.  No limit is asserted.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1] / "validation"), *map(str, Path(__file__).parents[1:3])]

from random_packs import as_floats, random_pack  # noqa: E402
from spice import REASON_MISSING, is_missing, run_ngspice, write_netlist  # noqa: E402

from packcheck.network.circuit import resistances_between, solve_circuit  # noqa: E402


def best_of_three(action: Callable[[], object]) -> float:
    """Return the shortest of three runs, in seconds of the processor: of this process and of those it ran."""
    times = []
    for _ in range(3):
        start = sum(os.times()[:4])
        action()
        times.append(sum(os.times()[:4]) - start)
    return min(times)


def main() -> None:
    """Print the times and their ratio for an open string and for one that feeds a load."""
    for name, is_open in (("open string", True), ("string with load", False)):
        pack = as_floats(random_pack(random.Random(1), 1, 10_000, mistakes=0, leaks=0, is_open=is_open))
        ours = best_of_three(lambda pack=pack: solve_circuit(pack))
        line = f"{name}: {len(pack)} branches, packcheck {ours:.3f} s"
        if is_missing():
            print(line, "-", REASON_MISSING)
            continue
        with tempfile.TemporaryDirectory() as folder:
            netlist = Path(folder) / "network.cir"
            write_netlist(netlist, pack, solve_circuit(pack).island, None)
            theirs = best_of_three(lambda netlist=netlist: run_ngspice(netlist))
        print(f"{line}, ngspice {theirs:.3f} s, ratio {theirs / ours:.1f}")
    pairs = [(b.start, b.end) for b in pack]
    print(
        f"{len(pairs)} joint resistances in one pass: {best_of_three(lambda: resistances_between(pack, pairs)):.3f} s"
    )


if __name__ == "__main__":
    main()
