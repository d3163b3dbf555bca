"""`previz render`: pictures of every camera."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from previz.cli.common import (
    compute_option,
    quality_option,
    samples_option,
    scene_argument,
    set_option,
    width_option,
)
from previz.cli.progress import duration, progress


@click.command("render")
@scene_argument
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Folder for the pictures; else out/ and the scene's name.",
)
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
@compute_option("What to compute on, instead of the fastest that works here; see previz doctor.")
@click.option(
    "--exposure-map",
    is_flag=True,
    help="Also draw each frame in stops over mid grey, with what clips and what drowns in noise.",
)
@click.option("--resume", is_flag=True, help="Go on with a render that was stopped.")
@click.option("--no-denoise", is_flag=True, help="Leave the noise in.")
@click.option("--exr", is_flag=True, help="Also write OpenEXR files with one layer for each light.")
@set_option
def command(
    *,
    scene: Path,
    out: Path | None,
    cameras: tuple[str, ...],
    quality: Literal["draft", "review", "final"],
    samples: int | None,
    width_px: int | None,
    variant: str | None,
    resume: bool,
    no_denoise: bool,
    exr: bool,
    exposure_map: bool,
    settings: tuple[str, ...],
) -> None:
    """Render what each camera of SCENE sees.

    SCENE is a scene file, or a folder with a scene.yaml in it. The names of the files written
    are printed, one a line. Ctrl-C stops and keeps what is there; --resume goes on from it.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    options = api.RenderOptions(
        out=out,
        cameras=cameras,
        quality=quality,
        samples=samples,
        width_px=width_px,
        variant=variant,
        resume=resume,
        denoise=not no_denoise,
        exr=exr,
        exposure_map=exposure_map,
        settings=settings,
    )
    shown = progress()
    try:
        rendered = api.render_scene(scene, options, shown)
    finally:
        shown.finish()
    for file in (*rendered.files, rendered.manifest):
        click.echo(file)
    click.echo(f"Rendered in {duration(rendered.seconds)}.", err=True)
