"""Run a schema over a document; see ``wording`` for what is said about each mistake."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from itertools import islice
from typing import Any

from packcheck.files.document import Document
from packcheck.files.origin import Origin
from packcheck.files.problems import Problem
from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds, parse_quantity
from packcheck.files.schema.fitting import Fitting
from packcheck.files.schema.wording import problems_of
from packcheck.files.shipped import schema_folder

KINDS = ("layout", "record", "rule", "profile")
_MOST_ERRORS = 1000
_QUANTITY = frozenset({"quantity"})
"""The keyword of our own: how a number with its unit is to be read."""


def check_document(document: Document, kind: str) -> list[Problem]:
    """Return everything in a document that its schema does not allow, in the order of the file.

    Parameters
    ----------
    document : as read from the file.
    kind : what it must be: ``layout``, ``record``, ``rule`` or ``profile``.
    """
    schema = load_schema(kind)
    return [] if Fitting(schema, _QUANTITY).fits(document.root, schema) else _check(document, _validator(kind))


def check_quantities(document: Document, kind: str) -> list[Problem]:
    """Return every quantity of a document whose number or unit is wrong, whatever else may be wrong with its form.

    A document of the right form has its quantities read by those who need them; of one that has not, this tells what
    else to mend in the same go.
    """
    return _check(document, _validator(kind, quantities=True), only="quantity")


@cache
def load_schema(kind: str) -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a kind of file."""
    if kind not in KINDS:
        raise ValueError(f"{kind!r} is none of {', '.join(KINDS)}")
    schema: dict[str, Any] = json.loads((schema_folder() / f"{kind}.json").read_text(encoding="utf-8"))
    return schema


@cache
def _validator(kind: str, quantities: bool = False) -> Any:
    return _make_validator(load_schema(kind), quantities)


def _check(document: Document, validator: Any, only: str = "") -> list[Problem]:
    wanted = (error for error in validator.iter_errors(document.root) if only in ("", error.validator))
    problems = list(islice(problems_of(islice(wanted, _MOST_ERRORS + 1), document), _MOST_ERRORS + 1))
    more = len(problems) > _MOST_ERRORS
    problems = sorted(set(problems[:_MOST_ERRORS]))
    if more:
        found = f"more than {_MOST_ERRORS} mistakes; the others are not listed"
        problems.append(Problem(Origin(document.file), found, "a file without mistakes", "", "correct these first"))
    return problems


def _make_validator(schema: dict[str, Any], quantities: bool = False) -> Any:
    """Return a validator that finds references inside the schema only and never fetches one.

    It passes over what fits at first sight: its own walk takes ten times as long, and a large table has few mistakes.
    """
    from jsonschema import Draft202012Validator, ValidationError
    from jsonschema.validators import extend
    from referencing import Registry

    at_sight = Fitting(schema, frozenset() if quantities else _QUANTITY)

    def additional_properties(validator: Any, rest: Any, instance: Any, schema: Any) -> Iterator[Any]:
        """Walk the names that a schema does not describe."""
        if not isinstance(rest, dict) or not isinstance(instance, dict) or "patternProperties" in schema:
            yield from original(validator, rest, instance, schema) or ()
            return
        known = schema.get("properties", {})
        for name, value in instance.items():
            if name not in known and not at_sight.fits(value, rest):
                yield from validator.descend(value, rest, path=name)

    def own_properties(validator: Any, properties: Any, instance: Any, _: Any) -> Iterator[Any]:
        """Walk the names a schema describes; a forbidden one (``old: false``) keeps its place, unlike in jsonschema."""
        for name, subschema in properties.items() if isinstance(instance, dict) else ():
            if name not in instance or at_sight.fits(instance[name], subschema):
                continue
            if subschema is False:
                yield ValidationError("forbidden", path=[name])
            else:
                yield from validator.descend(instance[name], subschema, path=name, schema_path=name)

    def quantity(_: Any, words: Any, instance: Any, __: Any) -> Iterator[Any]:
        """Refuse what is no quantity of the dimension; what is no text or number at all is refused by its type."""
        if isinstance(instance, str | int | Decimal) and not isinstance(instance, bool):
            try:
                (parse_bounds if "bounds" in words else parse_quantity)(instance, Dimension[words[0].upper()])
            except QuantityProblem as problem:
                yield ValidationError(problem.found, cause=problem)

    original = Draft202012Validator.VALIDATORS["additionalProperties"]
    keywords: dict[str, Any] = {"additionalProperties": additional_properties, "properties": own_properties}
    if quantities:
        keywords["quantity"] = quantity
    validator_class: Any = extend(Draft202012Validator, keywords)  # type: ignore[no-untyped-call]
    return validator_class(schema, registry=Registry())
