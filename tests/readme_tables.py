"""The parts of the pages that are generated, their worked examples, and the pictures they show.

Run ``python tests/readme_tables.py --write`` to renew tables, pictures and the output shown under every command; a test
compares.  Without ``--write`` it only says whether they are up to date.

A table stands between ``<!-- generated: NAME -->`` and ``<!-- end of NAME -->``.  A fence marked ``yaml`` whose first
line is ``# FILE`` is a file of the examples; a fence marked ``console`` holds commands after ``$ ``, each followed by
what it prints.  A command may use the example files of every page.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
README, LAYOUTS, RULES = ROOT / "README.md", ROOT / "layouts" / "README.md", ROOT / "rules" / "README.md"
PAGES = (README, LAYOUTS, RULES)
PICTURES = {"layouts/misplaced-bar.svg": "layouts/skerry-24/sk-0424-bench-1.yaml"}
"""The pictures that pages show, each with the file that ``packcheck draw`` makes it of."""
LONGEST_EXAMPLE = 64
_TABLE = re.compile(r"(<!-- generated: ([\w ]+) -->\n).*?(<!-- end of \2 -->)", re.DOTALL)
_FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_LEAVING = {"cd", "rm", "mv"}


def texts() -> dict[Path, str]:
    """Return the pages as they stand."""
    return {page: page.read_text(encoding="utf-8") for page in PAGES}


def fences(text: str, kind: str) -> list[str]:
    """Return the contents of the fences of one kind, in order."""
    return [body for name, body in _FENCE.findall(text) if name == kind]


def example_files(text: str) -> dict[str, str]:
    """Return the files that the examples use, by name: fences of YAML that begin with a line ``# FILE``."""
    named = (re.match(r"# ([\w./-]+\.yaml)\n", body) for body in fences(text, "yaml"))
    return {found[1]: found.string for found in named if found}


def commands_of(console: str) -> list[tuple[str, str]]:
    """Return the commands of a console fence, each with the output shown under it."""
    parts = re.split(r"^\$ (.+)\n", console, flags=re.MULTILINE)
    assert not parts[0].strip(), f"text before the first command: {parts[0]!r}"
    return list(zip(parts[1::2], parts[2::2], strict=True))


class Workplace:
    """A folder like a checkout, with the files of the examples in it and ``packcheck`` on the path."""

    def __init__(self, folder: Path, text: str) -> None:
        self.folder = folder
        for name in ("layouts", "rules"):
            (folder / name).symlink_to(ROOT / name, target_is_directory=True)
        for name, body in example_files(text).items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(body, encoding="utf-8")
        tools = folder / "tools-for-the-examples"
        tools.mkdir()
        for name, module in (("packcheck", "-m packcheck "), ("python", "")):
            tool = tools / name
            tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" {module}"$@"\n', encoding="utf-8")
            tool.chmod(0o755)
        self._environment = {**os.environ, "PATH": f"{tools}:{os.environ['PATH']}", "PYTHONPATH": str(ROOT),
                             "PYTHONIOENCODING": "utf-8", "LC_ALL": "C.UTF-8", "COLUMNS": "80"}  # fmt: skip

    def run(self, command: str) -> str:
        """Return what a command prints, errors included."""
        assert command.split()[0] not in _LEAVING
        done = subprocess.run(["bash", "-c", command], cwd=self.folder, env=self._environment, text=True,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False, timeout=120)  # fmt: skip
        return "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n" if done.stdout else ""


def with_fresh_output(pages: Mapping[Path, str]) -> dict[Path, str]:
    """Return the pages with the output of every command of their console fences as it is now."""
    with tempfile.TemporaryDirectory() as folder:
        place = Workplace(Path(folder), "\n".join(pages.values()))

        def fresh(found: re.Match[str]) -> str:
            if found[1] != "console":
                return found[0]
            shown = "".join(f"$ {command}\n{place.run(command)}" for command, _ in commands_of(found[2]))
            return f"```console\n{shown}```"

        return {page: _FENCE.sub(fresh, text) for page, text in pages.items()}


def with_fresh_tables(text: str) -> str:
    """Return a page with its generated tables as they are now."""
    return _TABLE.sub(lambda found: found[1] + "\n".join(TABLES[found[2]]()) + "\n" + found[3], text)


