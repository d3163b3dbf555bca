"""The rooms, the one way through them, and where heavy packages may be imported."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parents[2]

# Package -> the rooms that may import it at all.
HEAVY = {
    "mitsuba": {"render"},
    "drjit": {"render"},
    "mitsuba_oidn": {"render"},
    "pyrender": {"render"},
    "OpenGL": {"render"},
    "PyOpenColorIO": {"develop"},
    "OpenEXR": {"deliver"},
    "trimesh": {"geometry"},
    "torch": set(),
    "click": {"cli"},
    "rich": {"cli"},
}


def test_imports_go_one_way() -> None:
    code = "from importlinter.cli import lint_imports_command as lint; lint(['--no-cache'])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_room_is_there() -> None:
    settings = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    layers = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    rooms = {room.strip() for layer in layers for room in layer.replace(":", "|").split("|")}
    found = {path.stem for path in (HOUSE / "previz").iterdir() if path.name[0] not in "_."}
    found.remove("py")  # py.typed says that the types are there
    assert found == rooms - {"__main__"}


def imports(path: Path) -> Iterator[str]:
    """Top-level names of all packages that a module imports, anywhere in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            yield node.module.split(".")[0]


def test_heavy_packages_stay_in_their_rooms() -> None:
    package = HOUSE / "previz"
    strays = [
        f"{path.relative_to(HOUSE)} imports {name}"
        for path in package.rglob("*.py")
        for name in imports(path)
        if name in HEAVY and path.relative_to(package).parts[0] not in HEAVY[name]
    ]
    assert strays == []


def test_heavy_list_is_not_stale() -> None:
    used = {name for path in (HOUSE / "previz").rglob("*.py") for name in imports(path)}
    held = {"mitsuba", "drjit", "mitsuba_oidn", "PyOpenColorIO", "OpenEXR", "trimesh", "click"}
    assert held <= used


@pytest.mark.parametrize("module", ["previz.api", "previz.stage.build", "previz.scenefile"])
def test_importing_starts_no_renderer(module: str) -> None:
    code = f"import sys, {module}; print(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], capture_output=True, text=True, check=True
    )
    lazy = {"mitsuba", "drjit", "mitsuba_oidn", "PyOpenColorIO", "OpenEXR", "rich"}
    assert lazy.isdisjoint(done.stdout.split())
