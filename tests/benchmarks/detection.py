"""The detection matrix: every fault of the library on the shipped packs, and false alarms on sound simulated builds.

.venv/bin/python tests/benchmarks/detection.py --places 2 --clean 1000
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from multiprocessing import Pool
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from faulty_builds import shipped_rules  # noqa: E402
from scipy.stats import beta  # noqa: E402
from test_simulate import PACKS, bench_of, layout_of  # noqa: E402

from packcheck.files.shipped import shipped_folder  # noqa: E402
from packcheck.lessons.coverage import ELSEWHERE, NOT, cover  # noqa: E402
from packcheck.lessons.trial import Trial  # noqa: E402
from packcheck.rules.findings import Severity  # noqa: E402
from packcheck.simulate.faults.library import BY_NAME  # noqa: E402


def false_alarms(asked: tuple[str, int]) -> list[str]:
    """Return what is found above advice in one sound build of a pack."""
    name, number = asked
    trial = Trial(layout_of(name), bench_of(name), tuple(shipped_rules()))
    findings = trial.of_sound(f"sound {number}").findings
    return [f"{name} {number}: {f.rule} {f.subject}" for f in findings if f.severity is not Severity.ADVISE]


def missed(name: str, places: int | None) -> Iterator[str]:
    """Yield what of one pack is missed although a rule ought to find it, after its counts."""
    found = cover(layout_of(name), (shipped_folder("rules"),), most=places)
    yield f"{name}: {len(found.tried)} trials, " + ", ".join(
        f"{count} {result}" for result, count in found.counted.items()
    )
    wrong = Counter((one.fault, one.variant, one.result) for one in found.tried
                    if one.result in (ELSEWHERE, NOT) and BY_NAME[one.fault].expected(one.variant))  # fmt: skip
    for (fault, variant, result), count in wrong.most_common():
        yield f"{count:6} {fault}, {variant}: {result}, though a rule ought to find it"


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--places", type=int, default=0, help="places of each fault; 0 tries all")
    parser.add_argument("--clean", type=int, default=1000)
    parser.add_argument("--pack", action="append", choices=PACKS)
    given = parser.parse_args()
    for name in given.pack or PACKS:
        for line in missed(name, given.places or None):
            print(line)
    asked = [(PACKS[number % len(PACKS)], number) for number in range(given.clean)]
    with Pool(2) as pool:
        alarms = [one for one in pool.imap_unordered(false_alarms, asked, 8) if one]
    for alarm in alarms[:20]:
        print(alarm[0])
    bound = beta.ppf(0.95, len(alarms) + 1, max(1, given.clean - len(alarms)))
    print(f"{given.clean} sound builds, {len(alarms)} with a finding above advice; at most {bound:.3%} (95 %)")


if __name__ == "__main__":
    main()