def fresh_picture(file: str) -> bytes:
    """Return the drawing of a file as it is now."""
    with tempfile.TemporaryDirectory() as folder:
        drawn = Path(folder) / "drawn.svg"
        command = [sys.executable, "-m", "packcheck", "draw", file, "--output", str(drawn)]
        subprocess.run(command, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, check=False)
        return drawn.read_bytes()


def rule_table() -> Iterator[str]:
    """Yield the table of rules: family by family, as the files lie."""
    from packcheck.facts.tables import table_by_name
    from packcheck.files.shipped import shipped_folder
    from packcheck.rules.library import load_rules

    yield "| rule | family | severity | gate | judges | requires |"
    yield "|---|---|---|---|---|---|"
    for rule in sorted(load_rules([shipped_folder("rules")], table_by_name()), key=lambda r: (r.family, r.name)):
        judges = "layout, record" if rule.judges_layout else "record"
        link = f"[{rule.name}]({rule.family}/{rule.name}.yaml)"
        yield f"| {link} | {rule.family} | {rule.severity.value} | {rule.gate.value} | {judges} | {rule.title} |"


def fact_table() -> Iterator[str]:
    """Yield the table of fact tables, with every column."""
    from packcheck.facts.tables import TABLES as FACT_TABLES

    yield "| table | holds | columns |"
    yield "|---|---|---|"
    for table in FACT_TABLES:
        columns = ", ".join(f"`{column.name}`" for column in table.columns)
        yield f"| `{table.name}` | {table.meaning} | {columns} |"


def key_table(kind: str) -> Iterator[str]:
    """Yield the table of all keys that a schema knows: path, meaning, an example from the schema or a shipped file."""
    schema = json.loads((ROOT / "packcheck" / "schemas" / f"{kind}.json").read_text(encoding="utf-8"))
    shipped = _shipped(kind)
    yield "| key | means | example |"
    yield "|---|---|---|"
    shown = set()
    for path, part in keys_of(schema, schema.get("$defs", {})):
        if len(path) > 1 and path[1] in ("columns", "taken"):
            path = ("TABLE", *path[1:])
        if path in shown:
            continue
        shown.add(path)
        example = next(_examples(path, part, shipped), None)
        means = str(part.get("description", "")).replace("|", "\\|").removesuffix(".")
        yield f"| `{' / '.join(path)}` | {means} | `{_short(example)}` |"


MUST = {"alike": "alike at all points", "apart": "different at each", "its own name": "the one that was touched"}


def test_table() -> Iterator[str]:
    """Yield the table of the kinds of test: of what, what must be found, with what, by which gate."""
    from packcheck.model.pack.kinds_of_test import KINDS_OF_TEST

    yield "| kind | of | must be | with | under | gate |"
    yield "|---|---|---|---|---|---|"
    for kind in KINDS_OF_TEST.values():
        spread = f"at most {kind.spread} apart" if kind.spread else ""
        reckoned = f"reckoned, within {kind.tolerance}" if kind.tolerance else "reckoned" if kind.curve else ""
        said = kind.limit or (kind.words[0] if kind.words and not kind.curve else "") or reckoned or spread
        must = said or MUST.get(kind.expects, MUST.get(kind.answers, "limit to be written"))
        under = kind.under or (kind.condition.words if kind.condition else "")
        of = ", ".join(kind.of) or "names of your own"
        yield f"| `{kind.name}` | {of} | {must} | {kind.instrument} | {under} | {kind.gate} |"


def column_table() -> Iterator[str]:
    """Yield the table of the tables of a record: the columns each may have, and the words that a row may be."""
    from packcheck.model.record import sheets

    yield "| table | columns | a row may also be |"
    yield "|---|---|---|"
    for sheet in (sheet for sheet in vars(sheets).values() if isinstance(sheet, sheets.Sheet)):
        columns = ", ".join(f"`{name}`{_holds(cell)}" for name, cell in sheet.columns.items())
        yield f"| `{sheet.section}` | {columns} | {', '.join(f'`{word}`' for word in sheet.words)} |"


def _holds(cell: Any) -> str:
    """Return what a column may hold, in brackets."""
    if cell.dimension:
        also = f" or {cell.or_else.words}" if cell.or_else else ""
        return f" ({cell.dimension.words}{also})"
    if cell.words:
        return f" ({', '.join(cell.words)})"
    return " (a number)" if cell.count else " (places)" if cell.nodes else ""


