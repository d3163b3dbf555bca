"""`previz schema`: what a scene file may hold, for editors and for people."""

from __future__ import annotations

import json
from pathlib import Path

import click

from previz.deliver.files import write_text


@click.command("schema")
@click.option("--reference", is_flag=True, help="The same for people, as Markdown.")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="Write it to a file instead of printing it.",
)
def command(reference: bool, out: Path | None) -> None:
    """Print the JSON Schema of a scene file.

    An editor that knows the schema completes names, shows what each means and marks mistakes
    while you type. The README says how to set one up.
    """
    text = _reference() if reference else _schema()
    if out is None:
        click.echo(text, nl=False)
        return
    write_text(out, text)


def _schema() -> str:
    from previz.scenefile import scene_schema  # noqa: PLC0415  (so that --help answers at once)

    return json.dumps(scene_schema(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _reference() -> str:
    from previz.scenefile import scene_schema  # noqa: PLC0415
    from previz.scenefile.reference import reference_markdown  # noqa: PLC0415

    return reference_markdown(scene_schema())
