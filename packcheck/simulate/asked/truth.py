"""The true state behind a record, with instruments of its own: what is asked is read anew, by other people's meters."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from packcheck.simulate.build import Build
from packcheck.simulate.faults.library import Placed, faulty_build, faulty_record
from packcheck.simulate.people import Team
from packcheck.simulate.record import scribe_of, write_record
from packcheck.simulate.scribe import Bench, Scribe

Data = dict[str, Any]


@dataclass(frozen=True, eq=False)
class Truth:
    """One build as it stands, and what is true of the papers.

    ``told`` is the record that somebody would write who looked at everything and slipped nowhere, ``written`` the one
    that was written; ``scribe`` reads the build with instruments of its own.
    """

    bench: Bench
    seed: str
    build: Build
    told: Data
    written: Data
    scribe: Scribe

    @property
    def team(self) -> Team:
        """Return the instruments that are read with."""
        return self.scribe.team

    def random(self, of: str) -> Random:
        """Return the random numbers of one reading: the same ones whenever it is asked for."""
        return Random(f"{self.seed}: asked: {of}")


def truth_of(bench: Bench, seed: str, placed: Sequence[Placed], wanted: Collection[str] = ()) -> Truth:
    """Return the true state behind the record of a seed with some faults."""
    build = faulty_build(bench, seed, placed)
    told = write_record(bench, seed, build, wanted=wanted)
    written = faulty_record(bench, seed, placed, wanted)
    return Truth(bench, seed, build, told, written, scribe_of(bench, f"{seed}: asked", build, build, ("isolation",)))
