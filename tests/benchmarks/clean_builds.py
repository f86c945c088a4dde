"""Judge many clean builds: how many have a finding above advice, and what the 95 % upper bound on that share is.

.venv/bin/python tests/benchmarks/clean_builds.py --count 10000
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from multiprocessing import Pool
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from clean_records import clean_build  # noqa: E402
from faulty_builds import shipped_rules  # noqa: E402
from scipy.stats import beta  # noqa: E402

from packcheck.judging.check import check_file  # noqa: E402
from packcheck.rules.findings import Gate, Severity  # noqa: E402


def findings_of(seed: int) -> tuple[str, list[str]]:
    """Return what a build is, and the findings above advice that its two files give."""
    written = clean_build(seed)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "layout.yaml").write_text(written.layout, encoding="utf-8")
        record = Path(folder) / "record.yaml"
        record.write_text(written.record, encoding="utf-8")
        judgement = check_file(record, rules=shipped_rules(), gate=Gate.RELEASE).judgement
    wrong = [f for f in judgement.findings if f.severity is not Severity.ADVISE]
    return written.about, [f"{f.rule} {f.outcome.value} {f.subject}" for f in wrong]


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--first", type=int, default=1)
    given = parser.parse_args()
    rules: Counter[str] = Counter()
    bad = 0
    with Pool(2) as pool:
        for about, wrong in pool.imap_unordered(findings_of, range(given.first, given.first + given.count), 8):
            if wrong:
                bad += 1
                rules.update({" ".join(w.split()[:2]) for w in wrong})
                print(f"{about}: {wrong[0]}" + (f" and {len(wrong) - 1} more" if len(wrong) > 1 else ""))
    bound = beta.ppf(0.95, bad + 1, given.count - bad)
    print(f"{given.count} clean builds, {bad} with a finding above advice; at most {bound:.3%} (95 %, Clopper-Pearson)")
    for rule, count in rules.most_common():
        print(f"{count:6} {rule}")


if __name__ == "__main__":
    main()
