"""`previz check`: is the scene file sound, and what was chosen where it leaves the choice?"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from previz.cli.common import json_option, leave, print_json, scene_argument, set_option
from previz.cli.exits import Exit
from previz.errors import InputError, Problem


@click.command("check")
@scene_argument
@json_option
@set_option
def command(scene: Path, as_json: bool, settings: tuple[str, ...]) -> None:
    """Check SCENE and say what was chosen in it.

    SCENE is a scene file, or a folder with a scene.yaml in it. Everything that is wrong is
    reported at once, one line each, with file, line and column. Of a sound scene you read
    where the things stand that it places in words.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    try:
        opened = api.open_scene(scene, settings)
    except InputError as error:
        if not as_json:
            raise
        print_json(_report(scene, problems=error.problems))
        leave(Exit.WRONG)
        return
    if as_json:
        print_json(_report(scene, title=opened.scene.title, notes=opened.notes))
        return
    click.echo(f"{scene}: nothing wrong.")
    for note in opened.notes:
        click.echo(note)


def _report(
    scene: Path,
    title: str | None = None,
    problems: list[Problem] | None = None,
    notes: tuple[str, ...] | list[str] = (),
) -> dict[str, Any]:
    return {
        "scene": str(scene),
        "title": title,
        "problems": [
            {
                "file": str(problem.place.file),
                "line": problem.place.line or None,
                "column": problem.place.column or None,
                "message": problem.message,
            }
            for problem in problems or ()
        ],
        "notes": list(notes),
    }
