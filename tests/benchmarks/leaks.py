"""Whether the form of a simulated record tells what is wrong in it: a classifier on sizes, counts and times alone.

No number that was read is among its features, nor how many digits it has; places are drawn by lot.  A share of right
answers above that of always naming the most frequent family, by more than chance, would be a leak.  Wants scikit-learn:

.venv/bin/python tests/benchmarks/leaks.py --cases 2000
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from pathlib import Path
from random import Random

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from test_simulate import bench_of  # noqa: E402

from packcheck.simulate.faults.fault import WRITTEN  # noqa: E402
from packcheck.simulate.faults.library import FAULTS, Placed, faulty_record  # noqa: E402
from packcheck.simulate.record_text import record_text  # noqa: E402

WANTED = ("capacity", "resistance", "isolation")
TABLES = (
    "modules",
    "bars",
    "leads",
    "devices",
    "joints",
    "taps",
    "readings",
    "parts",
    "tools",
    "work",
    "again",
    "notes",
)


def features(text: str) -> list[float]:
    """Return the form of a record: bytes without those of its numbers, lines, rows, first time, order of tables."""
    tables = {block.partition(":")[0]: block.count("\n") for block in text.split("\n\n")}
    hour, minute = re.findall(r" (\d\d):(\d\d)", text)[0]
    order = sum(index * len(name) for index, name in enumerate(tables))
    return [
        len(re.sub(r"-?\d+(?:\.\d+)?", "0", text)) // 4,
        text.count("\n"),
        float(hour),
        float(minute),
        order,
        *(tables.get(name, 0) for name in TABLES),
    ]


def case(pack: str, number: int) -> tuple[list[float], str]:
    """Return the form of one case and the family of what is wrong in it; a fifth has nothing wrong."""
    bench, lot = bench_of(pack), Random(f"leak {number}")
    build = bench.build("places")
    plan: list[Placed] = []
    if lot.random() > 0.2:
        hidden = [f for f in FAULTS if f.put and any(v != WRITTEN for v in f.variants) and f.places(build)]
        fault = lot.choice(hidden)
        plan = [
            Placed(
                fault, lot.choice(list(fault.places(build))), lot.choice([v for v in fault.variants if v != WRITTEN])
            )
        ]
    text = record_text(faulty_record(bench, f"leak {number}", plan, WANTED))
    return features(text), plan[0].fault.family if plan else "none"


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--pack", default="skerry-24")
    given = parser.parse_args()
    try:
        from sklearn.ensemble import RandomForestClassifier
        from sklearn.model_selection import cross_val_score
    except ImportError:
        print("scikit-learn is not installed: pip install scikit-learn; nothing was measured")
        return
    forms, families = zip(*(case(given.pack, number) for number in range(given.cases)), strict=True)
    chance = Counter(families).most_common(1)[0][1] / len(families)
    scores = cross_val_score(RandomForestClassifier(200, random_state=1), list(forms), list(families), cv=5)
    spread = (chance * (1 - chance) / len(families)) ** 0.5
    print(f"{len(families)} cases of {given.pack}, {len(set(families))} families: right {scores.mean():.1%},"
          f" the most frequent one {chance:.1%} ± {2 * spread:.1%}")  # fmt: skip
    wrong = [family != "none" for family in families]
    share = sum(wrong) / len(wrong)
    scores = cross_val_score(RandomForestClassifier(200, random_state=1), list(forms), wrong, cv=5)
    spread = (share * (1 - share) / len(wrong)) ** 0.5
    print(f"  anything wrong at all: right {scores.mean():.1%}, always saying so {share:.1%} ± {2 * spread:.1%}")


if __name__ == "__main__":
    main()
