"""How long a check takes: a complete 24-module record warm and cold, and packs of up to 10,000 modules.

Run ``python tests/benchmarks/bench_check.py``; ``--quick`` leaves out the large packs.  It prints and asserts nothing.
On a busy machine the time of the processor tells more than that of the clock.
The large packs are written once to a folder under the system's temporary folder; nothing goes into the checkout.
"""

from __future__ import annotations

import json
import re
import resource
import statistics
import subprocess
import sys
import tempfile
from math import log
from pathlib import Path
from time import perf_counter, process_time

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from workshop import Data, clean_record, pack_of, rack_layout, stick_layout, write  # noqa: E402

from packcheck.facts.tables import table_by_name  # noqa: E402
from packcheck.files.name_lists import compress_names  # noqa: E402
from packcheck.files.shipped import shipped_folder  # noqa: E402
from packcheck.judging.check import check_file  # noqa: E402
from packcheck.model.pack.model import Pack  # noqa: E402
from packcheck.rules.findings import Gate, Severity  # noqa: E402
from packcheck.rules.library import load_rules  # noqa: E402

SMALL = 24
SIZES = (1_000, 2_000, 5_000, 10_000)
SHAPES = ("string", "rack")
WARM_ROUNDS = 30
COLD_ROUNDS = 11
LARGE_ROUNDS = 3
GOALS = {"warm": 0.040, "cold": 0.6, "largest": 6.0, "memory": 1.5, "growth": 1.1}
_ONE = "--one"


def written(folder: Path, shape: str, modules: int) -> Path:
    """Return a complete clean record of a pack of so many modules, written beside its layout unless it is there."""
    record = folder / f"{shape}-{modules}-record.yaml"
    if not record.is_file():
        layout = rack_layout([modules // 10] * 10) if shape == "rack" else stick_layout(modules)
        name = f"{shape}-{modules}.yaml"
        write(folder / name, layout)
        pack = pack_of(layout, name)
        write(record, as_people_write(clean_record(pack), pack))
    return record


def as_people_write(record: Data, pack: Pack) -> Data:
    """Return a record with ranges where a person would write them: caps by face, bars, leads and taps as drawn."""
    caps = {f"face {face}": "on" for face in pack.faces}
    caps |= {place: "on" for place in record.get("caps", {}) if not pack.face_of(place)}
    ranged = {name: dict.fromkeys(compress_names(record[name]), "as drawn") for name in ("bars", "leads", "taps")}
    return {**record, **ranged, "caps": caps}


def check_one(record: Path) -> None:
    """Check one record in this process and print its time [s], peak memory [GB], number of checks and findings."""
    rules = load_rules([shipped_folder("rules")], table_by_name())
    start, busy = perf_counter(), process_time()
    judgement = check_file(record, rules=rules, gate=Gate.PLUG_IN).judgement
    busy, seconds = process_time() - busy, perf_counter() - start
    made = sum(tally.judged for tally in judgement.tallies)
    found = sorted({f"{f.rule} {f.outcome.value}" for f in judgement.findings if f.severity is not Severity.ADVISE})
    print(json.dumps({"seconds": seconds, "busy": busy, "gigabytes": peak_gb(), "checks": made, "found": found}))


def peak_gb() -> float:
    """Return the peak memory of this process [GB]; Linux counts that of the parent into ``ru_maxrss``."""
    status = Path("/proc/self/status")
    if status.is_file() and (found := re.search(r"VmHWM:\s+(\d+) kB", status.read_text())):
        return int(found[1]) * 1024 / 1e9
    kilobyte = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * kilobyte / 1e9


def warm_seconds(record: Path) -> list[float]:
    """Return the times of checks whose rules are loaded and whose modules are imported, in ascending order."""
    rules = load_rules([shipped_folder("rules")], table_by_name())
    times = []
    for _ in range(WARM_ROUNDS + 2):
        start = perf_counter()
        check_file(record, rules=rules, gate=Gate.PLUG_IN)
        times.append(perf_counter() - start)
    return sorted(times[2:])


def cold_seconds(record: Path) -> list[float]:
    """Return the times of whole processes ``packcheck check``, in ascending order."""
    times = []
    for _ in range(COLD_ROUNDS):
        start = perf_counter()
        subprocess.run([sys.executable, "-m", "packcheck", "check", record], cwd=ROOT, check=True, capture_output=True)
        times.append(perf_counter() - start)
    return sorted(times)


def growth(sizes: tuple[int, ...], seconds: list[float]) -> float:
    """Return the exponent of the least-squares line through the logarithms of size and time."""
    x, y = [log(n) for n in sizes], [log(t) for t in seconds]
    middle_x, middle_y = statistics.fmean(x), statistics.fmean(y)
    return sum((a - middle_x) * (b - middle_y) for a, b in zip(x, y, strict=True)) / sum((a - middle_x) ** 2 for a in x)


def measure_large(folder: Path, shape: str) -> None:
    """Print time, memory and growth for one shape of pack, each size in processes of its own."""
    fastest: list[float] = []
    for modules in SIZES:
        record = written(folder, shape, modules)
        command = [sys.executable, __file__, _ONE, str(record)]
        runs = [json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
                for _ in range(LARGE_ROUNDS)]  # fmt: skip
        fastest.append(min(run["busy"] for run in runs))
        middle = statistics.median(run["seconds"] for run in runs)
        peak = max(run["gigabytes"] for run in runs)
        checks, found = runs[0]["checks"], ", ".join(runs[0]["found"]) or "-"
        print(f"{shape} of {modules:,} modules: median {middle:.2f} s, processor at best {fastest[-1]:.2f} s,"
              f" peak {peak:.2f} GB, {checks:,} checks; not met: {found}", flush=True)  # fmt: skip
    exponent = growth(SIZES, fastest)
    print(f"{shape}: processor time grows as n^{exponent:.2f} (goals: at most {GOALS['growth']}; the largest in under"
          f" {GOALS['largest']:g} s and {GOALS['memory']:g} GB)", flush=True)  # fmt: skip


def main(arguments: list[str]) -> None:
    """Print every measurement."""
    folder = Path(tempfile.gettempdir()) / "packcheck-benchmark-packs"
    folder.mkdir(exist_ok=True)
    record = written(folder, "string", SMALL)
    warm, cold = warm_seconds(record), cold_seconds(record)
    print(f"warm check of {SMALL} modules, {WARM_ROUNDS} times: median {statistics.median(warm) * 1e3:.1f} ms,"
          f" best {warm[0] * 1e3:.1f} ms (goal: median at most {GOALS['warm'] * 1e3:g} ms)")  # fmt: skip
    print(f"cold `packcheck check` of it, {COLD_ROUNDS} times: median {statistics.median(cold):.3f} s,"
          f" best {cold[0]:.3f} s (goal: median under {GOALS['cold']:g} s)", flush=True)  # fmt: skip
    if "--quick" not in arguments:
        for shape in SHAPES:
            measure_large(folder, shape)


if __name__ == "__main__":
    if sys.argv[1:2] == [_ONE]:
        check_one(Path(sys.argv[2]))
    else:
        main(sys.argv[1:])
