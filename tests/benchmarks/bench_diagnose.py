"""How long a diagnosis takes, and how often the true explanation is in the list and first.

``bench_diagnose.py [--every N]`` takes every N-th fault of each kind.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter, defaultdict
from itertools import combinations
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from diagnosed import cases, told_as_drawn
from faulty_builds import Build
from workshop import grouped_layout, rack_layout, stick_layout, trayed_layout

from packcheck.diagnosis.answer import diagnose, hypotheses
from packcheck.diagnosis.hypothesis import pair_of
from packcheck.diagnosis.search import Search, observe
from packcheck.diagnosis.worlds import Sight


def ranks(every: int) -> None:
    layouts = {"24 in a string": stick_layout(24), "8 groups of 3": grouped_layout(8, 3),
               "two trays of 8": trayed_layout(8), "two strings of 6": rack_layout([6, 6])}  # fmt: skip
    for name, layout in layouts.items():
        build = Build(layout)
        by_kind: dict[str, Counter[str]] = defaultdict(Counter)
        for seed, (kind, fault, is_true) in enumerate(cases(build)):
            if seed % every == 0:
                found = [fit.hypothesis for fit in diagnose(told_as_drawn(build, fault, seed)).fits]
                place = next((n for n, one in enumerate(found, 1) if is_true(one)), 0)
                by_kind[kind]["all"] += 1
                by_kind[kind]["listed"] += place > 0
                by_kind[kind]["first"] += place == 1
                by_kind[kind]["length"] += len(found)
        total: Counter[str] = sum(by_kind.values(), Counter())
        for kind, counts in [*by_kind.items(), ("all", total)]:
            print(
                f"{name:18} {kind:16} {counts['all']:4} faults: listed {counts['listed'] / counts['all']:6.1%}, first"
                f" {counts['first'] / counts['all']:6.1%}, {counts['length'] / counts['all']:.1f} listed on average"
            )


def times() -> None:
    for modules in (24, 40, 100, 200):
        build = Build(stick_layout(modules))
        fault = list(build.modules_reversed())[modules // 3]
        record = told_as_drawn(build, fault, 1)
        start = time.perf_counter()
        found = diagnose(record)
        print(f"{modules:4} modules, one turned: {time.perf_counter() - start:6.2f} s, {found.tried[0]} explanations")
        if modules in (40, 200):
            start = time.perf_counter()
            count = pairs_of_block(record, modules // 3, 10)
            print(
                f"{modules:4} modules, all pairs of a block of 10: {time.perf_counter() - start:.2f} s, {count} pairs"
            )


def pairs_of_block(record, first: int, size: int) -> int:  # type: ignore[no-untyped-def]
    """Solve every pair of explanations about one run of modules and what joins and senses them."""
    sight, observed = Sight(record), observe(record)
    search = Search(sight, observed)
    names = set(list(sight.modules)[first : first + size])
    near = [h for h in hypotheses(sight, observed) if h.count and any(
        sight.record.pack.part_at(sight.record.pack.node_of(part) or part) in names or part in names or
        part.partition("/")[2] in names for part in h.parts)]  # fmt: skip
    pairs = [pair for one, other in combinations(near, 2) if (pair := pair_of(one, other))]
    for pair in pairs:
        search.fit(pair)
    return len(pairs)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=3)
    times()
    ranks(parser.parse_args().every)
