"""`previz measure`: lens, framing, continuity and light of every camera."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import click

from previz.cli.common import (
    camera_option,
    compute_option,
    json_option,
    leave,
    print_json,
    scene_argument,
    set_option,
)
from previz.cli.exits import Exit
from previz.cli.progress import progress
from previz.model.rules import ShotSize

SIZES = get_args(ShotSize)


@click.command("measure")
@scene_argument
@camera_option("Camera that --want is about; else the first.")
@click.option(
    "--want-size",
    type=click.Choice(SIZES),
    help="Print the focal length that gives this shot size.",
)
@click.option(
    "--want-blur",
    type=click.FloatRange(0.01, 100.0),
    metavar="PCT",
    help="Print the stop that blurs the background by this share of the width.",
)
@click.option(
    "--want-depth",
    type=click.FloatRange(0.001, 1000.0),
    metavar="M",
    help="Print the distance that gives this depth of field.",
)
@click.option(
    "--spot",
    "spots",
    multiple=True,
    metavar="CAMERA:LEFT,TOP",
    help="Read a spot of one degree there, in per cent of the frame; may be given again.",
)
@click.option("--no-light", is_flag=True, help="Leave the light out: nothing is rendered.")
@compute_option("What to compute the light on.")
@json_option
@set_option
def command(
    *,
    scene: Path,
    camera: str | None,
    want_size: ShotSize | None,
    want_blur: float | None,
    want_depth: float | None,
    spots: tuple[str, ...],
    no_light: bool,
    variant: str | None,
    as_json: bool,
    settings: tuple[str, ...],
) -> None:
    """Measure what each camera of SCENE does, whether they cut together, and the light.

    SCENE is a scene file, or a folder with a scene.yaml in it. You read the lens, the depth of
    field, the framing, the line between the people, the lux on faces and meters by light, the
    ratio of key to fill, where skin, background and windows fall, and what does not work, worst
    first. The light is read once and kept: another dimmer or colour then takes no time. The
    exit status is 1 if any of it is a fault. With --want-size, --want-blur or --want-depth you get
    the one setting that gives what you want.
    """
    from previz import api  # noqa: PLC0415  (so that --help answers at once)
    from previz.solve.lens import Wishes  # noqa: PLC0415
    from previz.telling.report_json import answers_json, report_json  # noqa: PLC0415
    from previz.telling.report_text import report_lines  # noqa: PLC0415

    if want_size or want_blur or want_depth:
        wishes = Wishes(camera, want_size, want_blur, want_depth)
        answers = api.answers(scene, wishes, settings)
        if as_json:
            print_json(answers_json(answers))
        else:
            click.echo("\n".join(answer.message for answer in answers))
        return
    with progress() as watch:
        report = api.measure_scene(
            scene, settings, light=not no_light, spots=spots, variant=variant, progress=watch
        )
    if as_json:
        print_json(report_json(report))
    else:
        for line in report_lines(report):
            click.echo(line)
    if report.has_fault:
        leave(Exit.FAULT)
