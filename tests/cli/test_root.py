"""The table of commands, the helps, and what importing costs."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Callable, Iterator

import click
import pytest
from click.shell_completion import ShellComplete
from click.testing import Result

from previz.cli.root import COMMANDS, root

Run = Callable[..., Result]
HEAVY = ("numpy", "mitsuba", "drjit", "trimesh", "shapely", "pydantic", "yaml", "rich", "PIL")


def commands(
    group: click.Group = root, above: str = "previz"
) -> Iterator[tuple[str, click.Command]]:
    """Every command and group with its full name."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        yield f"{above} {name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{above} {name}")


ALL = [*commands(), ("previz", root)]


@pytest.mark.parametrize(("name", "command"), ALL, ids=[name for name, _ in ALL])
def test_help_reads_as_sentences(name: str, command: click.Command) -> None:
    text = command.help or ""
    first = text.split("\n\n")[0].strip()
    assert re.match(r"[A-Z][^.]+\.$", " ".join(first.split())), f"{name}: {first}"
    for param in command.params:
        if isinstance(param, click.Option):
            said = param.help or ""
            assert said.endswith(".") and said[0].isupper(), f"{name} {param.opts}: {said!r}"


def test_table_says_what_the_commands_say_of_themselves() -> None:
    for name, (_, said) in COMMANDS.items():
        command = root.get_command(click.Context(root), name)
        assert command is not None and command.name == name
        assert said.endswith(".") and said[0].isupper() and len(said) < 66


def test_help_lists_every_command_and_status(run: Run) -> None:
    result = run("--help")
    assert result.exit_code == 0
    for name, (_, said) in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(said)}$", result.output, re.M)
    assert "130  stopped by you" in result.output


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["nonsense"]])
def test_root_imports_nothing_heavy(words: list[str]) -> None:
    code = (
        "import sys; from previz.cli.root import root\n"
        "try: root.main(sys.argv[1:], 'previz')\n"
        "finally: sys.stderr.write('\\n' + ' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", code, *words], capture_output=True, text=True, check=False
    )
    loaded = set(done.stderr.splitlines()[-1].split())
    assert "previz.cli.root" in loaded
    assert loaded.isdisjoint(HEAVY)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_loads_no_renderer(name: str) -> None:
    code = (
        "import sys; from previz.cli.root import root\n"
        "try: root.main(sys.argv[1:], 'previz')\n"
        "finally: sys.stderr.write('\\n' + ' '.join(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", code, name, "--help"],
        capture_output=True,
        text=True,
        check=False,
    )
    loaded = set(done.stderr.splitlines()[-1].split())
    assert done.returncode == 0
    assert loaded.isdisjoint({"mitsuba", "drjit", "trimesh", "PyOpenColorIO"})


def test_importing_the_package_loads_not_even_click() -> None:
    code = "import sys, previz.cli; sys.exit('click' in sys.modules)"
    assert subprocess.run([sys.executable, "-P", "-c", code], check=False).returncode == 0


def test_unknown_command_names_the_nearest(run: Run) -> None:
    result = run("rendr")
    assert result.exit_code == 2
    assert "there is no command 'rendr'; did you mean render?" in result.output
    assert "choose from new, check" in run("xyzzy").output


def test_unknown_option_is_a_usage_error(run: Run) -> None:
    result = run("check", "scene.yaml", "--colour")
    assert result.exit_code == 2
    assert "No such option" in result.output


def test_traceback_may_stand_at_the_end(run: Run) -> None:
    result = run("check", "no_such_scene.yaml", "--traceback")
    assert result.exit_code == 2
    assert "Traceback" in result.output and "no_such_scene.yaml" in result.output


def test_version(run: Run) -> None:
    assert re.fullmatch(r"previz \S.*\n", run("--version").output)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ([""], list(COMMANDS)),
        (["re"], ["render"]),
        (["render", "--qu"], ["--quality"]),
        (["render", "--quality", "f"], ["final"]),
        (["completion", ""], ["bash", "zsh", "fish"]),
    ],
)
def test_completion(typed: list[str], expected: list[str]) -> None:
    completer = ShellComplete(root, {}, "previz", "_PREVIZ_COMPLETE")
    found = completer.get_completions(typed[:-1], typed[-1])
    assert [item.value for item in found][: len(expected)] == expected


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_script(run: Run, shell: str) -> None:
    result = run("completion", shell)
    assert result.exit_code == 0
    assert f"_PREVIZ_COMPLETE={shell}_complete" in result.stdout


def test_python_m_previz_is_previz() -> None:
    done = subprocess.run(
        [sys.executable, "-P", "-m", "previz", "check"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stderr.startswith("Usage: previz check [OPTIONS] SCENE")
