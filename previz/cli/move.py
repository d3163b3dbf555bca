"""`previz move`: camera moves as films, each with its contact sheet."""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import (
    compute_option,
    folder_option,
    samples_option,
    say_cautions,
    scene_argument,
    set_option,
    width_option,
)
from previz.cli.progress import duration, progress


@click.command("move")
@scene_argument
@click.argument("name", required=False, metavar="[NAME]")
@folder_option("Folder for films and sheets; else out/, the scene's name, moves.")
@width_option("Width of the frames.")
@click.option(
    "--motion-blur",
    is_flag=True,
    help="Smear what moves while the shutter is open, as long as the camera's shutter angle says.",
)
@click.option(
    "--sheet", "only_sheet", is_flag=True, help="Only the contact sheet: twelve frames, no film."
)
@samples_option("Path-trace the frames, with so many paths a pixel; else they are drawn.")
@compute_option("What to compute on.")
@set_option
def command(
    *,
    scene: Path,
    name: str | None,
    out: Path | None,
    width_px: int | None,
    motion_blur: bool,
    only_sheet: bool,
    samples: int | None,
    variant: str | None,
    settings: tuple[str, ...],
) -> None:
    """Film the camera moves of SCENE, or only the one called NAME.

    Each becomes an MP4 (H.264) at the scene's frame rate, and a contact sheet as PNG and PDF with
    the second, the focal length and the focus under each frame. The light is baked once and kept,
    then frames are drawn; without OpenGL they are path-traced, which takes long. What a move runs
    into and where it leaves focus is told first. Ctrl-C leaves no half film.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    options = api.MoveOptions(
        name=name,
        out=out,
        width_px=width_px,
        samples=samples,
        variant=variant,
        motion_blur=motion_blur,
        film=not only_sheet,
        settings=settings,
    )
    with progress() as shown:
        made = api.film_moves(scene, options, shown)
    for file in made.files:
        click.echo(file)
    say_cautions(made.cautions, err=True)
    click.echo(f"Drew {made.frames} frames in {duration(made.seconds)}.", err=True)
