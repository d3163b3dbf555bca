"""What a pitch holds, ready to be laid out: pictures, and words that are final."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from previz.measure.setting_out.layout import Layout

Picture = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Shot:
    """One camera: its frame (height, width, 3), what it is for, and one line of facts."""

    name: str
    picture: Picture
    lines: tuple[str, ...]
    facts: str


@dataclass(frozen=True, eq=False)
class Captioned:
    """A small frame with a name, what it is, and what is read or said of it; words may be ''."""

    name: str
    picture: Picture
    what: str = ""
    said: str = ""


@dataclass(frozen=True, eq=False)
class Cover:
    """The frame of the title page, which alone is cut, and how far down the eyes are, per cent."""

    picture: Picture
    eyes_pct: float


@dataclass(frozen=True, eq=False)
class Place:
    """What the place must provide: the pitch's own lines, facts by a word each, and questions."""

    lines: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    questions: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Chapter:
    """One scene. What is empty or None has no page.

    lights        each light alone, then all together
    read_on       whose face the lights were read on, in a sentence
    alternatives  other looks, the scene's own first where it is to be compared with
    hours         one camera over the day; `hours_said` says which
    made_from     the version of scene and program, small on the last page
    """

    title: str
    line: str
    by: str
    cover: Cover
    shots: tuple[Shot, ...]
    lights: tuple[Captioned, ...]
    light_said: str
    read_on: str
    alternatives: tuple[Captioned, ...]
    hours: tuple[Captioned, ...]
    hours_said: str
    layout: Layout
    place: Place
    cautions: tuple[str, ...]
    close: str
    made_from: str = field(default="")
