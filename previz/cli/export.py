"""`previz export`: a scene as files that other programs open."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from previz.cli.common import (
    compute_option,
    folder_option,
    json_option,
    print_json,
    say_cautions,
    scene_argument,
    set_option,
)
from previz.cli.progress import duration, progress

if TYPE_CHECKING:
    from previz.api.exporting import Format

FORMATS: tuple[Format, ...] = ("gltf", "usd", "guides", "csv")


def _formats(
    _context: click.Context, _option: click.Parameter, words: tuple[str, ...]
) -> tuple[Format, ...] | None:
    """Names as they were given, one by one or with commas between; None where none was."""
    wanted = [word.strip() for given in words for word in given.split(",") if word.strip()]
    known = {str(name): name for name in FORMATS}
    for word in wanted:
        if word not in known:
            raise click.BadParameter(f'no format is called "{word}"; there are {", ".join(known)}')
    return tuple(known[word] for word in wanted) or None


@click.command("export")
@scene_argument
@folder_option("Folder for the files; else out/, the scene's name, export.")
@click.option(
    "--format",
    "formats",
    multiple=True,
    callback=_formats,
    metavar="NAME",
    help="Only this: gltf, usd, guides or csv; may be given again, or several with commas.",
)
@click.option("--no-light", is_flag=True, help="Leave the light out of the table of numbers.")
@compute_option("What to compute the light on.")
@json_option
@set_option
def command(
    *,
    scene: Path,
    out: Path | None,
    formats: tuple[Format, ...] | None,
    no_light: bool,
    variant: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Write SCENE as files that other programs open.

    scene.glb (glTF 2.0) and scene.usdc (OpenUSD, with sky.exr) hold the set, its people, cameras
    and lights in metres; scene.usdc holds the moves too. guides_A.png lies over the monitor of
    camera A: frame, thirds, safe areas, and where the plan has head and eyes. measured.csv is
    everything that `previz measure` says, unrounded. Frames with every light apart come from
    `previz render --exr`.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)

    options = api.ExportOptions(
        out=out, formats=formats, light=not no_light, variant=variant, settings=settings
    )
    with progress() as shown:
        made = api.export_scene(scene, options, shown)
    if as_json:
        files = [{"file": str(file), "bytes": file.stat().st_size} for file in made.files]
        print_json({"folder": str(made.folder), "files": files, "left_out": list(made.left_out)})
    else:
        for file in made.files:
            click.echo(file)
    for reason in made.left_out:
        click.echo(f"Left out: {reason}", err=True)
    say_cautions(made.cautions, err=True)
    click.echo(f"Exported in {duration(made.seconds)}.", err=True)
