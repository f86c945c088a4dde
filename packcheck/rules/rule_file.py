"""Read a rule file: every mistake at once, each with its place, and apart from any mistake in a pack."""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction

from packcheck.files.document import Document, MarkedMapping
from packcheck.files.origin import Origin
from packcheck.rules import terms
from packcheck.rules.catalogue import Table
from packcheck.rules.examples import read_examples
from packcheck.rules.expression import BadExpression, parse_expression
from packcheck.rules.findings import Gate, Severity
from packcheck.rules.keys import FOR_EDITORS, Keys, Path, shown
from packcheck.rules.rule import Basis, Limit, Rule, Says
from packcheck.rules.says import Template, TemplateProblem, read_template

KEYS = (
    "rule", "title", "family", "severity", "gate", "judges", "stands first", "each", "where", "require", "limits",
    "says", "follows from", "why", "remedy", "teaching", "basis", "examples",
)  # fmt: skip
"""The keys of a rule file, in the order they are written."""

MAY_BE_ABSENT = ("judges", "stands first", "where", "limits", "follows from")
_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LIMIT_NAME = re.compile(r"[a-z][a-z0-9_]*")
_COMPARE = "Compare it with a rule that can be read: `packcheck rules show NAME` prints one."


class _Judges(Enum):
    LAYOUT = "layout"
    RECORD = "record"


class _BasisKind(Enum):
    COMMON = "common practice"
    PUBLISHED = "published"
    DERIVED = "derived"


_BASIS_KEYS = {_BasisKind.COMMON: (), _BasisKind.PUBLISHED: ("document", "clause"), _BasisKind.DERIVED: ("from",)}


def read_rule(document: Document, tables: Mapping[str, Table], with_examples: bool = True) -> Rule:
    """Return the rule that a file states.

    Parameters
    ----------
    document : the file.
    tables : the fact tables by name; the rule's conditions are checked against the one it names.
    with_examples : whether its examples are read too; without them the document need not have any.

    Raises
    ------
    InputProblems : with every problem of the file.
    """
    return _RuleReader(document, tables, with_examples).read()