def _examples(path: tuple[str, ...], part: Mapping[str, Any], shipped: Sequence[Any]) -> Iterator[Any]:
    """Yield examples of a key: those of its schema, those of shipped files, one of the words that it may be."""
    yield from part.get("examples", ())
    yield from (found for document in shipped for found in _at(document, path))
    yield from part.get("enum", ())
    yield from ([part["const"]] if "const" in part else [])
    yield from ([True] if part.get("type") == "boolean" else [])
    if path[0] == "leads":
        yield from (found for document in shipped for found in _at(document, ("bars", *path[1:])))


def keys_of(
    schema: Mapping[str, Any], defs: Mapping[str, Any], path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], Mapping[str, Any]]]:
    """Yield every key of a schema with its path; ``NAME`` stands for a name of the writer's own."""
    seen = dict.fromkeys(schema.get("properties", {}))
    for key in seen:
        part = schema["properties"][key]
        if "$ref" in part:
            part = {**defs[part["$ref"].rpartition("/")[2]], **part}
        yield (*path, key), part
        yield from keys_of(part, defs, (*path, key))
    for branch in (b for word in ("oneOf", "anyOf", "allOf") for b in schema.get(word, ())):
        yield from (found for found in keys_of(branch, defs, path) if found[0][-1] not in seen)
    for more in (schema.get("additionalProperties"), schema.get("items")):
        if isinstance(more, dict):
            yield from keys_of(more, defs, (*path, "NAME") if more is schema.get("additionalProperties") else path)


@cache
def _shipped(kind: str) -> tuple[Any, ...]:
    """Return the shipped files of a kind, as data."""
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    folders = (ROOT / "layouts", ROOT / "tests" / "demonstration")
    files = [f for folder in folders for f in sorted(folder.rglob("*.yaml"))
             if not f.stem.endswith(".expect") and "lessons" not in f.parts]  # fmt: skip
    documents = [yaml.load(file.read_text(encoding="utf-8"), loader) for file in files]
    return tuple(document for document in documents if document.get(kind) == 1)


def _at(value: Any, path: tuple[str, ...]) -> Iterator[Any]:
    """Yield what stands at a path, in each item of a list and under each name where the path says NAME."""
    if not path:
        yield value
    elif isinstance(value, list):
        for item in value:
            yield from _at(item, path)
    elif isinstance(value, dict):
        names = list(value) if path[0] in ("NAME", "TABLE") else [path[0]] if path[0] in value else []
        for name in names:
            yield from _at(value[name], path[1:])


def _short(example: Any) -> str:
    import yaml

    if example is None:
        return ""
    text = yaml.safe_dump(example, default_flow_style=True, allow_unicode=True, width=10_000, sort_keys=False)
    text = " ".join(text.replace("\n...", "").split()).replace("|", "\\|")
    return text if len(text) <= LONGEST_EXAMPLE else text[: LONGEST_EXAMPLE - 4] + " ..."


TABLES = {
    "kinds of test": test_table,
    "rules": rule_table,
    "facts": fact_table,
    "layout keys": lambda: key_table("layout"),
    "record columns": column_table,
    "record keys": lambda: key_table("record"),
    "profile keys": lambda: key_table("profile"),
}


def main(arguments: list[str]) -> int:
    """Renew the pages, or say whether they are up to date."""
    write, late = "--write" in arguments, []
    for name, file in PICTURES.items():
        picture, fresh = ROOT / name, fresh_picture(file)
        if not picture.is_file() or picture.read_bytes() != fresh:
            late.append(name)
            if write:
                picture.parent.mkdir(exist_ok=True)
                picture.write_bytes(fresh)
    pages = texts()
    for page, fresh_text in with_fresh_output({page: with_fresh_tables(text) for page, text in pages.items()}).items():
        if fresh_text != pages[page]:
            late.append(str(page.relative_to(ROOT)))
            if write:
                page.write_text(fresh_text, encoding="utf-8")
    if not late:
        print("every page is up to date")
    elif write:
        print(f"renewed: {', '.join(late)}; read the difference before you keep it")
    else:
        print(f"out of date: {', '.join(late)}; python tests/readme_tables.py --write")
    return 0 if write or not late else 1


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    sys.exit(main(sys.argv[1:]))
