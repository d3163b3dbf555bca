"""`previz verify`: a real still against the plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from previz.cli.common import (
    camera_option,
    compute_option,
    folder_option,
    json_option,
    print_json,
    say_cautions,
    scene_argument,
    set_option,
)
from previz.cli.progress import progress

if TYPE_CHECKING:
    from previz.api import VerifyOptions

FILE = click.Path(dir_okay=False, path_type=Path)


@click.command("verify")
@scene_argument
@camera_option("The camera that took the still.")
@click.option("--still", type=FILE, metavar="FILE", help="The whole frame: PNG, JPEG or TIFF.")
@click.option(
    "--point",
    "points",
    multiple=True,
    metavar="NAME=X,Y",
    help="Where a point of the set is seen, in pixels from the top left or in per cent, such as "
    "eye_left=812,344 or window.top_left=12.5%,8%. Give two at least.",
)
@click.option(
    "--vertical",
    "verticals",
    multiple=True,
    metavar="X,Y:X,Y",
    help="Two ends of an upright edge.",
)
@click.option(
    "--level",
    "levels",
    multiple=True,
    metavar="X,Y:X,Y",
    help="Two ends of a level edge that runs along a wall.",
)
@click.option(
    "--height",
    "heights",
    multiple=True,
    metavar="M:X,Y:X,Y",
    help="Something upright at the subject, its length in metres and its two ends.",
)
@click.option(
    "--card",
    metavar="X,Y:X,Y",
    help="Two corners of a box, or four corners, of a card held at the face: tells exposure and "
    "white.",
)
@click.option(
    "--card-pct",
    type=click.FloatRange(1.0, 100.0),
    default=18.0,
    show_default=True,
    metavar="PCT",
    help="How much the card reflects.",
)
@click.option(
    "--points",
    "points_file",
    type=FILE,
    metavar="FILE",
    help="The same in a YAML or JSON file, as the page of --click hands them back.",
)
@click.option("--click", "pointing", is_flag=True, help="Write a page to set the points on.")
@click.option("--names", is_flag=True, help="List the names of all points that can be given.")
@click.option("--list", "listing", is_flag=True, help="List the stills verified so far.")
@folder_option("Folder for pictures and page; else out/, the scene's name, verify.")
@compute_option("What to compute on.")
@json_option
@set_option
def command(
    *,
    scene: Path,
    camera: str | None,
    still: Path | None,
    points: tuple[str, ...],
    verticals: tuple[str, ...],
    levels: tuple[str, ...],
    heights: tuple[str, ...],
    card: str | None,
    card_pct: float,
    points_file: Path | None,
    pointing: bool,
    names: bool,
    listing: bool,
    out: Path | None,
    variant: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Hold a still of the real camera against the plan of SCENE, and say what to move, how far.

    Points of the set that are seen in the still tell where the camera stands and how it looks:
    tilt, roll, pan, distance, and height and focal length where corners of the room are among
    them. A card tells exposure and white. Both frames are laid side by side and over each other,
    with a page to wipe between them; a record is kept with the scene, in verified/.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    if listing:
        _list(scene, settings, as_json)
        return
    if camera is None:
        raise click.UsageError("--camera is wanted: the camera that took the still")
    if names:
        found = api.names_on_set(scene, camera, settings)
        if as_json:
            print_json(list(found))
        else:
            click.echo("\n".join(found))
        return
    if still is None:
        raise click.UsageError("--still is wanted: a picture of the whole frame")
    typed = api.Typed(points, verticals, levels, heights, card, card_pct, points_file)
    options = api.VerifyOptions(camera, still, typed, out, variant, settings)
    if pointing:
        click.echo(api.pointing_page(scene, options))
        return
    _verify(scene, options, as_json)


def _verify(scene: Path, options: VerifyOptions, as_json: bool) -> None:
    from previz import api  # noqa: PLC0415
    from previz.telling.verify import verdict, verified_json, verify_lines  # noqa: PLC0415

    with progress() as watch:
        made = api.verify_still(scene, options, watch)
    files = [str(file) for file in made.files]
    if as_json:
        print_json(
            {
                "scene": str(scene),
                "camera": made.camera,
                "still": str(options.still),
                "still_sha256": made.still.sha256,
                "taken": made.still.taken,
                **verified_json(made.found, made.card),
                "files": files,
                "cautions": list(made.cautions),
            }
        )
        return
    click.echo("\n".join(files))
    click.echo(f"Camera {made.camera}, {options.still}: {verdict(made.found)}")
    click.echo("\n".join((*made.still.notes, *verify_lines(made.found, made.card))))
    if made.cautions:
        say_cautions(made.cautions, err=True)


def _list(scene: Path, settings: tuple[str, ...], as_json: bool) -> None:
    from previz import api  # noqa: PLC0415
    from previz.telling.verify import listed_json, listed_line  # noqa: PLC0415

    found = api.verified_of(scene, settings)
    if as_json:
        print_json([listed_json(str(one.path), vars(one.record), one.same_plan) for one in found])
        return
    for one in found:
        click.echo(listed_line(one.path.name, vars(one.record), one.same_plan))
    if not found:
        click.echo("No still has been verified yet.")
