"""What fits a schema at first sight is what jsonschema, which shares no code with it, finds nothing wrong with."""

from __future__ import annotations

import copy
import random
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from packcheck.files.document import parse_document
from packcheck.files.schema import load_schema
from packcheck.files.schema.fitting import Fitting

LAYOUTS = Path("layouts")
OUR_OWN = frozenset({"quantity"})
STRANGE = (
    None,
    True,
    False,
    0,
    1,
    -1,
    7,
    Decimal("0.5"),
    "",
    "x",
    "P01",
    "M5",
    [],
    ["a"],
    ["a", "a"],
    [1],
    {},
    {"x": 1},
)

names = st.sampled_from(["a", "b", "c"])
scalars = st.one_of(
    st.none(), st.booleans(), st.integers(-2, 3), st.decimals("0.1", "2.5", places=1), names, st.just("")
)
values = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(names, inner, max_size=3)),
    max_leaves=8,
)
kinds = st.sampled_from(["object", "array", "string", "integer", "number", "boolean", "null"])
few = st.integers(0, 2)
parts = st.sampled_from([True, False, {"type": "string"}, {"required": ["a"]}, {"not": {"type": "array"}}])


def schemas(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Return schemas of every keyword that ours may hold, and of some that none does yet."""
    return st.fixed_dictionaries(
        {},
        optional={
            "type": st.one_of(kinds, st.lists(kinds, min_size=1, max_size=3, unique=True)),
            "const": scalars, "enum": st.lists(scalars, min_size=1, max_size=3), "$ref": st.just("#/$defs/part"),
            "properties": st.dictionaries(names, inner, max_size=2), "additionalProperties": inner, "items": inner,
            "patternProperties": st.dictionaries(names, inner, max_size=1), "prefixItems": st.lists(inner, max_size=1),
            "required": st.lists(names, max_size=2, unique=True), "anyOf": st.lists(inner, min_size=1, max_size=2),
            "allOf": st.lists(inner, min_size=1, max_size=2), "not": inner, "propertyNames": inner,
            "minProperties": few, "maxProperties": few, "minItems": few, "maxItems": few, "minLength": few,
            "maxLength": few, "uniqueItems": st.just(True), "pattern": st.sampled_from(["^a", "b$"]), "minimum": few,
            "maximum": few, "description": names,
        },
    )  # fmt: skip


@settings(max_examples=400, deadline=None)
@given(st.recursive(st.booleans(), schemas, max_leaves=6), parts, values)
def test_what_fits_is_valid(schema: Any, part: Any, value: Any) -> None:
    whole = {**(schema if isinstance(schema, dict) else {"anyOf": [schema]}), "$defs": {"part": part}}
    if Fitting(whole).fits(value, whole):
        assert Draft202012Validator(whole).is_valid(value)


def places_of(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, held in inside for place in places_of(held, (*path, key)))]


def put(root: Any, place: tuple[Any, ...], value: Any) -> Any:
    if not place:
        return value
    changed = copy.deepcopy(root)
    here = changed
    for step in place[:-1]:
        here = here[step]
    here[place[-1]] = value
    return changed


def plain(value: Any) -> Any:
    """Return a document without its marks."""
    if isinstance(value, dict):
        return {key: plain(held) for key, held in value.items()}
    return [plain(item) for item in value] if isinstance(value, list) else value


@pytest.mark.parametrize("file", ["plover-16", "heron-2x15"])
@pytest.mark.parametrize("kind", ["layout", "record"])
def test_one_value_otherwise_fits_just_when_it_is_valid(kind: str, file: str) -> None:
    folder = LAYOUTS / file
    clean = next(path for path in sorted(folder.glob("clean-*.yaml")) if "expect" not in path.name)
    path = clean if kind == "record" else folder / f"{file}.yaml"
    root = plain(parse_document(path.read_bytes(), path.name).root)
    schema = load_schema(kind)
    fitting, validator = Fitting(schema, OUR_OWN), Draft202012Validator(schema)
    draw = random.Random(7)
    outcomes = {True: 0, False: 0}
    assert fitting.fits(root, schema)
    places = places_of(root)
    outer = [place for place in places if len(place) < 3]
    for place in (*draw.sample(outer, min(40, len(outer))), *draw.sample(places, 20)):
        for strange in draw.sample(STRANGE, 3):
            changed = put(root, place, strange)
            fits = fitting.fits(changed, schema)
            assert fits == validator.is_valid(changed), (place, strange)
            outcomes[fits] += 1
    assert min(outcomes.values()) > 10


def test_clean_record_is_checked_without_the_whole_validator() -> None:
    program = (
        "import sys; from packcheck.app.cli import run; run(['check', 'layouts/skerry-24/clean-sk-0417.yaml']);"
        "sys.exit(', '.join({'jsonschema', 'networkx', 'sqlite3', 'numpy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.stderr.strip() == ""
