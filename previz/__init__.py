"""Previsualise a filmed interview: a YAML scene in, every camera's lit frame out.

What a script needs is here, and stays; all else may change. Each name is imported when it is first
asked for, so that `import previz` loads next to nothing.
"""

from typing import TYPE_CHECKING

from previz.on_demand import names_on_demand

if TYPE_CHECKING:
    from previz.api.balancing import Balanced, BalanceOptions, balance_scene
    from previz.api.measuring import check_scene, measure_scene
    from previz.api.opening import OpenScene, open_scene
    from previz.api.progress import Progress, Silence
    from previz.api.relighting import RelightOptions, Relit, relight_scene
    from previz.api.rendering import compare_variants, render_scene
    from previz.api.session import Rendered, RenderOptions
    from previz.deliver.comparison import CompareRequest
    from previz.errors import InputError, InterruptedRender, PrevizError
    from previz.measure.report import Report
    from previz.measure.rules.findings import Finding

__all__ = [
    "BalanceOptions",
    "Balanced",
    "CompareRequest",
    "Finding",
    "InputError",
    "InterruptedRender",
    "OpenScene",
    "PrevizError",
    "Progress",
    "RelightOptions",
    "Relit",
    "RenderOptions",
    "Rendered",
    "Report",
    "Silence",
    "balance_scene",
    "check_scene",
    "compare_variants",
    "measure_scene",
    "open_scene",
    "relight_scene",
    "render_scene",
]

_HOMES = {
    "api": (
        "BalanceOptions",
        "Balanced",
        "OpenScene",
        "Progress",
        "RelightOptions",
        "Relit",
        "RenderOptions",
        "Rendered",
        "Silence",
        "balance_scene",
        "check_scene",
        "compare_variants",
        "measure_scene",
        "open_scene",
        "relight_scene",
        "render_scene",
    ),
    "deliver.comparison": ("CompareRequest",),
    "errors": ("InputError", "InterruptedRender", "PrevizError"),
    "measure.report": ("Report",),
    "measure.rules.findings": ("Finding",),
}
__getattr__ = names_on_demand(__name__, _HOMES)


def __dir__() -> list[str]:
    return sorted(__all__)
