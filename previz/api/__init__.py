"""The whole walk, from a scene file to what people hold. Only this package knows its order.

Each walk is imported when its name is first asked for: who only checks a scene loads nothing
that renders.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from previz.api.balancing import Balanced, BalanceOptions, balance
    from previz.api.daytime import hours
    from previz.api.light import read_light
    from previz.api.measuring import answers, check, measure
    from previz.api.opening import OpenScene, default_folder, open_scene
    from previz.api.progress import Progress, Silence
    from previz.api.relighting import RelightOptions, Relit, relight
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
    "check",
    "compare",
    "default_folder",
    "hours",
    "measure",
    "open_scene",
    "read_light",
    "relight",
    "render",
]

_HOMES = {
    "balancing": ("BalanceOptions", "Balanced", "balance"),
    "daytime": ("hours",),
    "light": ("read_light",),
    "measuring": ("answers", "check", "measure"),
    "opening": ("OpenScene", "default_folder", "open_scene"),
    "progress": ("Progress", "Silence"),
    "relighting": ("RelightOptions", "Relit", "relight"),
    "rendering": ("compare", "render"),
    "session": ("RenderOptions", "Rendered"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _HOME_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(f"{__name__}.{_HOME_OF[name]}"), name)
    globals()[name] = found
    return found
