"""Who writes one record of a true build: what was seen of it, what was read, when, by whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from random import Random

from packcheck.model.pack.model import Pack
from packcheck.simulate.build import Build
from packcheck.simulate.calendar import Calendar, Steps, steps_of
from packcheck.simulate.drawn import build_as_drawn
from packcheck.simulate.meters import Figure
from packcheck.simulate.people import Team
from packcheck.simulate.reading_plan import Plan, plan_readings

OPTIONAL = ("capacity", "resistance", "mass", "rest again", "load", "isolation", "tap leads", "bar resistance",
            "across open")  # fmt: skip
"""What a team may read beyond what the rules ask of every record."""
SHELF = timedelta(days=9)
"""How long before the build the modules were read for the first time, where they were read twice."""


@lru_cache(maxsize=8)
def bench_of(pack: Pack) -> Bench:
    """Return the bench of a layout; it is laid out once."""
    return Bench(pack)


class Bench:
    """A layout with all that is the same for every build of it: what is read, and in which steps it is built."""

    def __init__(self, pack: Pack) -> None:
        """Take a layout."""
        self.pack = pack
        self.plan: Plan = plan_readings(build_as_drawn(pack, Random("drawn")))
        self.steps: Steps = steps_of(pack)

    def build(self, seed: str) -> Build:
        """Return the true build that a seed stands for, with nothing wrong in it."""
        return _build(self, seed)


@lru_cache(maxsize=8)
def _build(bench: Bench, seed: str) -> Build:
    """Return the build of a seed; nothing changes one that was made, so that it is made once."""
    return build_as_drawn(bench.pack, Random(f"{seed}: build"))


@dataclass(frozen=True)
class Scribe:
    """Who writes one record: the build as it stands, what was seen of it, optional readings, times and team."""

    bench: Bench
    seed: str
    build: Build
    seen: Build
    wanted: frozenset[str]
    when: Calendar
    team: Team

    @property
    def pack(self) -> Pack:
        """Return the layout."""
        return self.bench.pack

    @property
    def tested(self) -> datetime:
        """Return when the modules were read loose: on the first day, or on the shelf where they are read twice."""
        return self.when.first - (SHELF if "rest again" in self.wanted else timedelta())

    def random(self, of: str) -> Random:
        """Return the random numbers of one part of a record: they do not depend on the others."""
        return Random(f"{self.seed}: {of}")


def stamp(moment: datetime) -> Figure:
    """Return a time as a record has it."""
    return Figure(f"{moment:%Y-%m-%d %H:%M}")
