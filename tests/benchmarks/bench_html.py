"""What a page costs beyond the check: processor time of cold runs of a 24-module record, as text and as HTML."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
RECORD = ROOT / "layouts" / "skerry-24" / "clean-sk-0417.yaml"
TIMES = 9


def main() -> None:
    """Print the middle one of some runs of each kind, and the difference."""
    spent: dict[str, list[float]] = {"text": [], "html": []}
    for _ in range(TIMES):
        for form, times in spent.items():
            times.append(_seconds("check", str(RECORD), "--format", form))
    text, html = (median(times[1:]) for times in spent.values())
    print(f"check {text:.3f} s, as a page {html:.3f} s: {html - text:.3f} s more")


def _seconds(*arguments: str) -> float:
    """Return the processor time of one run."""
    before = _spent()
    subprocess.run([sys.executable, "-m", "packcheck", *arguments], cwd=ROOT, capture_output=True, check=False)
    return _spent() - before


def _spent() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


if __name__ == "__main__":
    main()
