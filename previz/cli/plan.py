"""`previz plan`: floor plan, elevations and setting-out table on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from previz.cli.common import (
    folder_option,
    json_option,
    print_json,
    say_cautions,
    scene_argument,
    set_option,
    units_option,
)
from previz.cli.progress import progress


@click.command("plan")
@scene_argument
@folder_option("Folder for the plan; else out/, the scene's name, plan.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "a3", "letter"]),
    default="a4",
    show_default=True,
    help="Paper to draw for, laid whichever way is larger.",
)
@click.option(
    "--scale",
    type=click.IntRange(5, 1000),
    metavar="N",
    help="Draw at 1:N; else the largest usual scale that fits.",
)
@units_option("Lengths in metres, or in feet and inches; the CSV is in metres always.")
@json_option
@set_option
def command(
    *,
    scene: Path,
    out: Path | None,
    paper: Literal["a4", "a3", "letter"],
    scale: int | None,
    units: Literal["metres", "feet"],
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Draw the floor plan of SCENE to scale, two elevations and the setting-out table.

    SCENE is a scene file, or a folder with a scene.yaml in it. Nothing is rendered. On plan.pdf
    are all pages, to print at full size; plan.svg and elevations.svg are the drawings with every
    position in their data; setting_out.csv has each camera, light, stand and seat by its
    distances from two walls, in metres, with heights, pan and tilt.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.plan import plan_json, plan_lines  # noqa: PLC0415

    options = api.PlanOptions(out, paper, scale, units, settings)
    with progress() as watch:
        made = api.plan_scene(scene, options, watch)
    if as_json:
        files = [str(file) for file in made.files]
        told = plan_json(made.layout, made.scale, made.elevation_scale, paper)
        print_json({"scene": str(scene), **told, "files": files, "cautions": list(made.cautions)})
        return
    for file in made.files:
        click.echo(file)
    for line in plan_lines(made.layout, made.scale, made.elevation_scale, paper, units):
        click.echo(line)
    say_cautions(made.cautions, err=True)
