"""`previz render`: pictures of every camera."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, Unpack

import click

from previz.cli.common import (
    Frames,
    back_end_option,
    compute_option,
    done_line,
    exposure_map_option,
    folder_option,
    no_denoise_option,
    print_files,
    quality_option,
    samples_option,
    scene_argument,
    set_option,
    width_option,
)
from previz.cli.progress import progress
from previz.render.part import REGION_FORM


def region_pct(text: str | None) -> tuple[float, float, float, float] | None:
    """Four numbers of `--region`; a usage error for anything else."""
    if text is None:
        return None
    try:
        x, y, width, height = (float(part) for part in text.split(","))
    except ValueError:
        raise click.BadParameter(f"{text} is no region; {REGION_FORM}") from None
    return x, y, width, height


@click.command("render")
@scene_argument
@folder_option("Folder for the pictures; else out/ and the scene's name.")
@click.option(
    "--camera",
    "cameras",
    multiple=True,
    metavar="NAME",
    help="Render only this camera; may be given again.",
)
@quality_option(
    "review",
    "How long to render: draft for a first look, review to judge light, final to show.",
)
@samples_option("Light paths for each pixel, instead of what the quality takes.")
@width_option("Width of the pictures, instead of what scene and quality say.")
@back_end_option
@compute_option("What to compute on, instead of the fastest that works here; see previz doctor.")
@exposure_map_option
@click.option(
    "--caption",
    "caption",
    flag_value="under",
    help="Also write each frame with a strip under it: title, camera, lens, stop, size of shot, "
    "date, version and scene.",
)
@click.option(
    "--caption-over", "caption", flag_value="over", help="As --caption, over the frame's foot."
)
@click.option(
    "--region",
    "region_pct",
    callback=lambda _context, _option, text: region_pct(text),
    metavar="X,Y,W,H",
    help="Render this part of the frame alone, in per cent from its top left corner, at the "
    "frame's own pixels; what was rendered whole stays as it is.",
)
@click.option("--resume", is_flag=True, help="Go on with a render that was stopped.")
@no_denoise_option
@click.option("--exr", is_flag=True, help="Also write OpenEXR files with one layer for each light.")
@set_option
def command(
    *,
    scene: Path,
    cameras: tuple[str, ...],
    back_end: str | None,
    resume: bool,
    denoise: bool,
    exr: bool,
    exposure_map: bool,
    caption: Literal["under", "over"] | None,
    region_pct: tuple[float, float, float, float] | None,
    **frames: Unpack[Frames],
) -> None:
    """Render what each camera of SCENE sees.

    SCENE is a scene file, or a folder with a scene.yaml in it. The names of the files written
    are printed, one a line. Ctrl-C stops and keeps what is there; --resume goes on from it.
    Frames that are no longer what was approved are named at the end, and by how much.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.approvals import lost_lines  # noqa: PLC0415

    options = api.RenderOptions(
        **frames,
        cameras=cameras,
        back_end=back_end,
        resume=resume,
        denoise=denoise,
        exr=exr,
        exposure_map=exposure_map,
        caption=caption,
        region_pct=region_pct,
    )
    with progress() as shown:
        rendered = api.render_scene(scene, options, shown)
    print_files(rendered)
    click.echo(done_line("Rendered", rendered), err=True)
    for line in lost_lines(rendered.no_longer_approved):
        click.echo(line, err=True)
