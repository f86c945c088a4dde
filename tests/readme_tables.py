"""The parts of README.md that are generated, and its worked examples.

Run ``python tests/readme_tables.py --write`` to renew the tables and the output shown under every command; a test
compares.  Without ``--write`` it only says whether they are up to date.

A table stands between ``<!-- generated: NAME -->`` and ``<!-- end of NAME -->``.  A fence marked ``yaml`` whose first
line is ``# FILE`` is a file of the examples; a fence marked ``console`` holds commands after ``$ ``, each followed by
what it prints.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
_TABLE = re.compile(r"(<!-- generated: ([\w ]+) -->\n).*?(<!-- end of \2 -->)", re.DOTALL)
_FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_LEAVING = {"cd", "rm", "mv"}


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


def with_fresh_output(text: str) -> str:
    """Return the README with the output of every command of its console fences as it is now."""
    with tempfile.TemporaryDirectory() as folder:
        place = Workplace(Path(folder), text)

        def fresh(found: re.Match[str]) -> str:
            if found[1] != "console":
                return found[0]
            shown = "".join(f"$ {command}\n{place.run(command)}" for command, _ in commands_of(found[2]))
            return f"```console\n{shown}```"

        return _FENCE.sub(fresh, text)


def with_fresh_tables(text: str) -> str:
    """Return the README with its generated tables as they are now."""
    return _TABLE.sub(lambda found: found[1] + "\n".join(TABLES[found[2]]()) + "\n" + found[3], text)


def rule_table() -> Iterator[str]:
    """Yield the table of rules: family by family, as the files lie."""
    from packcheck.facts.tables import table_by_name
    from packcheck.files.shipped import shipped_folder
    from packcheck.rules.library import load_rules

    yield "| rule | family | severity | gate | judges | requires |"
    yield "|---|---|---|---|---|---|"
    for rule in sorted(load_rules([shipped_folder("rules")], table_by_name()), key=lambda r: (r.family, r.name)):
        judges = "layout, record" if rule.judges_layout else "record"
        link = f"[{rule.name}](rules/{rule.family}/{rule.name}.yaml)"
        yield f"| {link} | {rule.family} | {rule.severity.value} | {rule.gate.value} | {judges} | {rule.title} |"


def fact_table() -> Iterator[str]:
    """Yield the table of fact tables, with every column."""
    from packcheck.facts.tables import TABLES as FACT_TABLES

    yield "| table | holds | columns |"
    yield "|---|---|---|"
    for table in FACT_TABLES:
        columns = ", ".join(f"`{column.name}`" for column in table.columns)
        yield f"| `{table.name}` | {table.meaning} | {columns} |"


TABLES = {"rules": rule_table, "facts": fact_table}


def main(arguments: list[str]) -> int:
    """Renew the README, or say whether it is up to date."""
    text = README.read_text(encoding="utf-8")
    fresh = with_fresh_output(with_fresh_tables(text))
    if fresh == text:
        print("README.md is up to date")
        return 0
    if "--write" in arguments:
        README.write_text(fresh, encoding="utf-8")
        print("README.md renewed: read the difference before you keep it")
        return 0
    print("README.md is out of date: python tests/readme_tables.py --write")
    return 1


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    sys.exit(main(sys.argv[1:]))
