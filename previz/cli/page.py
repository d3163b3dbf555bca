"""`previz page`: one file for the client, to look at on a phone and to decide."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from previz.cli.common import (
    check_one_scene,
    json_option,
    print_json,
    proposal_options,
    say_cautions,
    scenes_argument,
    set_option,
)
from previz.cli.progress import progress


@click.command("page")
@scenes_argument
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="FILE|DIR",
    help="The page, ending in .html, or a folder for it; else out/, the scene's name, page.",
)
@click.option(
    "--before",
    type=click.Path(exists=True, path_type=Path),
    metavar="DIR|FILE",
    help="Earlier frames to compare with: their folder, or a showing's file in shown; else those "
    "of the last page that was written there.",
)
@click.option(
    "--no-light",
    "light",
    is_flag=True,
    flag_value=False,
    default=True,
    help="Leave out the light of each lamp: a smaller page without sliders.",
)
@proposal_options
@json_option
@set_option
def command(
    *,
    scenes: tuple[Path, ...],
    out: Path | None,
    before: Path | None,
    light: bool,
    quality: Literal["draft", "review", "final"],
    samples: int | None,
    width_px: int | None,
    variant: str | None,
    back_end: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Write one page to send to a client, who looks at the frames and says yes or what to change.

    It opens from an attachment, on a phone as well, and needs no network: frames large, other
    looks and earlier frames to compare, the light of every lamp to turn, guides, numbers, and for
    each frame a decision with a comment and a mark. What was decided comes back as a small file.
    Scenes based on the first, and those it names under pitch, are its other looks. What was shown
    is kept beside the scene in the folder shown. --set goes with a single scene.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.client import page_lines  # noqa: PLC0415

    check_one_scene(scenes, settings)
    render = api.RenderOptions(
        quality=quality, samples=samples, width_px=width_px, variant=variant, back_end=back_end
    )
    options = api.PageOptions(out=out, before=before, light=light, render=render, settings=settings)
    with progress() as watch:
        made = api.page_of_scenes(scenes, options, watch)
    files = [str(made.page), str(made.showing_file)]
    if as_json:
        told = {
            "showing": made.showing.id,
            "page": files[0],
            "files": files,
            "size_bytes": made.size_bytes,
            "rendered": list(made.rendered),
            "before": list(made.before),
            "cautions": list(made.cautions),
        }
        print_json(told)
        return
    click.echo("\n".join(files))
    click.echo("\n".join(page_lines(made.size_bytes, made.rendered, made.before)))
    say_cautions(made.cautions, err=True)
