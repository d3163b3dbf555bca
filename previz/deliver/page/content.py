"""What a page shows: scenes with frames, and the light that its sliders change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from previz.develop.table import DevelopTable
from previz.model.showing import Showing

Picture = NDArray[np.uint8]
Image = NDArray[np.float32]
Stops = Sequence[tuple[float, float, float, float]]
"""Places of a slider: its value, and what multiplies the layer by colour there."""


@dataclass(frozen=True, eq=False)
class Slider:
    """One thing to turn. `kind` is dimmer, colour or nd; `value` is as the scene has it."""

    kind: str
    value: float
    stops: Stops


@dataclass(frozen=True, eq=False)
class LightControl:
    """A light or a window with what can be turned of it. `card` (3,) is its light on the card
    that white was taken from, where there is one."""

    layer: str
    name: str
    sliders: Sequence[Slider]
    card: tuple[float, float, float] | None = None


@dataclass(frozen=True, eq=False)
class PageFrame:
    """One frame.

    layers   light of each lamp alone (height, width, 3) by layer, exposed and white balanced,
             scene-linear; empty where nothing is to be relit
    guides   lines to lay over it: kind, `x` or `y` for along, place and ends in % of the frame
    numbers  label and text, for those who want them
    alt      what is in the picture, in words
    before   an earlier picture of it, where there is one that differs
    approved who has approved just this frame already: then it asks for nothing more
    """

    camera: str
    picture: Picture
    lines: Sequence[str]
    numbers: Sequence[tuple[str, str]]
    guides: Sequence[Mapping[str, object]]
    alt: str
    layers: Mapping[str, Image] = field(default_factory=dict)
    before: Picture | None = None
    approved: Sequence[str] = ()


@dataclass(frozen=True, eq=False)
class PageScene:
    """One scene, or another look at the first. `table` develops what is relit; None without."""

    name: str
    title: str
    line: str
    by: str
    look_of: str | None
    frames: Sequence[PageFrame]
    lights: Sequence[LightControl]
    table: DevelopTable | None


@dataclass(frozen=True, eq=False)
class PageContent:
    """All of a page."""

    showing: Showing
    scenes: Sequence[PageScene]
    cautions: Sequence[str]
