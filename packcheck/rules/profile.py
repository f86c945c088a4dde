"""Read a shop profile: limits that a workshop adopted and rules it waived, who, when and why; and how far it may go."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import TypeVar

from packcheck.files.document import Document, MarkedMapping
from packcheck.files.frozen import dataclass
from packcheck.files.quantities import Bounds, Dimension, QuantityProblem, parse_bounds
from packcheck.rules.catalogue import Table
from packcheck.rules.compile import compile_rule
from packcheck.rules.findings import Outcome, Severity
from packcheck.rules.keys import FOR_EDITORS, Keys, Path
from packcheck.rules.rule import Limit, Rule

KEYS = ("profile", "shop", "limits", "torque bands", "values", "waivers")
VERSION = 1
_NOTE_KEYS = ("by", "at", "why")
FURTHEST = 4
"""A limit that forbids nothing may be a fourth to four times the rule's own; common practice, no source."""
_UP = (Fraction(3, 2), Fraction(10), Fraction(10_000))
_DOWN = (Fraction(2, 3), Fraction(1, 10), Fraction(0))
_Entry = TypeVar("_Entry")


@dataclass(frozen=True)
class Note:
    """Who decided something, when (a date as YYYY-MM-DD) and why."""

    by: str
    at: str
    why: str

    def sentence(self) -> str:
        """Return the note for a report."""
        return f"{self.by}, {self.at}: {self.why}"


@dataclass(frozen=True)
class AdoptedValue:
    """A number the shop adopted, exact, in the program's unit of its dimension ("" for a plain number)."""

    value: Fraction
    unit: str
    note: Note

    @property
    def number(self) -> float:
        """Return the value rounded to the nearest float, in ``unit``."""
        return float(self.value)


@dataclass(frozen=True)
class AdoptedBand:
    """A torque band [N·m] for joints whose type states none."""

    band: Bounds
    note: Note


@dataclass(frozen=True)
class Profile:
    """One workshop's decisions.

    ``limits`` maps a rule's name to its adopted limits by name, ``torque_bands`` a thread to its band, ``values`` the
    names of other adopted numbers to them, ``waivers`` a rule's name to who waived it.
    """

    shop: str
    limits: Mapping[str, Mapping[str, AdoptedValue]]
    torque_bands: Mapping[str, AdoptedBand]
    values: Mapping[str, AdoptedValue]
    waivers: Mapping[str, Note]
    file: str = ""
    sha256: str = ""


def read_profile(document: Document, rules: Iterable[Rule]) -> Profile:
    """Return the decisions that a shop profile states.

    Parameters
    ----------
    document : the file.
    rules : the rules it may name; a never-energize rule cannot be waived.

    Raises
    ------
    InputProblems : with every problem of the file.
    """
    return _ProfileReader(document, {rule.name: rule for rule in rules}).read()


