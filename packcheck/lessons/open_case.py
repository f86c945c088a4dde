"""A case whose key was opened: its true build stands again, and each question on it is answered, priced and kept."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from packcheck.files.problems import WrongUsage
from packcheck.lessons.costs import BUDGET, costs_of, points_of
from packcheck.lessons.paths import Asked, Path
from packcheck.lessons.sealing import seed_of
from packcheck.model.opening import Text, open_bytes
from packcheck.simulate.asked.answer import answer
from packcheck.simulate.asked.question import Question
from packcheck.simulate.asked.truth import Truth, truth_of
from packcheck.simulate.faults.library import BY_NAME, Placed
from packcheck.simulate.record_text import record_text
from packcheck.simulate.scribe import Bench

OTHER = "was made by another edition of packcheck, which builds otherwise; make the lesson anew to ask on it"


@dataclass(frozen=True, eq=False)
class OpenCase:
    """A case with its key open: its name, the hash of its sealed key, the secret of its paths, its true build."""

    name: str
    mark: str
    secret: bytes
    truth: Truth

    @property
    def bench(self) -> Bench:
        """Return the layout."""
        return self.truth.bench


def open_case(name: str, key: Mapping[str, Any], mark: str, secret: bytes, layout: Text) -> OpenCase:
    """Return a case whose true build stands again.

    Raises
    ------
    WrongUsage : the layout is not the one that the case was made of, or the case cannot be built again as it was.
    """
    if hashlib.sha256(layout.content).hexdigest() != key["layout"]:
        raise WrongUsage(f"{layout.name} is not the layout that {name} was made of: it was changed since")
    bench = Bench(open_bytes(*layout).pack)
    placed = [Placed(BY_NAME[f["name"]], f["place"], f["variant"]) for f in key["faults"] if f["name"] in BY_NAME]
    if len(placed) != len(key["faults"]):
        raise WrongUsage(f"{name} {OTHER}")
    truth = truth_of(bench, key["seed"], placed, key["wanted"])
    if hashlib.sha256(record_text(truth.written).encode()).hexdigest() != key["record"]:
        raise WrongUsage(f"{name} {OTHER}")
    return OpenCase(name, mark, path_secret(secret, name), truth)


def path_secret(secret: bytes, name: str) -> bytes:
    """Return what the paths of a case are sealed by."""
    return bytes.fromhex(seed_of(secret, f"path of {name}"))


def ask(case: OpenCase, path: Path, question: Question, at: str) -> Path:
    """Return the path with the question answered; itself where that was asked before, which costs nothing.

    Raises
    ------
    WrongUsage : the points that are left do not reach.
    """
    if path.found(question.text):
        return path
    points, left = points_of(costs_of(case.bench, question)), BUDGET - path.points
    if points > left:
        raise WrongUsage(f"{question.text}: found {left} of {BUDGET} points left, needed {points}")
    one = Asked(len(path.asked) + 1, at, question.text, answer(case.truth, question), points)
    return path.with_asked(one, case.secret)
