"""What is installed: the rules and layouts are in the wheel, and a checkout is preferred where there is one."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from sources import ROOT, shipped_files

from packcheck import __version__
from packcheck.files.shipped import schema_folder, shipped_folder

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
needs_hatchling = pytest.mark.skipif(
    importlib.util.find_spec("hatchling") is None, reason="hatchling is not installed: no wheel was built"
)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index",
               "--disable-pip-version-check", "--wheel-dir", str(folder), str(ROOT)]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    (path,) = folder.glob("packcheck-*.whl")
    return zipfile.ZipFile(path)


def relative(folder: str) -> set[str]:
    """Return the files below a folder of the checkout."""
    return {path.relative_to(ROOT).as_posix() for path in shipped_files() if path.is_relative_to(ROOT / folder)}


@needs_hatchling
def test_the_wheel_holds_the_package_the_rules_and_the_layouts_and_nothing_else(wheel: zipfile.ZipFile) -> None:
    names = {name for name in wheel.namelist() if ".dist-info/" not in name}
    data = {f"packcheck/_data/{name}" for folder in ("rules", "layouts") for name in relative(folder)}
    assert len(data) >= 150
    assert names == relative("packcheck") | data
    assert {"packcheck/py.typed", "packcheck/schemas/layout.json", "packcheck/schemas/report.json"} <= names


@needs_hatchling
def test_the_wheels_files_are_those_of_the_checkout(wheel: zipfile.ZipFile) -> None:
    for name in relative("rules") | relative("layouts"):
        assert wheel.read(f"packcheck/_data/{name}") == (ROOT / name).read_bytes()


@needs_hatchling
def test_the_wheel_names_its_command_and_needs_only_what_it_uses(wheel: zipfile.ZipFile) -> None:
    (folder,) = {name.split("/")[0] for name in wheel.namelist() if ".dist-info/" in name}
    assert "packcheck = packcheck.app.cli:main" in wheel.read(f"{folder}/entry_points.txt").decode()
    metadata = wheel.read(f"{folder}/METADATA").decode().splitlines()
    needed = [line for line in metadata if line.startswith("Requires-Dist")]
    plain = {line.split()[1].split(">")[0].split("<")[0].lower() for line in needed if "extra ==" not in line}
    assert plain == {"pyyaml", "jsonschema", "referencing", "networkx", "typer"}


@needs_hatchling
def test_installed_it_finds_its_rules_inside_itself(wheel: zipfile.ZipFile, tmp_path: Path) -> None:
    wheel.extractall(tmp_path / "site")
    program = (
        "from packcheck.files.shipped import shipped_folder, schema_folder\n"
        "print(shipped_folder('rules'), shipped_folder('layouts'), schema_folder())"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=tmp_path, env={"PYTHONPATH": str(tmp_path / "site")},
                          capture_output=True, text=True, check=True)  # fmt: skip
    inside = tmp_path / "site" / "packcheck"
    assert done.stdout.split() == [str(inside / "_data/rules"), str(inside / "_data/layouts"), str(inside / "schemas")]


def test_in_a_checkout_the_checkouts_rules_are_used() -> None:
    assert shipped_folder("rules") == ROOT / "rules"
    assert shipped_folder("layouts") == ROOT / "layouts"
    assert schema_folder() == ROOT / "packcheck" / "schemas"


def test_a_pyproject_without_rules_beside_it_is_no_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "pyproject.toml").touch()
    monkeypatch.setattr("packcheck.files.shipped._PACKAGE", tmp_path / "packcheck")
    assert shipped_folder("rules") == tmp_path / "packcheck" / "_data" / "rules"
    (tmp_path / "rules").mkdir()
    assert shipped_folder("rules") == tmp_path / "rules"


def test_the_version_stands_in_one_more_place_only() -> None:
    assert PROJECT["project"]["version"] == __version__
    assert PROJECT["project"]["requires-python"] == ">=3.11"


OPTIONAL = ("cryptography", "openpyxl", "starlette", "uvicorn")
"""What is imported by those functions alone that need it."""


def test_every_import_of_the_package_is_declared() -> None:
    import ast

    from sources import modules, tree_of

    heads = {
        name.split(".")[0]
        for path in modules().values()
        for node in ast.walk(tree_of(path))
        for name in (
            [alias.name for alias in node.names] if isinstance(node, ast.Import)
            else [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        )
    }  # fmt: skip
    outside = heads - set(sys.stdlib_module_names) - {"packcheck"}
    assert outside == {"yaml", "jsonschema", "networkx", "typer", "referencing", *OPTIONAL}
    optional = PROJECT["project"]["optional-dependencies"]
    extras = " ".join([*optional["xlsx"], *optional["bench"], *optional["lesson"]])
    assert all(name in extras for name in OPTIONAL)
