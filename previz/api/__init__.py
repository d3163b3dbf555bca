"""The whole walk, from a scene file to what people hold. Only this package knows its order."""

from previz.api.balancing import (
    Balanced,
    BalanceOptions,
    balance,
    balance_json,
    balance_lines,
)
from previz.api.daytime import hours
from previz.api.measuring import answers, measure, read_light
from previz.api.opening import OpenScene, default_folder, open_scene
from previz.api.progress import Progress, Silence
from previz.api.relighting import RelightOptions, Relit, relight, relit_lines
from previz.api.rendering import compare, render
from previz.api.session import Rendered, RenderOptions

__all__ = [
    "BalanceOptions",
    "Balanced",
    "OpenScene",
    "Progress",
    "RelightOptions",
    "Relit",
    "RenderOptions",
    "Rendered",
    "Silence",
    "answers",
    "balance",
    "balance_json",
    "balance_lines",
    "compare",
    "default_folder",
    "hours",
    "measure",
    "open_scene",
    "read_light",
    "relight",
    "relit_lines",
    "render",
]
