"""`previz hours`: one camera over the hours of the day."""

from __future__ import annotations

from datetime import datetime, time
from pathlib import Path
from typing import Unpack

import click

from previz.cli.common import (
    Frames,
    camera_option,
    json_option,
    print_files,
    print_json,
    say_cautions,
    scene_argument,
    set_option,
    sheet_options,
)
from previz.cli.progress import duration, progress


def _time_of_day(ctx: click.Context, param: click.Parameter, value: str) -> time:
    """Read a time of day such as 09:30, or fail with a sentence."""
    try:
        return datetime.strptime(value, "%H:%M").time()
    except ValueError as error:
        text = f"{value} is not a time of day such as 09:30"
        raise click.BadParameter(text, ctx, param) from error


@click.command("hours")
@scene_argument
@click.option(
    "--from", "start", callback=_time_of_day, required=True, metavar="HH:MM", help="First frame."
)
@click.option(
    "--to", "end", callback=_time_of_day, required=True, metavar="HH:MM", help="Last frame."
)
@click.option(
    "--every",
    "every_min",
    type=click.IntRange(1, 720),
    default=30,
    show_default=True,
    metavar="MIN",
    help="Minutes from frame to frame.",
)
@camera_option("Camera to show; else the first of the scene.")
@sheet_options("hours")
@json_option
@set_option
def command(
    *,
    scene: Path,
    start: time,
    end: time,
    every_min: int,
    camera: str | None,
    as_json: bool,
    **frames: Unpack[Frames],
) -> None:
    """Show one camera of SCENE over the hours of its day, side by side.

    The scene's daylight needs a place and a time; the strip keeps its date and its clock.
    Exposure and white balance stay as they are at the scene's own time, so that you see how
    far the light runs away; under each frame stands by how many stops each window drifts. The
    sheet is written as PNG and PDF.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.solve.hours import HoursRequest  # noqa: PLC0415
    from previz.telling.hours import hours_json, hours_lines  # noqa: PLC0415

    request = HoursRequest(start, end, every_min, camera)
    with progress() as shown:
        made, strip = api.render_hours(scene, request, api.RenderOptions(**frames), shown)
    if as_json:
        files = [str(file) for file in (*made.files, made.manifest)]
        cautions = list(made.cautions)
        print_json({"scene": str(scene), **hours_json(strip), "files": files, "cautions": cautions})
        return
    print_files(made)
    click.echo("\n".join(hours_lines(strip)))
    say_cautions(made.cautions, err=True)
    click.echo(f"Rendered in {duration(made.seconds)}.", err=True)
