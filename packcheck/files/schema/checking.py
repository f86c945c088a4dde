"""Run a schema over a document; see ``wording`` for what is said about each mistake."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from itertools import islice
from typing import Any

from packcheck.files.document import Document, MarkedMapping, MarkedSequence
from packcheck.files.origin import Origin
from packcheck.files.problems import Problem
from packcheck.files.quantities import Dimension, QuantityProblem, parse_bounds, parse_quantity
from packcheck.files.schema.wording import problems_of
from packcheck.files.shipped import schema_folder

KINDS = ("layout", "record", "rule", "profile")
_MOST_ERRORS = 1000
_CLASSES: dict[str, frozenset[type]] = {
    "object": frozenset({dict, MarkedMapping}),
    "array": frozenset({list, MarkedSequence}),
    "string": frozenset({str}),
    "integer": frozenset({int}),
    "number": frozenset({int}),
    "boolean": frozenset({bool}),
    "null": frozenset({type(None)}),
}
_SILENT = frozenset({"type", "description", "title", "examples", "$comment", "default"})


def check_document(document: Document, kind: str) -> list[Problem]:
    """Return everything in a document that its schema does not allow, in the order of the file.

    Parameters
    ----------
    document : as read from the file.
    kind : what it must be: ``layout``, ``record``, ``rule`` or ``profile``.
    """
    return _check(document, _validator(kind))


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


def _check_against(document: Document, schema: dict[str, Any]) -> list[Problem]:
    """Check against a schema at hand instead of one that comes with packcheck."""
    return _check(document, _make_validator(schema))


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
    """Return a validator that finds references inside the schema only and never fetches one."""
    from jsonschema import Draft202012Validator, ValidationError
    from jsonschema.validators import extend
    from referencing import Registry

    def additional_properties(validator: Any, rest: Any, instance: Any, schema: Any) -> Iterator[Any]:
        """Pass over the rows of a large table whose schema asks for a type only and who have it.

        The walk of jsonschema takes some 6 µs per row, this one 0.1 µs; what does not fit at first sight is handed on.
        """
        accepted = _accepted_classes(rest, schema)
        if accepted is None or not isinstance(instance, dict):
            yield from original(validator, rest, instance, schema) or ()
            return
        known = schema.get("properties", {})
        for name, value in instance.items():
            if value.__class__ not in accepted and name not in known:
                yield from validator.descend(value, rest, path=name)

    fits: dict[int, frozenset[type]] = {}

    def own_properties(validator: Any, properties: Any, instance: Any, _: Any) -> Iterator[Any]:
        """Walk the names a schema describes; a forbidden one (``old: false``) keeps its place, unlike in jsonschema."""
        for name, subschema in properties.items() if isinstance(instance, dict) else ():
            if name not in instance:
                continue
            if id(subschema) not in fits:
                fits[id(subschema)] = _accepted_classes(subschema, {}) or frozenset()
            if subschema is False:
                yield ValidationError("forbidden", path=[name])
            elif instance[name].__class__ not in fits[id(subschema)]:
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


def _accepted_classes(rest: Any, schema: Any) -> frozenset[type] | None:
    """Return the classes that satisfy a schema of a bare type, or None when it asks for more than a type."""
    if (
        not isinstance(rest, dict)
        or "type" not in rest
        or not _SILENT.issuperset(rest)
        or "patternProperties" in schema
    ):
        return None
    names = [rest["type"]] if isinstance(rest["type"], str) else rest["type"]
    return frozenset().union(*(_CLASSES[name] for name in names))
