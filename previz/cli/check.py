"""`previz check`: is the scene file sound, and what was chosen where it leaves the choice?"""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import json_option, leave, print_json, scene_argument, set_option
from previz.cli.exits import Exit
from previz.errors import InputError


@click.command("check")
@scene_argument
@json_option
@set_option
def command(scene: Path, as_json: bool, settings: tuple[str, ...]) -> None:
    """Check SCENE and say what was chosen in it.

    SCENE is a scene file, or a folder with a scene.yaml in it. Everything that is wrong is
    reported at once, one line each, with file, line and column. Of a sound scene you read
    where things stand and what will not work on the day: heads cut, the line crossed, gear in
    frame, a lens too close. The exit status is 1 if any of that is a fault. Frames that are no
    longer what was approved are named last.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.approvals import lost_lines, standings_json  # noqa: PLC0415
    from previz.telling.check import check_json  # noqa: PLC0415
    from previz.telling.report_text import finding_lines  # noqa: PLC0415

    try:
        opened = api.open_scene(scene, settings)
    except InputError as error:
        if not as_json:
            raise
        print_json(check_json(str(scene), problems=error.problems))
        leave(Exit.WRONG)
        return
    report, lost = api.check_scene(opened), api.lost_approvals(opened)
    if as_json:
        title, notes = opened.scene.title, opened.notes
        told = check_json(str(scene), title=title, notes=notes, findings=report.findings)
        print_json({**told, "no_longer_approved": standings_json(lost)})
    else:
        click.echo(f"{scene}: the file reads without errors.")
        for line in (*opened.notes, *finding_lines(report.findings), *lost_lines(lost)):
            click.echo(line)
    if report.has_fault:
        leave(Exit.FAULT)
