"""`previz measure`: lens, framing and continuity of every camera, without rendering."""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import json_option, leave, print_json, scene_argument, set_option
from previz.cli.exits import Exit


@click.command("measure")
@scene_argument
@json_option
@set_option
def command(scene: Path, as_json: bool, settings: tuple[str, ...]) -> None:
    """Measure what each camera of SCENE does and whether they cut together.

    SCENE is a scene file, or a folder with a scene.yaml in it. You read the lens, the depth of
    field, the framing, the line between the people, and what does not work, worst first. The
    exit status is 1 if any of it is a fault.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.measure.text import report_lines  # noqa: PLC0415

    report = api.measure(scene, settings)
    if as_json:
        print_json(report.as_json())
    else:
        for line in report_lines(report):
            click.echo(line)
    if report.has_fault:
        leave(Exit.FAULT)