class _ProfileReader:
    def __init__(self, document: Document, rules: Mapping[str, Rule]) -> None:
        self.keys = Keys(document)
        self.document = document
        self.root = document.root
        self.rules = rules

    def read(self) -> Profile:
        if self.keys.mapping((), self.root, "the keys of a shop profile") is None:
            self.keys.raise_problems()
        other = next((kind for kind in ("record", "layout") if kind in self.root), "")
        if other and "profile" not in self.root:
            self.keys.wrong((other,), f"a {other}", "a shop profile", do="Name the file that begins with profile: 1.")
            self.keys.raise_problems()
        self.keys.check_keys((), self.root, ("profile", "shop"), KEYS[2:], FOR_EDITORS)
        if "profile" in self.root and (self.root["profile"] is True or self.root["profile"] != VERSION):
            self.keys.wrong(("profile",), f"the form {self.root['profile']}", f"{VERSION}, the form this program reads",
                            do=f"Write profile: {VERSION}.")  # fmt: skip
        shop = self.keys.text((), self.root, "shop")
        limits = {name: self._rule_limits(name, entry) for name, entry in self._rule_entries("limits")}
        bands = {name: self._band(("torque bands", name), entry) for name, entry in self._entries("torque bands")}
        values = {name: self._value(("values", name), entry) for name, entry in self._entries("values")}
        waivers = {name: self._waiver(name, entry) for name, entry in self._rule_entries("waivers")}
        self.keys.raise_problems()
        return Profile(shop, limits, _held(bands), _held(values), waivers, self.document.file, self.document.sha256)

    def _entries(self, key: str) -> list[tuple[str, MarkedMapping]]:
        listed = self.keys.mapping((key,), self.root[key], "names with entries") if key in self.root else None
        checked = [(name, self.keys.mapping((key, name), entry)) for name, entry in (listed or {}).items()]
        return [(name, entry) for name, entry in checked if entry is not None]

    def _rule_entries(self, key: str) -> list[tuple[str, MarkedMapping]]:
        entries = self._entries(key)
        for name, _ in entries:
            if name not in self.rules:
                self.keys.unknown((key, name), name, list(self.rules), "rule", key=True)
        return [(name, entry) for name, entry in entries if name in self.rules]

    def _rule_limits(self, name: str, entries: MarkedMapping) -> dict[str, AdoptedValue]:
        rule, found = self.rules[name], {}
        for limit, entry in entries.items():
            path: Path = ("limits", name, limit)
            if limit not in rule.limits:
                self.keys.unknown(path, limit, list(rule.limits), f"limit of {name}", key=True)
            elif (mapping := self.keys.mapping(path, entry)) is not None:
                value = self._value(path, mapping)
                if value is not None and value.unit != rule.limits[limit].unit:
                    needed = f"a value in {rule.limits[limit].unit}" if rule.limits[limit].unit else "a plain number"
                    do = "Write the number with the unit of the rule's own limit, or without one if that has none."
                    self.keys.wrong((*path, "value"), str(mapping["value"]), needed, do=do)
                elif value is not None:
                    found[limit] = value
        return found

    def _value(self, path: Path, entry: MarkedMapping) -> AdoptedValue | None:
        self.keys.check_keys(path, entry, ("value", *_NOTE_KEYS))
        note = self._note(path, entry)
        value = self.keys.quantity((*path, "value"), entry["value"]) if "value" in entry else None
        return AdoptedValue(*value, note) if value else None

    def _band(self, path: Path, entry: MarkedMapping) -> AdoptedBand | None:
        self.keys.check_keys(path, entry, ("band", *_NOTE_KEYS))
        note = self._note(path, entry)
        if "band" not in entry:
            return None
        try:
            band = parse_bounds(entry["band"], Dimension.TORQUE)
        except QuantityProblem as wrong:
            self.keys.wrong((*path, "band"), wrong.found, wrong.needed, do=wrong.do)
            return None
        if band.low is None or band.high is None:
            needed = "a least and a most torque"
            self.keys.wrong((*path, "band"), str(entry["band"]), needed, do="Write it as 4 N·m to 5 N·m.")
        return AdoptedBand(band, note)

    def _waiver(self, name: str, entry: MarkedMapping) -> Note:
        path: Path = ("waivers", name)
        if self.rules[name].severity is Severity.NEVER_ENERGIZE:
            self.keys.wrong(
                path, f"a waiver of {name}", "a rule that may be waived",
                why="a never-energize rule holds in every shop", do="Take the waiver out.", key=True,
            )  # fmt: skip
        self.keys.check_keys(path, entry, _NOTE_KEYS)
        return self._note(path, entry)

    def _note(self, path: Path, entry: MarkedMapping) -> Note:
        by, at, why = (self.keys.text(path, entry, key) for key in _NOTE_KEYS)
        if at:
            try:
                datetime.datetime.strptime(at, "%Y-%m-%d")
            except ValueError:
                self.keys.wrong((*path, "at"), at, "a day of the calendar", do="Write it as 2026-05-31.")
        return Note(by, at, why)


def _held(entries: Mapping[str, _Entry | None]) -> dict[str, _Entry]:
    return {name: entry for name, entry in entries.items() if entry is not None}


def only_tightens(rule: Rule, limit: Limit) -> bool:
    """Return whether a shop may only tighten a limit: its rule forbids energizing, or somebody published it."""
    return rule.severity is Severity.NEVER_ENERGIZE or any(basis.kind == "published" for basis in limit.basis)


def range_allowed(rule: Rule, limit: Limit, table: Table) -> tuple[Fraction | None, Fraction | None]:
    """Return the least and the most that a shop may put in place of a limit; None where that end is open.

    The rule's own broken examples tell which way the limit loosens: the way on which one of them passes.  Where no
    example tells, both ways count as loosening.
    """
    own = limit.value
    if not only_tightens(rule, limit):
        most = Fraction(1) if not limit.unit and 0 < own <= 1 else own * FURTHEST
        return own / FURTHEST, min(most, own * FURTHEST)
    up = any(_lets_pass(rule, limit.name, own * factor, table) for factor in _UP)
    down = any(_lets_pass(rule, limit.name, own * factor, table) for factor in _DOWN)
    return (None if up and not down else own), (None if down and not up else own)


def _lets_pass(rule: Rule, limit: str, value: Fraction, table: Table) -> bool:
    """Return whether an example that is broken under the rule's own limit is not under another value."""
    compiled = compile_rule(rule, table, ((limit, float(value)),))
    return any(
        example.outcome is Outcome.BROKEN and compiled.answer(example.values).outcome is not Outcome.BROKEN
        for example in rule.examples
    )
