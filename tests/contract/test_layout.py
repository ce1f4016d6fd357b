"""The tree keeps the shape that DEVELOPERS.md describes."""

import ast
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.sources import ROOT, modules

TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "service",
    "schemas",
    "tests",
    "docker",
    "fixtures",
}
MADE_BY_TOOLS = {"baywright.egg-info", "out"}
ENGINE = modules("service/engine")


def test_top_level_holds_these_and_dot_files_alone() -> None:
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - MADE_BY_TOOLS == TOP_LEVEL


def test_every_init_file_is_empty() -> None:
    inits = [path for path in modules("service", "schemas") if path.name == "__init__.py"]
    assert inits
    assert [path for path in inits if path.read_bytes()] == []


def test_every_package_has_its_init_file() -> None:
    folders = {path.parent for path in modules("service", "schemas")}
    # Migrations are scripts that alembic reads by their path: their names are no module's.
    folders.remove(ROOT / "service" / "store" / "migrations" / "versions")
    assert [folder for folder in sorted(folders) if not (folder / "__init__.py").exists()] == []


def test_tests_have_no_init_file() -> None:
    assert [path for path in modules("tests") if path.name == "__init__.py"] == []


def test_tests_lie_at_the_path_of_their_source() -> None:
    tests = [path for path in modules("tests/service", "tests/schemas") if path.name.startswith("test_")]
    assert [path for path in tests if not _source_of(path).exists()] == []


def _source_of(test: Path) -> Path:
    return ROOT / test.relative_to(ROOT / "tests").with_name(test.name.removeprefix("test_"))


def test_every_module_has_its_test() -> None:
    sources = {
        path.relative_to(ROOT).as_posix(): ROOT / "tests" / path.relative_to(ROOT)
        for path in modules("service", "schemas")
        if path.name != "__init__.py" and "migrations" not in path.parts
    }
    without = {name for name, path in sources.items() if not path.with_name(f"test_{path.name}").exists()}
    assert without == set(), "a module has no test at its path"


@pytest.mark.parametrize("path", ENGINE, ids=lambda path: path.stem)
def test_engine_imports_only_the_standard_library_and_its_own_project(path: Path) -> None:
    imported = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            imported.update(alias.name.split(".")[0] for alias in node.names)
        if isinstance(node, ast.ImportFrom):
            imported.add((node.module or "").split(".")[0])
    assert imported - sys.stdlib_module_names <= {"service"}


def test_imports_go_one_way() -> None:
    command = [Path(sys.executable).with_name("lint-imports"), "--no-cache", "--no-logo"]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.parametrize("script", ["docker/dev", ".ci/run"])
def test_scripts_can_be_run(script: str) -> None:
    assert os.access(ROOT / script, os.X_OK)


def test_the_tree_for_contributors_names_every_package() -> None:
    tree = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("```")[1]
    packages = {
        path.parent.relative_to(ROOT) for path in modules("service", "schemas") if path.stem == "__init__"
    }
    assert [path for path in sorted(packages) if f"{path.name}/" not in tree] == []
    named = re.findall(r"^ *([a-z_]+(?:/[a-z_]+)*)/ ", tree, re.MULTILINE)
    there = {path.name for path in ROOT.rglob("*") if path.is_dir()}
    assert len(named) > 20
    assert [name for name in named if name.split("/")[-1] not in there] == []


def test_every_module_that_contributors_are_sent_to_is_there() -> None:
    """A name of a module, or the end of its path, anywhere in what stands between backticks."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("```", 2)[2]
    named = {name for code in re.findall(r"`([^`\n]+)`", text) for name in re.findall(r"[\w/]+\.py\b", code)}
    there = [f"/{path.relative_to(ROOT)}" for path in modules("service", "schemas", "tests")]
    assert len(named) > 20
    assert [name for name in sorted(named) if not any(path.endswith(f"/{name}") for path in there)] == []


def test_every_library_has_its_reason() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    reasons = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Why these libraries")[1].lower()
    names = {re.split(r"[=\[]", each)[0].lower() for each in wanted}
    assert [name for name in sorted(names) if name not in reasons] == []
