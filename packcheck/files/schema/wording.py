"""What a schema's error means to the person who wrote the file: found, needed, what to do, and where to look."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

from packcheck.files.document import Document
from packcheck.files.problems import Problem, nearest_name
from packcheck.files.schema.instead import instead_of_example

_LONGEST_SHOWN = 60
_MOST_NAMES = 24

_TYPE_WORDS = {
    "object": "names with values",
    "array": "a list [a, b, ...]",
    "string": "a text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
    "null": "nothing",
}


def problems_of(errors: Iterable[Any], document: Document) -> Iterator[Problem]:
    """Yield a problem for each mistake behind the validator's errors."""
    seen: set[tuple[Any, ...]] = set()
    for error in errors:
        yield from _problems_of_one(error, document, seen)


def describe(value: object) -> str:
    """Return what stands in the file, in few words."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, (int, Decimal)):
        return f"the number {value}"
    if isinstance(value, str):
        shown = value if len(value) <= _LONGEST_SHOWN else value[: _LONGEST_SHOWN - 1] + "…"
        return f"the text {shown!r}" if value else "an empty text"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, dict):
        more = ", ..." if len(value) > 3 else ""
        return f"a mapping of {len(value)} ({_listed(list(value)[:3])}{more})" if value else "no names"
    return type(value).__name__


def _problems_of_one(error: Any, document: Document, seen: set[tuple[Any, ...]]) -> Iterator[Problem]:
    path = list(error.absolute_path)
    if error.validator in ("required", "additionalProperties", "unevaluatedProperties", "dependentRequired"):
        # The validator may raise one error for several names, or several errors for one list of names.
        if (error.validator, *path) not in seen:
            seen.add((error.validator, *path))
            yield from _NAME_ERRORS[error.validator](error, path, document)
    elif error.validator in ("anyOf", "oneOf") and error.context:
        yield from _of_branches(error, path, document, seen)
    elif "propertyNames" in error.absolute_schema_path and isinstance(error.instance, str):
        needed = _with_meaning("another name", error.schema)
        do = _example(error) or "rename it"
        place = [*path, error.instance]
        yield document.problem(place, key=True, found=f"the name {error.instance!r}", needed=needed, do=do)
    elif error.validator == "quantity":
        problem = error.cause
        yield document.problem(path, found=problem.found, needed=problem.needed, do=problem.do)
    elif error.validator == "properties":
        found = f"the name {path[-1]!r}{_inside(path[:-1])}"
        yield document.problem(path, key=True, found=found, needed="nothing of that name here", do="take it out")
    else:
        found, needed, do = _words(error, path)
        needed = _with_meaning(needed, error.schema)
        do = instead_of_example(error, path) or _example(error) or do
        yield document.problem(path, found=found, needed=needed, do=do)


def _words(error: Any, path: Sequence[str | int]) -> tuple[str, str, str]:
    """Return found, needed and do for an error about one value."""
    value, limit = error.instance, error.validator_value
    name = _named(path)
    if error.validator == "type":
        needed = _types(limit)
        do = "write a value, or take the line out" if value is None else f"write {needed} for {name}"
        return describe(value), needed, do
    if error.validator == "enum":
        near = _near_word(str(value), [str(one) for one in limit])
        do = f"write {_shown(near)}" if near else f"write one of these for {name}"
        if near is None and list(path[:1]) == ["devices"] and name == "kind":
            do += "; what carries none of the pack's current is no device: tell of it under notes"
        return describe(value), f"one of: {_listed(limit)}", do
    if error.validator == "const":
        return describe(value), _shown(limit), f"write {name}: {_shown(limit)}"
    if error.validator == "uniqueItems":
        twice = next((one for at, one in enumerate(value) if one in value[:at]), None)
        return f"{describe(twice)} twice in the list", "each item once", "take one of them out"
    if error.validator in _LIMITS:
        size, needed, do = _LIMITS[error.validator]
        found = size.format(count=len(value)) if size and value else describe(value)
        found = found.removesuffix("s") if found.startswith("1 ") else found
        if error.validator in ("minItems", "maxItems") and error.schema.get("minItems") == error.schema.get("maxItems"):
            needed = "a list of {limit}"
        return found, needed.format(limit=limit), do.format(name=name, limit=limit)
    if error.validator == "pattern":
        return describe(value), "a text of another form", f"correct {name}"
    if error.validator == "oneOf":
        return f"{describe(value)}, which fits more than one form", "one form only", f"make clear what {name} is"
    return describe(value), "something else", f"correct {name}"


def _near_word(written: str, words: Sequence[str]) -> str | None:
    """Return the word that was surely meant: one letter or so away, or begun alike; longer words are no slip."""
    near = nearest_name(written, words)
    if near is None or near.startswith(written) or written.startswith(near):
        return near
    return near if abs(len(near) - len(written)) <= max(2, len(near) // 3) else None


def _named(path: Sequence[str | int]) -> str:
    """Return how to speak of the value at a path."""
    if not path:
        return "the file"
    if isinstance(path[-1], int):
        return f"item {path[-1] + 1} of {_named(path[:-1])}"
    return path[-1]


_LIMITS = {
    "minimum": ("", "at least {limit}", "correct {name}"),
    "maximum": ("", "at most {limit}", "correct {name}"),
    "exclusiveMinimum": ("", "more than {limit}", "correct {name}"),
    "exclusiveMaximum": ("", "less than {limit}", "correct {name}"),
    "multipleOf": ("", "a multiple of {limit}", "correct {name}"),
    "minLength": ("a text of {count} characters", "at least {limit} characters", "write more than that for {name}"),
    "maxLength": ("a text of {count} characters", "at most {limit} characters", "shorten {name}"),
    "minItems": ("a list of {count}", "a list of at least {limit}", "add what is missing to {name}"),
    "maxItems": ("a list of {count}", "a list of at most {limit}", "take out what is too much in {name}"),
    "minProperties": ("{count} names", "at least {limit}", "add what is missing to {name}, or take it out"),
    "maxProperties": ("{count} names", "at most {limit}", "take out what is too much in {name}"),
}
"""For limits: what was found (where a count says it better), what is needed, what to do."""


def _of_missing(error: Any, path: list[str | int], document: Document) -> Iterator[Problem]:
    """Yield a problem for each name that must be there and is not."""
    properties = error.schema.get("properties", {})
    unknown = [name for name in error.instance if name not in properties]
    for name in error.validator_value:
        if name in error.instance:
            continue
        is_closed = error.schema.get("additionalProperties") is False
        if is_closed and any(nearest_name(one, properties) == name for one in unknown):
            continue  # the misspelt name is reported where it stands
        do = _add_line(name, properties.get(name, {}))
        needed = _with_meaning(f"{name!r}", properties.get(name, {}))
        yield document.problem(path, key=True, found=f"no {name!r}{_inside(path)}", needed=needed, do=do)


def _of_dependent(error: Any, path: list[str | int], document: Document) -> Iterator[Problem]:
    """Yield a problem for each name that another name brings with it and that is not there."""
    properties = error.schema.get("properties", {})
    for present, names in error.validator_value.items():
        for name in names if present in error.instance else ():
            if name not in error.instance:
                found = f"{present!r} without {name!r}{_inside(path)}"
                needed = _with_meaning(f"{name!r} beside it", properties.get(name, {}))
                do = _add_line(name, properties.get(name, {}))
                yield document.problem([*path, present], key=True, found=found, needed=needed, do=do)


def _of_extra(error: Any, path: list[str | int], document: Document) -> Iterator[Problem]:
    """Yield a problem at each name that has no business there."""
    known = [name for name in _known_names(error.schema) if name != "$schema"]  # which is for editors, and may stand
    patterns = error.schema.get("patternProperties", {})
    for name in error.instance:
        if name in _known_names(error.schema) or any(re.search(pattern, name) for pattern in patterns):
            continue
        near = nearest_name(name, known)
        do = f"write {near!r}" if near else "take it out, or write it under notes"
        if near is None and "notes" not in known:
            do = "take it out"
        needed = f"one of: {_listed(known)}" if known else "nothing here"
        found = f"the name {name!r}{_inside(path)}, which packcheck does not know"
        yield document.problem([*path, name], key=True, found=found, needed=needed, do=do)


_NAME_ERRORS: dict[str, Callable[[Any, list[str | int], Document], Iterator[Problem]]] = {
    "required": _of_missing,
    "dependentRequired": _of_dependent,
    "additionalProperties": _of_extra,
    "unevaluatedProperties": _of_extra,
}


def _of_branches(
    error: Any, path: list[str | int], document: Document, seen: set[tuple[Any, ...]]
) -> Iterator[Problem]:
    """Yield what is wrong with the form the writer most likely meant, or the list of all forms when none comes near."""
    branches: dict[int, list[Any]] = {}
    for inner in error.context:
        branches.setdefault(inner.schema_path[0], []).append(inner)
    meant = [inner for inner in branches.values() if not any(_is_of_another_kind(one) for one in inner)]
    if meant:
        best = min(meant, key=lambda inner: (len(inner), -max(len(one.relative_path) for one in inner)))
        for inner in best:
            yield from _problems_of_one(inner, document, seen)
        return
    forms = [_form(branch) for branch in error.validator_value]
    needed = _with_meaning(_either(dict.fromkeys(forms)), error.schema)
    do = _example(error) or "write one of these forms"
    yield document.problem(path, found=describe(error.instance), needed=needed, do=do)


def _is_of_another_kind(error: Any) -> bool:
    """Tell whether an error says that the value as a whole is of another kind than its form asks for."""
    return error.validator in ("type", "enum", "const") and not error.relative_path


def _form(branch: Any) -> str:
    if "enum" in branch:
        return f"one of: {_listed(branch['enum'])}"
    if "const" in branch:
        return _shown(branch["const"])
    return _types(branch["type"]) if "type" in branch else str(branch.get("description", "another form"))


def _known_names(schema: Any) -> list[str]:
    """Return the names a schema speaks of, its own and those of its alternatives."""
    names = list(schema.get("properties", {}))
    for keyword in ("allOf", "anyOf", "oneOf"):
        for branch in schema.get(keyword, ()):
            names += _known_names(branch)
    for keyword in ("if", "then", "else"):
        if isinstance(schema.get(keyword), dict):
            names += _known_names(schema[keyword])
    return list(dict.fromkeys(names))


def _inside(path: Sequence[str | int]) -> str:
    words = (f"item {step + 1}" if isinstance(step, int) else step for step in path)
    return " in " + " / ".join(words) if path else ""


def _with_meaning(needed: str, schema: Any) -> str:
    """Return what is needed, followed by the schema's own description of it."""
    meaning = schema.get("description", "") if isinstance(schema, dict) else ""
    if not meaning:
        return needed
    if meaning[:2].istitle() or meaning[1:2] == " ":
        meaning = meaning[0].lower() + meaning[1:]
    return f"{needed} ({meaning if meaning.endswith('..') else meaning.removesuffix('.')})"


def _example(error: Any) -> str:
    examples = error.schema.get("examples") if isinstance(error.schema, dict) else None
    return f"write, for example, {_shown(examples[0])}" if examples else ""


def _add_line(name: str, schema: Any) -> str:
    examples = schema.get("examples") if isinstance(schema, dict) else None
    return f"add {name}: {_shown(examples[0]) if examples else '...'}"


def _types(names: Any) -> str:
    listed = [names] if isinstance(names, str) else list(names)
    if "number" in listed:
        listed = [name for name in listed if name != "integer"]
    return _either(_TYPE_WORDS[name] for name in listed)


def _either(words: Iterable[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} or {last}" if first else last


def _listed(values: Sequence[Any], empty: str = "nothing") -> str:
    shown = ", ".join(_shown(value) for value in values[:_MOST_NAMES])
    return f"{shown}, ..." if len(values) > _MOST_NAMES else shown or empty


def _shown(value: Any) -> str:
    """Return a value as a person would write it in the file."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(_shown(one) for one in value)}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {_shown(one)}" for name, one in value.items()) + "}"
    return str(value)
