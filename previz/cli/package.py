"""`previz package`: everything of a day's scenes in one folder."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast

import click

from previz.cli.common import (
    check_one_scene,
    compute_option,
    folder_option,
    json_option,
    print_json,
    quality_option,
    say_cautions,
    scenes_argument,
    set_option,
    units_option,
    width_option,
)
from previz.cli.progress import duration, progress


@click.command("package")
@scenes_argument
@folder_option(
    "Folder for it all; else out/, the scene's name, package; of several scenes out/package."
)
@click.option(
    "--parts",
    metavar="PART,PART",
    help="Only these: kit, frames, pitch, page, compare, plan, export, record; what else is there "
    "stays.",
)
@quality_option("review", "How long to render each frame.")
@width_option("Width of the frames; else 1280.")
@click.option(
    "--focal", metavar="MM,MM", help="Focal lengths to compare; else a shorter and a longer one."
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Paper of the plan and the list.",
)
@units_option("How lengths and weights are said on paper.")
@compute_option("What to compute on.")
@json_option
@set_option
def command(
    *,
    scenes: tuple[Path, ...],
    out: Path | None,
    parts: str | None,
    quality: Literal["draft", "review", "final"],
    width_px: int | None,
    focal: str | None,
    paper: Literal["a4", "letter"],
    units: Literal["metres", "feet"],
    variant: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Put everything of a day's scenes into one folder, with a page that opens it.

    Frames of every camera, the pitch, the client's page, three focal lengths of the first camera
    side by side, plan and setting-out table, what to bring, files for other programs, and what is
    kept with the scene of decisions and of stills held against the plan; index.html shows it all,
    manifest.json has every file with its digest. What rests on nothing that has changed is not
    made again. --set goes with a single scene.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.api.parts import PARTS, Part  # noqa: PLC0415

    check_one_scene(scenes, settings)
    wanted = _words(parts)
    for word in wanted or ():
        if word not in PARTS:
            raise click.UsageError(f"--parts: {word} is none of {', '.join(PARTS)}")
    options = api.PackageOptions(
        out=out,
        parts=cast("tuple[Part, ...] | None", wanted),
        quality=quality,
        width_px=width_px or 1280,
        focal_mm=_focal_lengths(focal),
        paper=paper,
        units=units,
        variant=variant,
        settings=settings,
    )
    with progress() as watch:
        made = api.package_scenes(scenes, options, watch)
    if as_json:
        print_json(
            {
                "folder": str(made.folder),
                "files": [str(file) for file in made.files],
                "made": list(made.made),
                "held": list(made.held),
                "cautions": list(made.cautions),
            }
        )
        return
    click.echo(made.files[0])
    if made.held:
        click.echo(f"As before: {', '.join(made.held)}.")
    said = ", ".join(made.made) or "nothing, for nothing has changed"
    click.echo(f"Made: {said}; in {duration(made.seconds)}.")
    say_cautions(made.cautions, err=True)


def _words(text: str | None) -> tuple[str, ...] | None:
    """Words between commas; None where the option was not given."""
    if text is None:
        return None
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _focal_lengths(text: str | None) -> tuple[float, ...] | None:
    words = _words(text)
    if words is None:
        return None
    try:
        values = tuple(float(word) for word in words)
    except ValueError as error:
        raise click.UsageError("--focal needs numbers between commas, as 35,50,85") from error
    if not values or any(not 0.0 < value < 10_000.0 for value in values):
        raise click.UsageError("--focal needs numbers over 0 between commas, as 35,50,85")
    return values
