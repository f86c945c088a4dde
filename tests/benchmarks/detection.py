"""The detection matrix: every fault of the library on the shipped packs, and false alarms on sound simulated builds.

.venv/bin/python tests/benchmarks/detection.py --places 2 --clean 1000

With ``--journal FILE`` what is done is kept there and not done again, as long as program, rules and layout are the
same; ``--write`` then writes rules/DETECTION.md from it.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from functools import cache
from multiprocessing import Pool
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from detection_page import PAGE, page_text  # noqa: E402
from faulty_builds import shipped_rules  # noqa: E402
from scipy.stats import beta  # noqa: E402
from test_simulate import PACKS, bench_of, layout_of  # noqa: E402

from packcheck.files.shipped import shipped_folder  # noqa: E402
from packcheck.lessons.coverage import ELSEWHERE, NOT, Coverage, Tried, cover  # noqa: E402
from packcheck.lessons.trial import Trial  # noqa: E402
from packcheck.rules.findings import Severity  # noqa: E402
from packcheck.simulate.faults.library import BY_NAME  # noqa: E402


class Journal:
    """What was done, one line each: trials and sound builds with the state of the program that they are of."""

    def __init__(self, path: Path | None) -> None:
        """Read a journal; without a file nothing is kept."""
        self._path = path
        lines = path.read_text(encoding="utf-8").splitlines() if path and path.exists() else []
        self._lines = [json.loads(line) for line in lines if line.endswith("}")]

    def tried(self, pack: str) -> list[Tried]:
        """Return the trials on a pack that still count."""
        mine = [one["tried"] for one in self._lines if one["of"] == state_of(pack) and "tried" in one]
        return [Tried(**{key: tuple(value) if isinstance(value, list) else value for key, value in one.items()})
                for one in mine]  # fmt: skip

    def sound(self, pack: str) -> dict[int, list[str]]:
        """Return what was found above advice in the sound builds of a pack that still count, by their numbers."""
        mine = [one for one in self._lines if one["of"] == state_of(pack) and "sound" in one]
        return {one["sound"]: one["alarms"] for one in mine}

    def keep(self, pack: str, rows: Sequence[dict[str, object]]) -> None:
        """Add lines."""
        if self._path:
            with self._path.open("a", encoding="utf-8") as file:
                file.writelines(json.dumps({"of": state_of(pack), **row}, ensure_ascii=False) + "\n" for row in rows)


@cache
def state_of(pack: str) -> str:
    """Return what stands for the program, the rules and a layout as they are."""
    found = hashlib.sha256(layout_of(pack).content)
    for path in sorted([*(ROOT / "packcheck").rglob("*.py"), *(ROOT / "rules").rglob("*.yaml")]):
        if not {"render", "app"} & set(path.parts):
            found.update(path.read_bytes())
    return f"{pack} {found.hexdigest()[:16]}"


def false_alarms(asked: tuple[str, int]) -> tuple[str, int, list[str]]:
    """Return what is found above advice in one sound build of a pack."""
    name, number = asked
    trial = Trial(layout_of(name), bench_of(name), tuple(shipped_rules()))
    findings = trial.of_sound(f"sound {number}").findings
    return name, number, [f"{f.rule} {f.subject}" for f in findings if f.severity is not Severity.ADVISE]


def covered(name: str, places: int | None, journal: Journal, jobs: int) -> Coverage:
    """Return what is found on one pack; a bar on the terminal tells how far it is."""

    def keep(part: Sequence[Tried]) -> None:
        journal.keep(name, [{"tried": asdict(one)} for one in part])

    def progress(done: int, total: int) -> None:
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{name}: {done} of {total}" + ("\n" if done >= total else ""))

    known = journal.tried(name)
    return cover(layout_of(name), (shipped_folder("rules"),), most=places, jobs=jobs, known=known, keep=keep,
                 progress=progress)  # fmt: skip


def missed(name: str, found: Coverage) -> Iterator[str]:
    """Yield what of one pack is missed although a rule ought to find it, after its counts."""
    yield f"{name}: {len(found.tried)} trials, " + ", ".join(
        f"{count} {result}" for result, count in found.counted.items()
    )
    wrong: dict[tuple[str, str, str], list[Tried]] = {}
    for one in found.tried:
        if one.result in (ELSEWHERE, NOT) and BY_NAME[one.fault].expected(one.variant):
            wrong.setdefault((one.fault, one.variant, one.result), []).append(one)
    for (fault, variant, result), those in sorted(wrong.items(), key=lambda item: -len(item[1])):
        spoke = Counter(rule for one in those for rule in one.rules).most_common(3)
        yield (f"{len(those):6} {fault}, {variant}: {result}, though a rule ought to find it; at "
               f"{', '.join(one.place for one in those[:4])}; {', '.join(rule for rule, _ in spoke)}")  # fmt: skip


def sound_builds(count: int, journal: Journal, packs: Sequence[str], jobs: int) -> str:
    """Judge sound builds that are not in the journal; return how many of all have a finding above advice."""
    known = {(name, number): alarms for name in packs for number, alarms in journal.sound(name).items()}
    asked = [(packs[number % len(packs)], number) for number in range(count)]
    with Pool(jobs) as pool:
        for name, number, alarms in pool.imap_unordered(false_alarms, [one for one in asked if one not in known], 8):
            known[name, number] = alarms
            journal.keep(name, [{"sound": number, "alarms": alarms}])
    wrong = [f"{name} {number}: {known[name, number][0]}" for name, number in asked if known[name, number]]
    for line in wrong[:20]:
        print(line)
    bound = beta.ppf(0.95, len(wrong) + 1, max(1, count - len(wrong)))
    return f"Of {count} sound simulated builds {len(wrong)} have a finding above advice: at most {bound:.3%} (95 %)."


def main() -> None:
    """Run and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--places", type=int, default=0, help="places of each fault; 0 tries all")
    parser.add_argument("--clean", type=int, default=1000)
    parser.add_argument("--pack", action="append", choices=PACKS)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--journal", type=Path, help="where what is done is kept, to go on from")
    parser.add_argument("--write", action="store_true", help="write rules/DETECTION.md")
    given = parser.parse_args()
    packs, journal = given.pack or PACKS, Journal(given.journal)
    tried = {}
    for name in packs:
        found = covered(name, given.places or None, journal, given.jobs)
        tried[name] = found.tried
        for line in missed(name, found):
            print(line, flush=True)
    clean = sound_builds(given.clean, journal, packs, given.jobs)
    print(clean)
    if given.write:
        PAGE.write_text(page_text(tried, clean), encoding="utf-8")


if __name__ == "__main__":
    main()
