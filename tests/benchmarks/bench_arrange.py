"""How even the blocks come out: arranged, at random, and by filling the smallest block first; 1,000 populations.

Run ``python tests/benchmarks/bench_arrange.py``; ``--count 100`` takes fewer.  It prints and asserts nothing.
A population is 30 modules of which 24 are fitted in blocks of two; another is 310 of which 288 are fitted in blocks of
three.  Resistance scatters by 6 %, capacity by 3 %, both are read with 1 % and 0.5 %; the spread is that of the *true*
sums, so that what a meter hides counts against the arrangement.
"""

from __future__ import annotations

import argparse
import random
from statistics import fmean
from time import process_time

from packcheck.matching.grouping import Group, group, least_range

CURRENT_A, CHARGE_V_AH = 20.0, 0.9 * 2.0
"""The duty: current [A], and swing of a whole charge times the charge taken [V·Ah]."""


def population(dice: random.Random, count: int) -> tuple[list[float], list[float]]:
    """Return by how much each module truly gives way [V], and by how much it was measured to."""
    true, read = [], []
    for _ in range(count):
        ohm, hours = dice.gauss(0.010, 0.0006), dice.gauss(6.0, 0.18)
        true.append(CURRENT_A * ohm + CHARGE_V_AH / hours)
        ohm, hours = ohm * dice.gauss(1, 0.01 / 3**0.5), hours * dice.gauss(1, 0.005 / 3**0.5)
        read.append(CURRENT_A * ohm + CHARGE_V_AH / hours)
    return true, read


def spread(values: list[float], groups: tuple[Group, ...]) -> float:
    """Return the largest sum less the smallest."""
    sums = [sum(values[i] for i in one) for one in groups]
    return max(sums) - min(sums)


def arranged(read: list[float], wanted: int, size: int) -> tuple[Group, ...]:
    """Return the groups that packcheck makes."""
    chosen = least_range(read, wanted)
    values = [read[i] for i in chosen]
    target = fmean(values) * size
    found = group(wanted, size, lambda one: (sum(values[i] for i in one) - target) ** 2, values, folds=True)
    return tuple(tuple(chosen[i] for i in one) for one in found.groups)


def at_random(dice: random.Random, count: int, wanted: int, size: int) -> tuple[Group, ...]:
    """Return groups of modules taken as they come."""
    order = dice.sample(range(count), wanted)
    return tuple(tuple(order[i : i + size]) for i in range(0, wanted, size))


def filling_the_smallest(read: list[float], wanted: int, size: int) -> tuple[Group, ...]:
    """Return groups made largest first, each into the smallest block that has room; the best modules are taken."""
    best = sorted(range(len(read)), key=lambda i: read[i])[:wanted]
    blocks: list[list[int]] = [[] for _ in range(wanted // size)]
    for thing in reversed(best):
        room = [one for one in blocks if len(one) < size]
        min(room, key=lambda one: sum(read[i] for i in one)).append(thing)
    return tuple(map(tuple, blocks))


def main() -> None:
    """Print the mean spreads and how often the arrangement is the evenest."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    times = parser.parse_args().count
    for count, wanted, size in ((30, 24, 2), (310, 288, 3)):
        dice, found = random.Random(wanted), []
        start = process_time()
        for _ in range(times if size == 2 else max(1, times // 50)):
            true, read = population(dice, count)
            ours = arranged(read, wanted, size)
            others = at_random(dice, count, wanted, size), filling_the_smallest(read, wanted, size)
            found.append([1e3 * spread(true, groups) for groups in (ours, *others)])
        took = (process_time() - start) / len(found)
        means = [fmean(column) for column in zip(*found, strict=True)]
        ahead = [sum(row[0] < row[k] for row in found) / len(found) for k in (1, 2)]
        print(f"{wanted} of {count} in blocks of {size}, {len(found)} populations: arranged {means[0]:.2f} mV, at"
              f" random {means[1]:.2f} mV, filling the smallest {means[2]:.2f} mV; evener than these in"
              f" {ahead[0]:.1%} and {ahead[1]:.1%}; {took * 1e3:.0f} ms each", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
