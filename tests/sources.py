"""What tests of the tree share: the package's modules and imports, its public functions, and the files that ship."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "packcheck"
_ROW = re.compile(r"^\| (\d+) \| `([\w/]+)` \| (.+) \|$", re.MULTILINE)


def layer_table(text: str) -> list[tuple[int, str, str]]:
    """Return the rows of a layer table: layer, room, job."""
    return [(int(layer), room, job) for layer, room, job in _ROW.findall(text)]


@cache
def modules() -> dict[str, Path]:
    """Return every module of the package by its name below it: ``facts/store``, ``pack/__init__``."""
    return {path.relative_to(PACKAGE).with_suffix("").as_posix(): path for path in sorted(PACKAGE.rglob("*.py"))}


@cache
def tree_of(path: Path) -> ast.Module:
    """Return a file's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def room_of(module: str, rooms: frozenset[str]) -> str | None:
    """Return the room a module lies in: its own row of the layer table, or its package's."""
    if module in rooms:
        return module
    if module == "__main__":
        return "app"
    head, slash, _ = module.partition("/")
    return head if slash and head in rooms else None


def imports_of(tree: ast.AST, known: frozenset[str]) -> Iterator[tuple[int, str]]:
    """Yield line and module of every import of the package, wherever it stands; a name of a package is its module."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, _module(alias.name, known)) for alias in node.names if _is_ours(alias.name))
        elif isinstance(node, ast.ImportFrom) and node.level:
            raise AssertionError(f"line {node.lineno}: a relative import")
        elif isinstance(node, ast.ImportFrom) and _is_ours(node.module or ""):
            for alias in node.names:
                below = _module(f"{node.module}.{alias.name}", known, "")
                yield node.lineno, below or _module(node.module or "", known)


def _is_ours(dotted: str) -> bool:
    return dotted.split(".")[0] == "packcheck"


def _module(dotted: str, known: frozenset[str], otherwise: str | None = None) -> str:
    name = "/".join(dotted.split(".")[1:])
    for candidate in (name, f"{name}/__init__" if name else "__init__"):
        if candidate in known:
            return candidate
    if otherwise is None:
        raise AssertionError(f"{dotted} is imported, and there is no such module")
    return otherwise


def public_functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Yield the public functions of a module and the public methods of its public classes."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, node
        elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                    yield f"{node.name}.{inner.name}", inner


def arguments_of(function: ast.FunctionDef) -> list[ast.arg]:
    """Return a function's arguments in order, ``self`` left out."""
    arguments = function.args
    every = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
    return [argument for argument in every if argument.arg not in ("self", "cls")]


def shipped_files() -> list[Path]:
    """Return every file of the tree that belongs to the project: what git would take, or all but caches without git."""
    skipped = {"__pycache__", "build", "dist", "node_modules"}
    return [
        path
        for path in sorted(ROOT.rglob("*"))
        if path.is_file() and not any(_is_cache(part, skipped) for part in path.relative_to(ROOT).parts)
    ]


def _is_cache(part: str, skipped: set[str]) -> bool:
    return part in skipped or part.endswith(".egg-info") or (part.startswith(".") and part not in (".ci", ".gitignore"))
