"""Whether data plainly fit a schema, at a glance: most files do, and only what does not needs words for it.

What is not understood here, or could be taken in two ways, does not fit at first sight; the whole validator decides it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from packcheck.files.document import MarkedMapping, MarkedSequence

_CLASSES: dict[str, tuple[type, ...]] = {
    "object": (MarkedMapping, dict),
    "array": (MarkedSequence, list),
    "string": (str,),
    "integer": (int,),
    "number": (int, Decimal),
    "boolean": (bool,),
    "null": (type(None),),
}
_TEXT, _NUMBER, _OBJECT, _ARRAY = (_CLASSES[name] for name in ("string", "number", "object", "array"))
_SILENT = frozenset({"type", "$schema", "$defs", "description", "title", "examples", "$comment", "default"})
"""Keywords that ask for nothing, and ``type``, which is looked at before all others."""


class Fitting:
    """A schema that data are held to; ``silent`` are keywords of our own that ask for nothing now."""

    def __init__(self, whole: Mapping[str, Any], silent: frozenset[str] = frozenset()) -> None:
        self._whole = whole
        self._silent = _SILENT | silent
        self._passed: dict[int, tuple[Any, ...]] = {}

    def fits(self, value: Any, schema: Any) -> bool:
        """Return whether a value surely fits a schema, which is the whole or a part of it."""
        if schema is True or schema is False:
            return bool(schema)
        classes, asked = self._passed.get(id(schema)) or self._look_at(schema)
        if classes and value.__class__ not in classes:
            return False
        return all(holds(self, value, wanted, schema) for holds, wanted in asked)

    def _look_at(self, schema: Mapping[str, Any]) -> tuple[Any, ...]:
        """Return the classes that a schema allows, all where it names none, and what else it asks; looked up once."""
        names = schema.get("type", ())
        classes = tuple(one for name in ([names] if isinstance(names, str) else names) for one in _CLASSES[name])
        asked = [(_ASKED.get(key, _unknown), wanted) for key, wanted in schema.items() if key not in self._silent]
        self._passed[id(schema)] = classes, asked
        return classes, asked

    def part(self, reference: str) -> Any:
        """Return the part of the whole schema that ``#/$defs/name`` points to; what is not there allows nothing."""
        part: Any = self._whole
        for step in reference.removeprefix("#/").split("/"):
            part = part.get(step, False) if isinstance(part, Mapping) else False
        return part


def _unknown(*_: Any) -> bool:
    return False


def _properties(one: Fitting, value: Any, wanted: Any, _: Any) -> bool:
    if not isinstance(value, dict):
        return True
    return all(one.fits(value[name], wanted[name]) for name in wanted if name in value)


def _additional(one: Fitting, value: Any, wanted: Any, schema: Any) -> bool:
    if not isinstance(value, dict):
        return True
    known = schema.get("properties", ())
    return "patternProperties" not in schema and all(
        one.fits(held, wanted) for name, held in value.items() if name not in known
    )


def _items(one: Fitting, value: Any, wanted: Any, schema: Any) -> bool:
    if not isinstance(value, list):
        return True
    return "prefixItems" not in schema and all(one.fits(item, wanted) for item in value)


def _same(value: Any, wanted: Any) -> bool:
    return value.__class__ is wanted.__class__ and value.__class__ in (str, int, bool) and bool(value == wanted)


def _sized(classes: tuple[type, ...], holds: Callable[[Any, Any], bool]) -> Callable[[Fitting, Any, Any, Any], bool]:
    """Return a test of what has one of the classes; all else is none of its business."""
    return lambda _one, value, wanted, _schema: value.__class__ not in classes or holds(value, wanted)


_ASKED: dict[str, Callable[[Fitting, Any, Any, Any], bool]] = {
    "$ref": lambda one, value, wanted, _: one.fits(value, one.part(wanted)),
    "anyOf": lambda one, value, wanted, _: any(one.fits(value, branch) for branch in wanted),
    "allOf": lambda one, value, wanted, _: all(one.fits(value, branch) for branch in wanted),
    "const": lambda _one, value, wanted, _schema: _same(value, wanted),
    "enum": lambda _one, value, wanted, _schema: any(_same(value, word) for word in wanted),
    "properties": _properties,
    "additionalProperties": _additional,
    "items": _items,
    "required": _sized(_OBJECT, lambda value, names: all(name in value for name in names)),
    "minProperties": _sized(_OBJECT, lambda value, least: len(value) >= least),
    "maxProperties": _sized(_OBJECT, lambda value, most: len(value) <= most),
    "minItems": _sized(_ARRAY, lambda value, least: len(value) >= least),
    "maxItems": _sized(_ARRAY, lambda value, most: len(value) <= most),
    "uniqueItems": _sized(_ARRAY, lambda value, _: {str} >= set(map(type, value)) and len(set(value)) == len(value)),
    "minLength": _sized(_TEXT, lambda value, least: len(value) >= least),
    "maxLength": _sized(_TEXT, lambda value, most: len(value) <= most),
    "pattern": _sized(_TEXT, lambda value, pattern: re.search(pattern, value) is not None),
    "minimum": _sized(_NUMBER, lambda value, least: value >= least),
}  # fmt: skip
