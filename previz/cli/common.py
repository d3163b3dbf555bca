"""Arguments and options that several commands share."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypedDict

import click

from previz.cli.exits import Exit
from previz.cli.progress import duration
from previz.render.compute import COMPUTE, mode_of
from previz.render.names import WORDS

if TYPE_CHECKING:
    from previz.api import Rendered

Decorator = Callable[[Any], Any]

scene_argument = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")

scenes_argument = click.argument(
    "scenes", type=click.Path(path_type=Path), metavar="SCENE...", nargs=-1, required=True
)

set_option = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    help="Change one value of the scene, such as key.dimmer_pct=50; may be given again.",
)


def check_one_scene(scenes: Sequence[Path], settings: Sequence[str]) -> None:
    """Refuse `--set` with several scenes: it would not say which of them it changes."""
    if settings and len(scenes) > 1:
        raise click.UsageError("--set changes one scene: name one scene with it, not several")


class Frames(TypedDict):
    """How frames are rendered and where to: what the options below hand to `RenderOptions`."""

    out: Path | None
    quality: Literal["draft", "review", "final"]
    samples: int | None
    width_px: int | None
    variant: str | None
    settings: tuple[str, ...]


def folder_option(help_text: str, name: str = "--out", parameter: str = "out") -> Decorator:
    """`--out`, or another `name`, for a folder."""
    return click.option(
        name,
        parameter,
        type=click.Path(file_okay=False, path_type=Path),
        metavar="DIR",
        help=help_text,
    )


def camera_option(help_text: str) -> Decorator:
    """`--camera` for the one camera that a command is about, in the command's own words."""
    return click.option("--camera", metavar="NAME", help=help_text)


def quality_option(default: str, help_text: str) -> Decorator:
    """`--quality`, with the command's own default and words."""
    return click.option(
        "--quality",
        type=click.Choice(["draft", "review", "final"]),
        default=default,
        show_default=True,
        help=help_text,
    )


def samples_option(help_text: str) -> Decorator:
    """`--samples`, in the command's own words."""
    return click.option("--samples", type=click.IntRange(1, 1 << 16), metavar="N", help=help_text)


def width_option(help_text: str) -> Decorator:
    """`--width`, in the command's own words."""
    return click.option(
        "--width", "width_px", type=click.IntRange(16, 16384), metavar="PIXELS", help=help_text
    )


def compute_option(help_text: str) -> Decorator:
    """`--compute`, in the command's own words; what is handed on is the renderer's own name."""
    return click.option(
        "--compute",
        "variant",
        type=click.Choice(COMPUTE),
        callback=lambda _context, _option, word: mode_of(word) if word else None,
        help=help_text,
    )


back_end_option = click.option(
    "--backend",
    "back_end",
    type=click.Choice(list(WORDS)),
    callback=lambda _context, _option, word: WORDS[word] if word else None,
    help="Who makes the pictures: path-tracer unless you say, or raster, which draws them with "
    "light that is worked out once for a set: then quick and without noise, but approximate.",
)


def done_line(word: str, rendered: Rendered) -> str:
    """What was done and how long it took, as "Rendered in 8 s."."""
    took = f"{word} in {duration(rendered.seconds)}"
    if rendered.approximate:
        took += f"; the pictures are drawn, approximate: {rendered.approximate}"
    return f"{took}."


def sheet_options(folder: str) -> Decorator:
    """`--out` to `--compute` of a command that renders small frames and lays them on a sheet.

    folder  its name within the scene's output, where the sheet goes unless `--out` says otherwise
    """
    options = (
        folder_option(f"Folder for sheet and frames; else out/, the scene's name, {folder}."),
        quality_option("draft", "How long to render each frame."),
        samples_option("Paths for a pixel."),
        width_option("Width of each frame."),
        compute_option("What to compute on."),
    )

    def all_of_them(command: Any) -> Any:
        for option in reversed(options):
            command = option(command)
        return command

    return all_of_them


def proposal_options(command: Any) -> Any:
    """`--quality` to `--backend` of a command that lays out frames to propose them."""
    options = (
        quality_option("review", "How long to render each frame."),
        samples_option("Paths for a pixel."),
        width_option("Width of the frames; else 1280, in final quality as the scene has it."),
        compute_option("What to compute on."),
        back_end_option,
    )
    for option in reversed(options):
        command = option(command)
    return command


def units_option(help_text: str) -> Decorator:
    """`--units`, in the command's own words."""
    return click.option(
        "--units",
        type=click.Choice(["metres", "feet"]),
        default="metres",
        show_default=True,
        help=help_text,
    )


exposure_map_option = click.option(
    "--exposure-map",
    is_flag=True,
    help="Also draw each frame in stops over mid grey, with what clips and what drowns in noise.",
)

no_denoise_option = click.option(
    "--no-denoise",
    "denoise",
    is_flag=True,
    callback=lambda _context, _option, leave_noise: not leave_noise,
    help="Leave the noise in.",
)

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def print_json(value: object) -> None:
    """Print a value as JSON, two spaces deep. What is infinite must be None by now."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def print_files(rendered: Rendered) -> None:
    """Print the names of the files written, one a line, the manifest last."""
    for file in (*rendered.files, rendered.manifest):
        click.echo(file)


def say_cautions(sentences: Sequence[str], *, err: bool = False) -> None:
    """Print cautions, one sentence a line, under a heading of their own."""
    click.echo("Before anyone builds it:", err=err)
    for sentence in sentences:
        click.echo(f"  {sentence}", err=err)


def leave(status: Exit) -> None:
    """End the command with a status, once everything is printed."""
    click.get_current_context().exit(status)
