"""`previz relight`: other dimmers, colours and gels without rendering again."""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import (
    exposure_map_option,
    folder_option,
    json_option,
    no_denoise_option,
    print_json,
    scene_argument,
    set_option,
)
from previz.cli.progress import duration, progress


@click.command("relight")
@scene_argument
@folder_option(
    "Folder of the render to relight; else where previz render writes.", "--from", "source"
)
@folder_option("Folder for the relit pictures; else relight in the render's folder.")
@exposure_map_option
@no_denoise_option
@json_option
@set_option
def command(
    *,
    scene: Path,
    source: Path | None,
    out: Path | None,
    denoise: bool,
    exposure_map: bool,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Relight the rendered frames of SCENE with other settings of its lights.

    SCENE is a scene file, or a folder with a scene.yaml in it, that previz render has been run
    on. Dimmers, colours and gels of lights, ND on windows, and the cameras' ISO, shutter, ND
    and white balance are changed by arithmetic on the light layers, exactly. A light that moved,
    spreads otherwise or was off is rendered, alone. Change the file, or use --set.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.relight import recombined, relit_json, relit_lines  # noqa: PLC0415

    options = api.RelightOptions(source, out, settings, denoise, exposure_map)
    with progress() as watch:
        done = api.relight_scene(scene, options, watch)
    if as_json:
        found = relit_json(done.gains, done.rendered, done.moved, done.recombined_s, done.seconds)
        print_json({"files": [str(file) for file in done.files], **found})
        return
    for line in relit_lines(done.gains, done.rendered, done.moved):
        click.echo(line)
    for file in done.files:
        click.echo(str(file))
    click.echo(
        f"Relit in {duration(done.seconds)}, of which {recombined(done.recombined_s)} to "
        "recombine the light.",
        err=True,
    )
