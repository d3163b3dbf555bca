"""Arguments and options that several commands share."""

from __future__ import annotations

import json
from pathlib import Path

import click

from previz.cli.exits import Exit

scene_argument = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")

set_option = click.option(
    "--set",
    "settings",
    multiple=True,
    metavar="KEY=VALUE",
    help="Change one value of the scene, such as key.dimmer_pct=50; may be given again.",
)

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def print_json(value: object) -> None:
    """Print a value as JSON, two spaces deep."""
    click.echo(json.dumps(value, indent=2, ensure_ascii=False))


def leave(status: Exit) -> None:
    """End the command with a status, once everything is printed."""
    click.get_current_context().exit(status)
