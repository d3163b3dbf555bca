"""`previz new`: a first scene file from a few answers."""

from __future__ import annotations

import math
import shlex
import sys
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any, TypeVar

import click

from previz.cli.common import say_cautions
from previz.cli.new_layout import SIDES, Answers, TooSmallError
from previz.cli.new_text import NEW_RULES, scene_text
from previz.deliver.files import write_text
from previz.errors import OutputError
from previz.telling.cautions import printed

LONGEST_TITLE = 200
Command = TypeVar("Command", bound=Callable[..., Any])

_QUESTIONS = {
    "title": "Title",
    "width_m": "Width of the room in metres, wall to wall behind the camera",
    "depth_m": "Depth of the room in metres, along the camera's view",
    "height_m": "Height of the room in metres",
    "people": "How many people are interviewed",
    "cameras": "How many cameras",
    "b": "What camera B shows of the face, three-quarter or profile",
}


class Metres(click.FloatRange):
    """A length within a range; `nan` is in no range, whatever comparing it says.

    `why` says what takes the least, and `key` is where a scene file has the length: a layout for
    less is drawn by hand.
    """

    def __init__(self, least_m: float, most_m: float, key: str, why: str) -> None:
        super().__init__(least_m, most_m)
        self.least_m, self.most_m, self.key, self.why = least_m, most_m, key, why

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The length in metres, or a usage error."""
        length_m = float(click.FLOAT.convert(value, param, ctx))
        if math.isnan(length_m):
            self.fail(f"{value} is no length", param, ctx)
        by_hand = f"and set {self.key} in the file, where previz check says what no longer fits"
        if length_m < self.least_m:
            self.fail(
                f"{length_m:g} m is too little: {self.why} take {self.least_m:g} m; give that, "
                f"{by_hand}",
                param,
                ctx,
            )
        if length_m > self.most_m:
            self.fail(
                f"{length_m:g} m is more than the {self.most_m:g} m that a first scene is laid "
                f"out for; give that, {by_hand}",
                param,
                ctx,
            )
        return length_m


_TYPES: dict[str, click.ParamType[Any]] = {
    "title": click.STRING,
    "width_m": Metres(
        3.2, 20.0, "room.width_m", "two seats, the stand of the key and a way past camera A"
    ),
    "depth_m": Metres(
        4.0, 20.0, "room.depth_m", "camera A at its distance and some depth behind the guest"
    ),
    "height_m": Metres(
        2.3, 8.0, "room.height_m", "stands, the heads on them and a hair light over a sitter"
    ),
    "people": click.IntRange(1, 3),
    "cameras": click.IntRange(1, 3),
    "b": click.Choice(SIDES),
}


def _option(name: str, said: str) -> Callable[[Command], Command]:
    flag = "--" + name.replace("_", "-")
    metavar = {"title": "TEXT", "b": "|".join(SIDES)}.get(name, "N")
    usual = getattr(Answers(), name)
    text = f"{said}; else {usual if isinstance(usual, str) else f'{usual:g}'}."
    return click.option(flag, name, type=_TYPES[name], metavar=metavar, help=text)


@click.command("new")
@click.argument(
    "file", type=click.Path(path_type=Path), required=False, default=None, metavar="[FILE]"
)
@_option("title", "Title")
@_option("width_m", "Width of the room in metres, west to east, from 3.2")
@_option("depth_m", "Depth of the room in metres, along the A camera's view, from 4")
@_option("height_m", "Height of the room in metres, from 2.3")
@_option("people", "People interviewed, 1 to 3; the interviewer comes on top")
@_option("cameras", "Cameras, 1 to 3")
@_option("b", "What camera B shows of the face")
def command(file: Path | None, **given: Any) -> None:
    """Write a first scene: a lit interview with every line explained.

    FILE is the scene file to write, or a folder to write scene.yaml in; without it, scene.yaml
    here. A file that exists is left alone. On a terminal you are asked for what you do not give
    as an option.
    """
    asking = _on_terminal()
    if file is None:
        file = click.prompt("File", default=Path("scene.yaml"), type=Path) if asking else Path()
    target = scene_path(file)
    if target.exists():
        raise OutputError(f"{target} exists and is left as it is; give another name")
    answered: dict[str, Any] = {}
    for name in (field.name for field in fields(Answers)):
        # Only one guest who is seen by a second camera has a side to choose.
        idle = name == "b" and (answered["people"] > 1 or answered["cameras"] < 2)
        answered[name] = _answer(name, given, asking and not idle)
    answers = Answers(**answered)
    shown = shlex.quote(str(target.parent if target.name == "scene.yaml" else target))
    try:
        text = scene_text(answers, shown)
    except TooSmallError as error:
        raise click.UsageError(str(error)) from error
    write_text(target, text)
    say_cautions(printed(NEW_RULES))
    click.echo(f"{target} is written. See it with: previz render {shown} --quality draft")


def _on_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def scene_path(file: Path) -> Path:
    """The file itself if it is named like YAML, else scene.yaml in the folder of that name."""
    return file if file.suffix in (".yaml", ".yml") and not file.is_dir() else file / "scene.yaml"


def _answer(name: str, given: dict[str, Any], asking: bool) -> Any:
    usual = getattr(Answers(), name)
    value = given[name]
    if value is None:
        value = usual
        if asking:
            value = click.prompt(_QUESTIONS[name], default=usual, type=_TYPES[name])
    if name == "title":
        value = " ".join(value.split())[:LONGEST_TITLE]
    return value
