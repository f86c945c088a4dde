"""What an entry on the bench page costs at 96 groups: processor time of each part of the answer."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from time import process_time

from packcheck.app.arguments import rules_and_profile
from packcheck.app.bench.desk import Desk
from packcheck.app.bench.entries import Entry
from packcheck.app.bench.server import state_of
from packcheck.model.opening import Text
from packcheck.render.drawing.bench import draw_in_hand

LAYOUTS = Path(__file__).resolve().parents[2] / "layouts"
TIMES = 15


def main() -> None:
    """Print what an entry costs in an empty record and in a complete one."""
    rules, _ = rules_and_profile(None, None)
    layout = LAYOUTS / "tern-96" / "tern-96.yaml"
    complete = next((LAYOUTS / "tern-96").glob("clean-*[0-9].yaml")).read_bytes()
    for name, content in (("record just begun", b""), ("complete record", complete)):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "record.yaml"
            path.write_bytes(content)
            desk = Desk(Text(layout.read_bytes(), str(layout)), path, "", rules, None)
            print(f"{name}: {measured(desk)}")


def measured(desk: Desk) -> str:
    """Return the processor time of entry, state and drawing: the middle one of some entries."""
    spent: dict[str, list[float]] = {"entry": [], "state": [], "drawing": []}
    for number in range(TIMES):
        seen, subject = desk.seen(), f"T2-G{number + 1:02d}a"
        told = reading(subject, again=bool(seen.opened.record and subject in seen.opened.record.modules))
        with timed(spent["entry"]):
            _, after = desk.tell(seen.version, "", [told])
        with timed(spent["state"]):
            view = state_of(desk, after, "")
        parts = {part for card in view["cards"] for part in card["parts"]}
        with timed(spent["drawing"]):
            draw_in_hand(after.opened, after.report, desk.table_of, parts, 760)
    return ", ".join(f"{name} {median(times) * 1000:.0f} ms" for name, times in spent.items())


def reading(subject: str, again: bool) -> Entry:
    """Return what is told: a rest voltage, where there is one already with the reason of a second one."""
    cells = {"rest": "3.302 V"}
    return Entry("modules", subject, cells, "2026-03-01 08:00", "", why="read again to be sure" if again else "")


@contextmanager
def timed(times: list[float]) -> Iterator[None]:
    """Note the processor time of what is done within."""
    start = process_time()
    yield
    times.append(process_time() - start)


if __name__ == "__main__":
    main()
