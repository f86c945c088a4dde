"""The promises of DEVELOPERS.md about the code itself: layers, sizes, docstrings, words."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from sources import (
    PACKAGE,
    ROOT,
    arguments_of,
    imports_of,
    layer_table,
    modules,
    public_functions,
    room_of,
    shipped_files,
    tree_of,
)

DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TABLE = layer_table(DEVELOPERS)
LAYER = {room: layer for layer, room, _ in TABLE}
ROOMS = frozenset(LAYER)
KNOWN = frozenset(modules())

LONGEST_MODULE = 300
LONGER_MODULES: dict[str, str] = {}
LONGEST_FUNCTION = 50
LONGER_FUNCTIONS = {
    "files/document/building.build": "the machine that turns parser events into data: one state, one place",
    "facts/of_conductors._planned_conductor": "one row of facts, a column a line",
    "facts/of_joints._joint_row": "one row of facts, a column a line",
    "facts/of_modules._module_row": "one row of facts, a column a line",
}
HEAVY = (
    "openpyxl",
    "networkx",
    "jsonschema",
    "numpy",
    "scipy",
    "sqlite3",
    "yaml",
    "rich",
    "packcheck.judging.judge",
    "packcheck.network.graph",
)

UNITS = {
    "_v": ("V",), "_kv": ("kV",), "_a": ("A",), "_ohm": ("ohm", "Ω"), "_n_m": ("N·m",), "_n": ("N",), "_mpa": ("MPa",),
    "_mm": ("mm",), "_mm2": ("mm²",), "_cm": ("cm",), "_m": ("m",), "_w": ("W",), "_h": ("h",), "_s": ("s",),
    "_ah": ("Ah",), "_g": ("g",), "_cal": ("cal",), "_cal_cm2": ("cal/cm²",),
}  # fmt: skip
"""The endings of names of physical numbers, and the signs under which a docstring may name their unit."""
PURE_NUMBERS = frozenset({"torque_factor", "thread_friction", "altitude_factor"})
"""Physical numbers without a unit."""

# -- layers ----------------------------------------------------------------------------------------------------------


def upward(room: str, other: str, layer: dict[str, int]) -> bool:
    """Return whether an import of ``other`` by ``room`` is not allowed."""
    return room != other and layer[other] >= layer[room]


def rooms_in_use() -> set[str]:
    return {room for module in KNOWN for room in [room_of(module, ROOMS)] if room}


def test_every_row_of_the_layer_table_is_a_room_and_names_its_job() -> None:
    assert len(TABLE) == 16
    assert {layer for layer, _, _ in TABLE} == set(range(8)), "at most eight floors"
    assert [layer for layer, _, _ in TABLE] == sorted(layer for layer, _, _ in TABLE)
    assert [room for room, count in Counter(room for _, room, _ in TABLE).items() if count > 1] == []
    assert ROOMS - rooms_in_use() == set(), "a row that no module is in"
    assert all(len(job) > 10 for _, _, job in TABLE)


def test_every_module_lies_in_a_room() -> None:
    assert [module for module in KNOWN if room_of(module, ROOMS) is None] == []


@pytest.mark.parametrize("module", sorted(KNOWN))
def test_imports_go_downwards(module: str) -> None:
    room = room_of(module, ROOMS)
    assert room is not None
    wrong = [
        f"packcheck/{module}.py:{line} imports {other}, a room of layer {LAYER[seen]}, into layer {LAYER[room]}"
        for line, other in imports_of(tree_of(modules()[module]), KNOWN)
        for seen in [room_of(other, ROOMS) or ""]
        if upward(room, seen, LAYER)
    ]
    assert wrong == []


def test_an_upward_and_a_sideways_import_would_be_seen() -> None:
    tree = ast.parse("def f():\n    from packcheck.judging import judge\n    import packcheck.facts.store\n")
    assert sorted(imports_of(tree, KNOWN)) == [(2, "judging/judge"), (3, "facts/store")]
    assert upward("network", "judging", LAYER)
    assert upward("model", "rules", LAYER)
    assert not upward("judging", "network", LAYER)
    assert not upward("facts", "facts", LAYER)
    with pytest.raises(AssertionError):
        list(imports_of(ast.parse("from . import judge"), KNOWN))


def test_no_modules_import_each_other_in_a_ring() -> None:
    beneath = {module: {other for _, other in imports_of(tree_of(path), KNOWN)} for module, path in modules().items()}
    for module in beneath:
        if module.endswith("__init__"):
            continue
        seen: set[str] = set()
        waiting = set(beneath[module])
        while waiting:
            seen.add(other := waiting.pop())
            waiting |= beneath[other] - seen
        assert module not in seen, f"{module} imports itself by way of others"


@pytest.mark.parametrize("heavy", HEAVY)
def test_the_command_line_starts_without(heavy: str) -> None:
    program = f"import sys, packcheck.app.cli; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0


# -- sizes -----------------------------------------------------------------------------------------------------------


def test_no_module_has_grown_past_one_idea() -> None:
    lines = {module: len(path.read_text(encoding="utf-8").splitlines()) for module, path in modules().items()}
    assert {module for module, count in lines.items() if count > LONGEST_MODULE} == set(LONGER_MODULES)


def test_no_function_is_longer_than_a_screen() -> None:
    long = {
        f"{module}.{node.name}"
        for module, path in modules().items()
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.FunctionDef)
        for length in [(node.end_lineno or 0) - node.lineno + 1 - _docstring_lines(node)]
        if length > LONGEST_FUNCTION
    }
    assert long == set(LONGER_FUNCTIONS)


def _docstring_lines(function: ast.FunctionDef) -> int:
    return len((ast.get_docstring(function, clean=False) or "").splitlines())


# -- docstrings ------------------------------------------------------------------------------------------------------


@cache
def documented() -> tuple[tuple[str, ast.FunctionDef, str], ...]:
    """Return every public function with its place and its docstring."""
    return tuple(
        (f"{module}.{name}", function, ast.get_docstring(function) or "")
        for module, path in modules().items()
        for name, function in public_functions(tree_of(path))
    )


def parameters_in(docstring: str) -> list[str] | None:
    """Return the names under the heading Parameters, in order; None without such a heading."""
    section = re.search(r"^Parameters\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", docstring, re.DOTALL | re.MULTILINE)
    if section is None:
        return None
    return [
        name.strip() for line in re.findall(r"^(\S[^:\n]*?) :", section[1], re.MULTILINE) for name in line.split(",")
    ]


def ending(name: str) -> str | None:
    """Return the unit ending of a name."""
    return max((end for end in UNITS if name.endswith(end)), key=len, default=None)


def names_unit(docstring: str, end: str) -> bool:
    """Return whether a docstring names the unit of an ending in brackets: ``[V]``, ``[V, Ω]``."""
    listed = {sign.strip() for signs in re.findall(r"\[([^\]\n]+)\]", docstring) for sign in signs.split(",")}
    return bool(listed & set(UNITS[end]))


def is_number(annotation: ast.expr | None) -> bool:
    return annotation is not None and bool(re.fullmatch(r"float( \| None)?", ast.unparse(annotation)))


def numbers_of(function: ast.FunctionDef) -> Iterator[str]:
    """Yield the name of every float that a function takes, and its own when it returns one."""
    yield from (argument.arg for argument in arguments_of(function) if is_number(argument.annotation))
    if is_number(function.returns):
        yield function.name


def test_every_public_function_says_what_it_does() -> None:
    assert len(documented()) >= 400
    assert [place for place, _, docstring in documented() if not docstring] == []


def test_parameter_sections_match_the_signature() -> None:
    sections = [(place, parameters_in(doc), [a.arg for a in arguments_of(f)]) for place, f, doc in documented()]
    assert sum(named is not None for _, named, _ in sections) >= 15
    assert [(place, named) for place, named, taken in sections if named is not None and named != taken] == []


def test_every_physical_number_names_its_unit() -> None:
    numbers = [
        (place, name, doc) for place, function, doc in documented() if place.startswith(("physics/", "network/"))
        for name in numbers_of(function)
    ]  # fmt: skip
    assert len(numbers) >= 55
    bare = [(place, name) for place, name, doc in numbers
            if ending(name) is None and name not in PURE_NUMBERS and "[" not in doc]  # fmt: skip
    assert bare == []
    unnamed = [(place, name) for place, name, doc in numbers if (end := ending(name)) and not names_unit(doc, end)]
    assert unnamed == []


def test_what_returns_a_quantity_names_its_unit() -> None:
    quantities = [(place, ending(f.name), doc) for place, f, doc in documented() if is_number(f.returns)]
    assert sum(end is not None for _, end, _ in quantities) >= 30
    assert [place for place, end, doc in quantities if end and not names_unit(doc, end)] == []
    unknown = [
        place
        for place, end, doc in quantities
        if end is None and place.rpartition(".")[2] not in PURE_NUMBERS and "[" not in doc and "unit" not in doc
    ]
    assert unknown == ["files/fields.as_float"]


def test_the_checks_of_docstrings_can_fail() -> None:
    section = "Parameters\n----------\na, b : one [V]\nc : two\n\nReturns\n-------\nd : x"
    assert parameters_in(f"Do.\n\n{section}") == ["a", "b", "c"]
    assert parameters_in("Do.") is None
    assert ending("rest_v") == "_v"
    assert ending("torque_n_m") == "_n_m"
    assert ending("name") is None
    assert names_unit("of a source [V, Ω]", "_ohm")
    assert not names_unit("of a source [V]", "_ohm")


# -- words -----------------------------------------------------------------------------------------------------------

FORBIDDEN = re.compile(r"\b(safe|safely|safety|unsafe)\b", re.IGNORECASE)
"""Words that promise what no check can."""
SPEAKS_OF_WORDS = {"tests/test_rules_shipped.py", "tests/test_architecture.py", "tests/test_exposure_output.py"}
"""Files that list words in order to refuse them."""
REFUSED_VALUES = {"tests/test_json_report.py": ['{"verdict": "safe"}']}
TEXT = {".py", ".md", ".yaml", ".json", ".toml", ".txt", ""}


def forbidden_in(name: str, text: str) -> list[str]:
    """Return the forbidden words of a file, with their lines."""
    for refused in REFUSED_VALUES.get(name, []):
        text = text.replace(refused, "")
    return [f"{name}:{number} {found[0]!r}" for number, line in enumerate(text.splitlines(), 1)
            for found in FORBIDDEN.finditer(line)]  # fmt: skip


def test_no_forbidden_word_stands_in_any_file() -> None:
    files = {path.relative_to(ROOT).as_posix(): path for path in shipped_files() if path.suffix in TEXT}
    assert len(files) >= 200
    assert {"README.md", "DEVELOPERS.md", ".ci/run", "rules/polarity/module-reversed.yaml"} <= set(files)
    found = [word for name, path in files.items() if name not in SPEAKS_OF_WORDS
             for word in forbidden_in(name, path.read_text(encoding="utf-8", errors="replace"))]  # fmt: skip
    assert found == []


@pytest.mark.parametrize("text", ["it is Safe now", "for safety", "unsafe"])
def test_a_forbidden_word_would_be_seen(text: str) -> None:
    assert len(forbidden_in("x.md", f"first line\n{text}\n")) == 1
    assert forbidden_in("x.md", "a safeguard") == []


# -- the other promises of DEVELOPERS.md -----------------------------------------------------------------------------


def test_every_path_that_developers_are_sent_to_exists() -> None:
    paths = set(re.findall(r"`((?:tests|packcheck|rules|layouts)/[\w./-]*)`", DEVELOPERS))
    assert len(paths) >= 10
    assert [path for path in paths if not (ROOT / path).exists()] == []


def test_every_unit_ending_stands_under_words() -> None:
    words = DEVELOPERS.partition("## Words")[2].partition("\n## ")[0]
    used = {end for _, function, _ in documented() for name in numbers_of(function) if (end := ending(name))}
    rare = {"_cal", "_cal_cm2", "_cm", "_m", "_s", "_kv"}
    assert len(used - rare) >= 10
    assert {end for end in used - rare if f"`{end}`" not in words} == set()


def test_the_top_level_holds_what_it_should() -> None:
    visible = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    kept = {"README.md", "DEVELOPERS.md", "pyproject.toml", "rules", "packcheck", "tests", "layouts"}
    assert kept <= visible
    assert {name for name in visible - kept - {"build", "dist"} if not name.endswith(".egg-info")} == set()


def test_every_test_module_is_collected_once() -> None:
    names = [path.name for path in Path(ROOT / "tests").rglob("*.py") if path.name.startswith("test_")]
    assert [name for name, count in Counter(names).items() if count > 1] == []
    assert len(names) >= 30
    assert (PACKAGE / "py.typed").is_file()


# -- sources ---------------------------------------------------------------------------------------------------------


def test_what_is_recalled_or_copied_from_a_reprint_is_not_called_validation() -> None:
    tests = sorted((ROOT / "tests" / "validation").glob("test_*.py"))
    assert len(tests) >= 10
    second_hand = [file.name for file in tests if re.search("memory|reprint|as quoted", file.read_text("utf-8"))]
    assert second_hand == []
