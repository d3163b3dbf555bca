"""What README and DEVELOPERS say is true: commands, links, examples, the scene reference."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest
import yaml

from previz import api
from previz.catalog import folders
from previz.cli.root import COMMANDS, root
from previz.errors import InputError
from previz.scenefile import scene_schema
from previz.scenefile.reference import reference_markdown

DOCUMENTS = ("README.md", "DEVELOPERS.md", "scenes/README.md", "shared/README.md")
HOUSE = Path(__file__).resolve().parents[2]


def text_of(name: str) -> str:
    """Text of a document."""
    return (HOUSE / name).read_text(encoding="utf-8")


def blocks(text: str, language: str) -> list[str]:
    """Fenced blocks of a language, without their fences."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.S | re.M)


def shell_lines(name: str) -> list[str]:
    """Every line of every shell block."""
    return [line for block in blocks(text_of(name), "sh") for line in block.splitlines() if line]


def section(text: str, title: str) -> str:
    """What stands under a heading, up to the next of its rank."""
    return text.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def parse(words: list[str]) -> None:
    """Let click read a command line without running it; a usage error is an exception."""
    context = click.Context(root, info_name="previz")
    name, command, rest = root.resolve_command(context, words)
    while isinstance(command, click.Group):
        inner = click.Context(command, parent=context, info_name=name)
        name, command, rest = command.resolve_command(inner, rest)
    assert command is not None
    try:
        command.make_context(name, rest)
    except click.exceptions.Exit as leaving:
        assert leaving.exit_code == 0


@pytest.mark.parametrize("name", DOCUMENTS)
def test_commands_in_shell_blocks_are_understood(name: str) -> None:
    for line in shell_lines(name):
        if line.startswith("previz "):
            parse(shlex.split(line)[1:])


def test_documents_show_commands() -> None:
    """Or the check above would look at nothing."""
    assert sum(line.startswith("previz ") for name in DOCUMENTS for line in shell_lines(name)) >= 10


@pytest.mark.parametrize("name", DOCUMENTS)
def test_commands_in_running_text_exist(name: str) -> None:
    for word in re.findall(r"`previz ([a-z]+)", text_of(name)):
        assert word in COMMANDS


def test_every_command_is_mentioned() -> None:
    mentioned = set(re.findall(r"previz ([a-z]+)", text_of("README.md")))
    assert set(COMMANDS) <= mentioned


def links() -> list[tuple[str, str]]:
    """Document and target of every link that leads to no other host."""
    return [
        (name, target)
        for name in DOCUMENTS
        for target in re.findall(r"\]\(([^)#]+)[^)]*\)", text_of(name))
        if "://" not in target
    ]


@pytest.mark.parametrize(("name", "target"), links())
def test_links_lead_somewhere(name: str, target: str) -> None:
    assert (HOUSE / name).parent.joinpath(target).exists()


def main_commands() -> list[str]:
    """The two commands that README begins with."""
    return blocks(section(text_of("README.md"), "First pictures"), "sh")[0].splitlines()


def test_first_command_renders_the_demo(tmp_path: Path) -> None:
    """Run as printed, only small and into a folder that goes away."""
    program, *words = shlex.split(main_commands()[0])
    assert program == "previz"
    small = ["--out", str(tmp_path), "--width", "64", "--samples", "2", "--quality", "draft"]
    done = subprocess.run(
        [sys.executable, "-P", "-m", "previz", *words, *small],
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    printed = [Path(line) for line in done.stdout.splitlines()]
    assert {path.name for path in printed} >= {"frame_A.png", "frame_B.png", "manifest.json"}
    assert all(path.stat().st_size > 0 for path in printed)


def test_second_command_runs_these_tests() -> None:
    assert main_commands()[1:] == ["pytest"]
    assert 'testpaths = ["tests"]' in text_of("pyproject.toml")


def test_ci_installs_what_the_readme_says() -> None:
    script = text_of(".ci/run")
    installs = [line for line in shell_lines("README.md") if " install " in line]
    assert len(installs) == 2
    packages = "python3 python3-venv libatomic1 libegl1 libgl1-mesa-dri chromium"
    assert f"apt-get install -y {packages}\n" in script
    assert installs[0] == f"sudo apt-get install {packages}"
    assert installs[1] == "pip install '.[dev]'"
    assert "--quiet '.[dev]'" in script


def test_scene_in_the_readme_holds_and_fails_as_shown(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    by_hand = section(text_of("README.md"), "A scene by hand")
    scene = blocks(by_hand, "yaml")[0]
    path = Path("first.yaml")
    path.write_text(scene, encoding="utf-8")
    assert api.open_scene(path).scene.title == "First try"
    path.write_text(scene.replace("_f2.8", "_f28"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        api.open_scene(path)
    assert f"{caught.value}\n" == blocks(by_hand, "text")[0]


def test_scene_reference_is_made_from_the_schema() -> None:
    assert text_of("scenes/README.md") == reference_markdown(scene_schema()), (
        "make it anew: previz schema --reference --out scenes/README.md"
    )


def scenes() -> list[Path]:
    """Every scene file that is shipped: all YAML below scenes/ that says it is one."""
    found = sorted((HOUSE / "scenes").rglob("*.yaml"))
    return [path for path in found if "previz" in yaml.safe_load(path.read_text(encoding="utf-8"))]


@pytest.mark.parametrize("path", scenes(), ids=lambda path: str(path.relative_to(HOUSE)))
def test_shipped_scenes_hold(path: Path) -> None:
    opened = api.open_scene(path)
    assert len(opened.stage.cameras) >= 1


def test_there_are_two_demos() -> None:
    assert len({path.parent for path in scenes()}) >= 2


def catalogue_files() -> set[Path]:
    """What a wheel must hold of shared/, by its place there."""
    here = HOUSE / "shared"
    files = {path.relative_to(here) for path in here.rglob("*.*") if path.is_file()}
    return {path for path in files if "build" not in path.parts}


def test_a_wheel_holds_the_whole_catalogue() -> None:
    """It takes shared/ under the name that previz looks for, but for what git ignores.

    In `.ci/run` the package comes from a wheel, which is then compared; here the two are one.
    """
    wheel = tomllib.loads(text_of("pyproject.toml"))["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert wheel["force-include"] == {"shared": "previz/_shared"}
    names = {path.name for path in catalogue_files()}
    assert {"lenses.yaml", "fixtures.yaml", "furniture.yaml", "body.npz"} <= names
    ignored = subprocess.run(
        ["git", "ls-files", "--others", "--ignored", "--exclude-standard", "shared"],
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
    )
    left_out = {Path(line).relative_to("shared") for line in ignored.stdout.splitlines()}
    assert not left_out & catalogue_files()
    for path in catalogue_files():
        copy = folders.built_in_folder() / path
        assert copy.is_file() and copy.read_bytes() == (HOUSE / "shared" / path).read_bytes(), path


def test_top_level_holds_nothing_else() -> None:
    """What git tracks; in the copy that `.ci/run` makes, whatever is there."""
    allowed = [
        "DEVELOPERS.md",
        "README.md",
        "previz",
        "pyproject.toml",
        "scenes",
        "shared",
        "tests",
    ]
    listed = subprocess.run(
        ["git", "ls-files"], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    tracked = {line.split("/")[0] for line in listed.stdout.splitlines()}
    there = tracked or {path.name for path in HOUSE.iterdir()} - {"out", "build", "dist"}
    assert sorted(name for name in there if not name.startswith(".")) == allowed
