"""`previz kit`: what to bring."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from previz.cli.common import (
    check_one_scene,
    folder_option,
    json_option,
    print_json,
    say_cautions,
    scenes_argument,
    set_option,
    units_option,
)
from previz.cli.progress import progress


@click.command("kit")
@scenes_argument
@folder_option("Folder for the list; else out/, the scene's name, kit; of several scenes out/kit.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Format of the page, and of the workbook when it is printed.",
)
@units_option("How lengths and weights are said: metres and kilograms, or feet and pounds.")
@json_option
@set_option
def command(
    *,
    scenes: tuple[Path, ...],
    out: Path | None,
    paper: Literal["a4", "letter"],
    units: Literal["metres", "feet"],
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """List what to bring for a day of scenes, with boxes to tick.

    Cameras, lenses, filters, film cut to every pane, lights with their stands and sandbags, sound,
    leads along the walls, cards, batteries and small things, counted once where scenes of a day
    share them, weighed and put into cases; the load of each circuit, the order of setting up with
    its minutes, and what to ask the place. Written as kit.pdf, kit.xlsx and kit.csv; nothing is
    rendered. --set goes with a single scene.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.telling.kit import kit_json, kit_lines  # noqa: PLC0415

    check_one_scene(scenes, settings)
    options = api.PackOptions(out=out, paper=paper, units=units, settings=settings)
    with progress() as watch:
        packed = api.pack_scenes(scenes, options, watch)
    files = [str(file) for file in packed.files]
    if as_json:
        found = kit_json(packed.day, options.words)
        print_json({**found, "files": files, "cautions": list(packed.cautions)})
        return
    click.echo("\n".join(files))
    click.echo("\n".join(kit_lines(packed.day, options.words)))
    say_cautions(packed.cautions, err=True)
