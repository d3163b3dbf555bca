"""Arguments and options that several commands share."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import click

from previz.cli.exits import Exit
from previz.render.compute import COMPUTE, mode_of

scene_argument = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")

set_option = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    help="Change one value of the scene, such as key.dimmer_pct=50; may be given again.",
)


def quality_option(default: str, help_text: str) -> Callable[[Any], Any]:
    """`--quality`, with the command's own default and words."""
    return click.option(
        "--quality",
        type=click.Choice(["draft", "review", "final"]),
        default=default,
        show_default=True,
        help=help_text,
    )


def samples_option(help_text: str) -> Callable[[Any], Any]:
    """`--samples`, in the command's own words."""
    return click.option("--samples", type=click.IntRange(1, 1 << 16), metavar="N", help=help_text)


def width_option(help_text: str) -> Callable[[Any], Any]:
    """`--width`, in the command's own words."""
    return click.option(
        "--width", "width_px", type=click.IntRange(16, 16384), metavar="PIXELS", help=help_text
    )


def compute_option(help_text: str) -> Callable[[Any], Any]:
    """`--compute`, in the command's own words; what is handed on is the renderer's own name."""
    return click.option(
        "--compute",
        "variant",
        type=click.Choice(COMPUTE),
        callback=lambda _context, _option, word: mode_of(word) if word else None,
        help=help_text,
    )


json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def print_json(value: object) -> None:
    """Print a value as JSON, two spaces deep. What is infinite must be None by now."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def say_cautions(sentences: Sequence[str], *, err: bool = False) -> None:
    """Print cautions, one sentence a line, under a heading of their own."""
    click.echo("Before anyone builds it:", err=err)
    for sentence in sentences:
        click.echo(f"  {sentence}", err=err)


def leave(status: Exit) -> None:
    """End the command with a status, once everything is printed."""
    click.get_current_context().exit(status)