class _RuleReader:
    def __init__(self, document: Document, tables: Mapping[str, Table], with_examples: bool) -> None:
        self.keys = Keys(document)
        self.document = document
        self.root = document.root
        self.tables = tables
        self.with_examples = with_examples
        self.limit_units: dict[str, str | None] = {}

    def read(self) -> Rule:
        if self.keys.mapping((), self.root, "the keys of a rule") is None:
            self.keys.raise_problems()
        may = MAY_BE_ABSENT if self.with_examples else (*MAY_BE_ABSENT, "examples")
        self.keys.check_keys((), self.root, [key for key in KEYS if key not in may], may, FOR_EDITORS)
        table = self._table()
        limits = self._limits(table)
        where, where_text = self._condition("where", table)
        require, require_text = self._condition("require", table)
        self._check_limits_used(limits, where, require)
        says = self._says(table, limits)
        severity = self.keys.word((), self.root, "severity", Severity)
        gate = self.keys.word((), self.root, "gate", Gate)
        judges = self.keys.word((), self.root, "judges", _Judges)
        first = self._stands_first(severity)
        texts = {key: self.keys.text((), self.root, key) for key in ("title", "family", "why", "remedy", "teaching")}
        name = self._name()
        follows_from, basis, examples = (
            self._follows_from(),
            self._basis((), self.root),
            read_examples(self.keys, self.root, table) if self.with_examples else (),
        )
        self.keys.raise_problems()
        assert severity is not None and gate is not None and says is not None  # noqa: PT018 - else a problem was raised
        return Rule(
            name=name, title=texts["title"], family=texts["family"], severity=severity, gate=gate,
            judges_layout=judges is _Judges.LAYOUT, each=self.root["each"], where_text=where_text,
            require_text=require_text, where=where, require=require, limits=limits, says=says,
            follows_from=follows_from, why=texts["why"], remedy=texts["remedy"], teaching=texts["teaching"],
            basis=basis, examples=examples, stands_first=first, file=self.document.file, sha256=self.document.sha256,
        )  # fmt: skip

    def _stands_first(self, severity: Severity | None) -> bool:
        """Return whether a break heads the answer; only what forbids energizing may."""
        key = "stands first"
        if (value := self.root.get(key, False)) is True and severity in (None, Severity.NEVER_ENERGIZE):
            return True
        if key in self.root:
            needed = "true, in a rule of severity never-energize; else no such key"
            self.keys.wrong((key,), shown(value), needed, why="Only a fault that hurts at once heads the answer.",
                            do="Take the line out.")  # fmt: skip
        return False

    def _name(self) -> str:
        name = self.keys.text((), self.root, "rule")
        if name and not _NAME.fullmatch(name):
            self.keys.wrong(("rule",), f"the name {name}", "small letters, digits and single hyphens",
                            do="Rename the rule and its file.")  # fmt: skip
        return name

    def _table(self) -> Table:
        name = self.keys.text((), self.root, "each")
        if name in self.tables:
            return self.tables[name]
        if name:
            self.keys.unknown(("each",), name, list(self.tables), "fact table")
        self.keys.raise_problems()
        raise AssertionError("an absent table is a problem")

    # -- conditions and limits -------------------------------------------------------------------------------------

    def _condition(self, key: str, table: Table) -> tuple[terms.TruthTerm, str]:
        text = self.root.get(key)
        if key not in self.root:
            return terms.Truth(True), ""
        if not isinstance(text, str):
            self.keys.text((), self.root, key)
            return terms.Truth(True), ""
        try:
            return parse_expression(text, table, self.limit_units), text.strip()
        except BadExpression as bad:
            for wrong in bad.problems:
                self.keys.problems.append(
                    self.document.problem_at(
                        self._mark_inside(key, text, wrong.offset),
                        found=f"{wrong.found} (in {key}, character {wrong.offset + 1})",
                        needed=wrong.needed, why=wrong.why, do=wrong.do or _COMPARE,
                    )
                )  # fmt: skip
        return terms.Truth(True), ""

    def _mark_inside(self, key: str, text: str, offset: int) -> Origin:
        """Return where a letter of the text stands, or the start of the text when it is folded over lines."""
        mark = self.root.value_mark[key]
        line = self.document.lines[mark.line - 1] if mark.line <= len(self.document.lines) else ""
        for quote in (0, 1):
            start = mark.column - 1 + quote
            if line[start : start + len(text)] == text:
                return mark._replace(column=start + offset + 1)
        return mark

    def _limits(self, table: Table) -> dict[str, Limit]:
        limits: dict[str, Limit] = {}
        listed = self.keys.mapping(("limits",), self.root["limits"]) if "limits" in self.root else None
        for name, entry in (listed or {}).items():
            path: Path = ("limits", name)
            if not _LIMIT_NAME.fullmatch(name):
                needed, do = "small letters, digits and underscores", "Rename the limit, here and where it is used."
                self.keys.wrong(path, f"the name {name}", needed, do=do, key=True)
            if name in table.column_by_name:
                found = f"the name {name}, which is a column of {table.name}"
                self.keys.wrong(path, found, "a name of its own", do="Give the limit another name.", key=True)
            if (mapping := self.keys.mapping(path, entry)) is None:
                continue
            self.keys.check_keys(path, mapping, ("value", "why", "basis"), ("unit",))
            value = self._limit_value(path, mapping)
            self.limit_units[name] = value[1] if value else None
            why, basis = self.keys.text(path, mapping, "why"), self._basis(path, mapping)
            limits[name] = Limit(name, *(value or (Fraction(0), "")), why, basis)
        return limits

    def _limit_value(self, path: Path, mapping: MarkedMapping) -> tuple[Fraction, str] | None:
        value = mapping.get("value")
        if "unit" in mapping:
            unit = self.keys.text(path, mapping, "unit")
            value = f"{value} {unit}"
        return self.keys.quantity((*path, "value"), value) if "value" in mapping else None

    def _check_limits_used(self, limits: Mapping[str, Limit], *conditions: terms.TruthTerm) -> None:
        if self.keys.problems:
            return
        parts = [part for term in conditions for part in terms.terms_within(term)]
        used = {part.name for part in parts if isinstance(part, terms.LimitTerm)}
        for name in limits:
            if name not in used:
                found = f"the limit {name}, which neither where nor require uses"
                self.keys.wrong(("limits", name), found, "limits that are used", do="Use it or take it out.", key=True)

    # -- words -----------------------------------------------------------------------------------------------------

    def _says(self, table: Table, limits: Mapping[str, Limit]) -> Says | None:
        says = self.keys.mapping(("says",), self.root["says"]) if "says" in self.root else None
        if says is None:
            return None
        self.keys.check_keys(("says",), says, ("met", "found", "needed"))
        known = {*table.column_by_name, *limits, table.subject}
        return Says(*(self._template(says, key, known) for key in ("met", "found", "needed")))

    def _template(self, says: MarkedMapping, key: str, known: set[str]) -> Template:
        try:
            return read_template(self.keys.text(("says",), says, key), known)
        except TemplateProblem as wrong:
            do = wrong.do or "Write {name}, with the name of a column or a limit."
            self.keys.wrong(("says", key), wrong.found, wrong.needed, do=do)
            return ()

    def _follows_from(self) -> tuple[str, ...]:
        key = "follows from"
        listed = self.keys.items((key,), self.root[key]) if key in self.root else None
        for index, name in enumerate(listed or []):
            if not isinstance(name, str):
                self.keys.wrong((key, index), str(name), "the name of a rule", do="Write the name of a rule.")
        return tuple(str(name) for name in listed or [])

    def _basis(self, path: Path, mapping: MarkedMapping) -> tuple[Basis, ...]:
        if "basis" not in mapping:
            return ()
        path = (*path, "basis")
        found: list[Basis] = []
        listed = self.keys.items(path, mapping["basis"], "a list such as [{kind: common practice}]")
        for index, entry in enumerate(listed or []):
            if (item := self.keys.mapping((*path, index), entry)) is not None:
                found.append(self._one_basis((*path, index), item))
        if listed is not None and not listed:
            do = "Write {kind: common practice} where there is no source."
            self.keys.wrong(path, "an empty list", "at least one source", do=do)
        return tuple(found)

    def _one_basis(self, path: Path, item: MarkedMapping) -> Basis:
        kind = self.keys.word(path, item, "kind", _BasisKind)
        needed = _BASIS_KEYS.get(kind, ()) if kind else ()
        if kind or "kind" not in item:
            self.keys.check_keys(path, item, ("kind", *needed))
        document, clause, source = (self.keys.text(path, item, key) for key in ("document", "clause", "from"))
        return Basis(kind.value if kind else "", document, clause, source)
