"""`previz balance`: the dimmers and ND that give what the scene's targets ask for."""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import (
    compute_option,
    json_option,
    leave,
    print_json,
    say_cautions,
    scene_argument,
    set_option,
)
from previz.cli.exits import Exit
from previz.cli.progress import progress


@click.command("balance")
@scene_argument
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Scene file for the settings, in the scene's folder; else the scene's name, _balanced.",
)
@click.option("--overwrite", is_flag=True, help="Replace that file if it is there.")
@click.option("--dry-run", is_flag=True, help="Say the settings and write nothing.")
@compute_option("What to read the light on.")
@json_option
@set_option
def command(
    *,
    scene: Path,
    out: Path | None,
    overwrite: bool,
    dry_run: bool,
    variant: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Balance the lights of SCENE to its targets.

    SCENE is a scene file, or a folder with a scene.yaml in it, that has targets: the face in
    stops over grey, key to fill, background, hair light, windows. You read which dimmers and
    which ND on the windows come nearest, what each target then comes to, and of one that cannot
    be reached what would reach it. The settings are written to a scene file based on SCENE. The
    exit status is 1 if a target is not reached.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.balance import balance_json, balance_lines  # noqa: PLC0415

    options = api.BalanceOptions(out, overwrite, dry_run, settings, variant)
    with progress() as watch:
        done = api.balance_scene(scene, options, watch)
    if as_json:
        file = None if done.file is None else str(done.file)
        cautions = list(done.cautions)
        print_json({**balance_json(done.balance), "cautions": cautions, "file": file})
    else:
        for line in balance_lines(done.balance):
            click.echo(line)
        say_cautions(done.cautions)
        if done.file is not None:
            click.echo(str(done.file))
    if not done.balance.reached:
        leave(Exit.FAULT)
