"""`previz pitch`: a few pages that sell the look."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from previz.cli.common import (
    check_one_scene,
    folder_option,
    json_option,
    print_json,
    proposal_options,
    say_cautions,
    scenes_argument,
    set_option,
)
from previz.cli.progress import progress


@click.command("pitch")
@scenes_argument
@folder_option("Folder for the pitch and its frames; else out/, the scene's name, pitch.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "wide"]),
    default="a4",
    show_default=True,
    help="Pages lying; wide is sixteen to nine on dark pages, for a screen.",
)
@click.option(
    "--no-hours",
    "hours",
    is_flag=True,
    flag_value=False,
    default=True,
    help="Leave out the frames over the day, which a scene with a place and a time has.",
)
@proposal_options
@json_option
@set_option
def command(
    *,
    scenes: tuple[Path, ...],
    out: Path | None,
    paper: Literal["a4", "letter", "wide"],
    hours: bool,
    quality: Literal["draft", "review", "final"],
    samples: int | None,
    width_px: int | None,
    variant: str | None,
    back_end: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Lay out a pitch of one or more scenes: a few pages that sell the look.

    A title page, every camera with what it is for, frames side by side, each light alone and all
    together, other looks, the day by hours, the plan, what the place must provide, and the
    cautions. The words stand in the scene under pitch. Scenes based on the first are its other
    looks; any other has a chapter of its own. Frames are kept with their light beside pitch.pdf,
    so that new words, or other dimmers, render nothing. --set goes with a single scene.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.pitch import pitch_json, pitch_lines  # noqa: PLC0415

    check_one_scene(scenes, settings)
    render = api.RenderOptions(
        quality=quality, samples=samples, width_px=width_px, variant=variant, back_end=back_end
    )
    options = api.PitchOptions(out=out, paper=paper, hours=hours, render=render, settings=settings)
    with progress() as watch:
        made = api.pitch_scenes(scenes, options, watch)
    files = [str(file) for file in made.files]
    if as_json:
        told = pitch_json([page.name for page in made.pages], made.parts, made.lacking)
        rendered = list(made.rendered)
        print_json({**told, "rendered": rendered, "files": files, "cautions": list(made.cautions)})
        return
    click.echo("\n".join(files))
    click.echo("\n".join(pitch_lines(len(made.pages), made.rendered, made.lacking)))
    say_cautions(made.cautions, err=True)
