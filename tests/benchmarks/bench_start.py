"""How long the command line takes to answer ``--help``, against importing Typer alone.

Run: ``python tests/benchmarks/bench_start.py``.  The two are measured in turns, so that a busy machine slows both.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

ROUNDS = 21
GOAL = 2.5
COMMANDS = {
    "python -c pass": [sys.executable, "-c", "pass"],
    "python -c 'import typer'": [sys.executable, "-c", "import typer"],
    "packcheck --help": [sys.executable, "-c", "from packcheck.app.cli import main; main(['--help'])"],
    "packcheck --version": [sys.executable, "-c", "from packcheck.app.cli import main; main(['--version'])"],
}


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    taken: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for _ in range(ROUNDS):
        for name, command in COMMANDS.items():
            taken[name].append(seconds(command))
    for name, times in taken.items():
        print(f"{name:<26} median {statistics.median(times) * 1e3:6.1f} ms, best {min(times) * 1e3:6.1f} ms")
    ratio = statistics.median(taken["packcheck --help"]) / statistics.median(taken["python -c 'import typer'"])
    print(f"packcheck --help / import typer: {ratio:.2f} (goal: at most {GOAL})")


if __name__ == "__main__":
    main()
