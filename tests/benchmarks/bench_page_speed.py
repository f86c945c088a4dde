"""What an entry on the bench page costs at 96 groups: processor time of each part of the answer."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from statistics import median
from time import process_time

from packcheck.app.arguments import rules_and_profile
from packcheck.app.bench.desk import Desk
from packcheck.app.bench.entries import Entry
from packcheck.app.bench.server import state_of, tell
from packcheck.model.opening import Text
from packcheck.render.drawing.bench import draw_in_hand

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"
TIMES = 15

Telling = Callable[[int, bool], Entry]


def main() -> None:
    """Print what entries of each kind cost in a record just begun and in a complete one."""
    rules, _ = rules_and_profile(None, None)
    layout = LAYOUTS / "tern-96" / "tern-96.yaml"
    complete = next((LAYOUTS / "tern-96").glob("clean-*[0-9].yaml")).read_bytes()
    for name, content in (("record just begun", b""), ("complete record", complete)):
        for kind, telling in TELLINGS.items():
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "record.yaml"
                path.write_bytes(content)
                desk = Desk(Text(layout.read_bytes(), str(layout)), path, "", rules, None)
                print(f"{name}, {kind}: {measured(desk, telling, bool(content))}", flush=True)


def measured(desk: Desk, telling: Telling, again: bool) -> str:
    """Return the processor time of answer, judgement and drawing: of some entries the middle one and the worst."""
    spent: dict[str, list[float]] = {"answer": [], "judged and shown": [], "drawing": []}
    state_of(desk, desk.seen(), "")  # what a page shows when it is opened
    for number in range(TIMES):
        seen, told = desk.seen(), [telling(number, again)]
        with timed(spent["answer"]):
            tell(desk, seen.version, "", told)
        with timed(spent["judged and shown"]):
            after = desk.seen()
            view = state_of(desk, after, "", seen.version)
        if number % 5 == 0:
            parts = {part for card in view["cards"] for part in card["parts"]}
            with timed(spent["drawing"]):
                draw_in_hand(after.opened, desk.judged(after), desk.table_of, parts, 760)
    return ", ".join(f"{n} {1000 * median(times):.0f} ms (worst {1000 * max(times):.0f})" for n, times in spent.items())


def rest(number: int, again: bool) -> Entry:
    """Return a rest voltage."""
    return _entry("modules", f"T2-G{number + 1:02d}a", {"rest": "3.302 V"}, again)


def torque(number: int, again: bool) -> Entry:
    """Return the torque of a joint."""
    return _entry("joints", f"T2-B{number + 1:02d}/T2-G{number + 1:02d}a", {"torque": "4.5 N·m"}, again)


def reading(number: int, again: bool) -> Entry:
    """Return a voltage between two sense taps."""
    ends = {"between": f"T1-S{number + 1:02d}", "and": f"T1-S{number:02d}"}
    cells = {**({} if again else ends), "value": "3.640 V"}
    return replace(_entry("readings", f"T1 {number + 1}", cells, again), state="plug out")


def bar(number: int, again: bool) -> Entry:
    """Return a bar that is where it is drawn."""
    return _entry("bars", f"T2-B{number + 1:02d}", {"is": "as drawn"}, again)


def _entry(section: str, subject: str, cells: dict[str, str], again: bool) -> Entry:
    return Entry(section, subject, cells, "2026-03-01 08:00", "", why="read again to be sure" if again else "")


TELLINGS: dict[str, Telling] = {"rest voltage": rest, "torque": torque, "bar": bar, "reading": reading}


@contextmanager
def timed(times: list[float]) -> Iterator[None]:
    """Note the processor time of what is done within."""
    start = process_time()
    yield
    times.append(process_time() - start)


if __name__ == "__main__":
    main()
