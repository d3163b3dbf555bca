"""`previz compare`: one camera with other lenses, stops, sensors, distances or heights."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Unpack

import click

from previz.cli.common import (
    Frames,
    back_end_option,
    camera_option,
    done_line,
    print_files,
    say_cautions,
    scene_argument,
    set_option,
    sheet_options,
)
from previz.cli.progress import progress

if TYPE_CHECKING:
    from previz.deliver.comparison import CompareRequest
    from previz.solve.variants import Axis, Mode


@click.command("compare")
@scene_argument
@camera_option("Camera to vary; else the first of the scene.")
@click.option("--focal", metavar="MM,MM", help="Focal lengths set on the lens, as 35,50,85.")
@click.option("--stop", metavar="N,N", help="Stops, as 2.8,4,5.6.")
@click.option("--sensor", metavar="NAME,NAME", help="Sensors of the catalogue.")
@click.option("--distance", metavar="M,M", help="Distances from the eyes, as 1.5,2,3.")
@click.option("--height", metavar="M,M", help="Heights of the lens, as 1,1.2,1.5.")
@click.option(
    "--mode",
    type=click.Choice(["both", "same_position", "same_size"]),
    default="both",
    show_default=True,
    help="With --focal: from the same place, or moved so that the subject keeps its size.",
)
@back_end_option
@sheet_options("compare")
@set_option
def command(
    *,
    scene: Path,
    camera: str | None,
    focal: str | None,
    stop: str | None,
    sensor: str | None,
    distance: str | None,
    height: str | None,
    mode: Literal["both", "same_position", "same_size"],
    back_end: str | None,
    **frames: Unpack[Frames],
) -> None:
    """Render one camera of SCENE in several ways and lay them side by side.

    Give one of --focal, --stop, --sensor, --distance and --height, with values between commas.
    The sheet is written as PNG and PDF; under each frame stand the numbers that differ.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    asked: dict[Axis, str | None] = {
        "focal": focal,
        "stop": stop,
        "sensor": sensor,
        "distance": distance,
        "height": height,
    }
    options = api.RenderOptions(**frames, back_end=back_end)
    with progress() as shown:
        made = api.compare_variants(scene, _request(camera, asked, mode), options, shown)
    print_files(made)
    say_cautions(made.cautions, err=True)
    click.echo(done_line("Compared", made), err=True)


def _request(
    camera: str | None,
    asked: Mapping[Axis, str | None],
    mode: Literal["both", "same_position", "same_size"],
) -> CompareRequest:
    from previz.deliver.comparison import CompareRequest  # noqa: PLC0415

    given = {axis: text for axis, text in asked.items() if text is not None}
    if len(given) != 1:
        raise click.UsageError("give one of --focal, --stop, --sensor, --distance and --height")
    axis, text = next(iter(given.items()))
    values = tuple(value.strip() for value in text.split(",") if value.strip())
    if not values:
        raise click.UsageError(f"--{axis} needs values between commas")
    if axis != "sensor":
        _check_numbers(axis, values)
    modes: tuple[Mode, ...] = ("same_position", "same_size") if mode == "both" else (mode,)
    return CompareRequest(camera, axis, values, modes)


def _check_numbers(axis: str, values: tuple[str, ...]) -> None:
    for value in values:
        try:
            good = 0.0 < float(value) < 10_000.0
        except ValueError:
            good = False
        if not good:
            raise click.UsageError(f"--{axis}: {value} is not a number over 0")
