"""The whole walk, from a scene file to what people hold. Only this package knows its order.

Each walk is imported when its name is first asked for: who only checks a scene loads nothing
that renders.
"""

from typing import TYPE_CHECKING

from previz.on_demand import names_on_demand

if TYPE_CHECKING:
    from previz.api.approvals import approvals_of, lost_approvals
    from previz.api.balancing import Balanced, BalanceOptions, balance_scene
    from previz.api.daytime import render_hours
    from previz.api.deciding import Reviewed, Taken, import_decisions
    from previz.api.exporting import Exported, ExportOptions, export_scene
    from previz.api.folders import default_folder
    from previz.api.light import read_light
    from previz.api.measuring import answers, check_scene, measure_scene
    from previz.api.moving import Filmed, MoveOptions, film_moves
    from previz.api.opening import OpenScene, open_scene
    from previz.api.packaging import Packaged, package_scenes
    from previz.api.packing import Packed, PackOptions, pack_scenes
    from previz.api.paging import Paged, PageOptions, page_of_scenes
    from previz.api.parts import PackageOptions
    from previz.api.pictures import Pictures, pictures_of
    from previz.api.pitching import Pitched, PitchOptions, pitch_scenes
    from previz.api.planning import Planned, PlanOptions, plan_scene
    from previz.api.pointing import Typed
    from previz.api.progress import Progress, Silence
    from previz.api.relighting import RelightOptions, Relit, relight_scene
    from previz.api.rendering import compare_variants, render_scene
    from previz.api.session import Rendered, RenderOptions
    from previz.api.verifying import (
        VerifiedStill,
        VerifyOptions,
        names_on_set,
        pointing_page,
        verified_of,
        verify_still,
    )

__all__ = [
    "BalanceOptions",
    "Balanced",
    "ExportOptions",
    "Exported",
    "Filmed",
    "MoveOptions",
    "OpenScene",
    "PackOptions",
    "PackageOptions",
    "Packaged",
    "Packed",
    "PageOptions",
    "Paged",
    "Pictures",
    "PitchOptions",
    "Pitched",
    "PlanOptions",
    "Planned",
    "Progress",
    "RelightOptions",
    "Relit",
    "RenderOptions",
    "Rendered",
    "Reviewed",
    "Silence",
    "Taken",
    "Typed",
    "VerifiedStill",
    "VerifyOptions",
    "answers",
    "approvals_of",
    "balance_scene",
    "check_scene",
    "compare_variants",
    "default_folder",
    "export_scene",
    "film_moves",
    "import_decisions",
    "lost_approvals",
    "measure_scene",
    "names_on_set",
    "open_scene",
    "pack_scenes",
    "package_scenes",
    "page_of_scenes",
    "pictures_of",
    "pitch_scenes",
    "plan_scene",
    "pointing_page",
    "read_light",
    "relight_scene",
    "render_hours",
    "render_scene",
    "verified_of",
    "verify_still",
]

_HOMES = {
    "approvals": ("approvals_of", "lost_approvals"),
    "deciding": ("Reviewed", "Taken", "import_decisions"),
    "balancing": ("BalanceOptions", "Balanced", "balance_scene"),
    "daytime": ("render_hours",),
    "exporting": ("ExportOptions", "Exported", "export_scene"),
    "light": ("read_light",),
    "measuring": ("answers", "check_scene", "measure_scene"),
    "moving": ("Filmed", "MoveOptions", "film_moves"),
    "folders": ("default_folder",),
    "opening": ("OpenScene", "open_scene"),
    "pictures": ("Pictures", "pictures_of"),
    "pitching": ("PitchOptions", "Pitched", "pitch_scenes"),
    "planning": ("PlanOptions", "Planned", "plan_scene"),
    "packaging": ("Packaged", "package_scenes"),
    "paging": ("PageOptions", "Paged", "page_of_scenes"),
    "parts": ("PackageOptions",),
    "packing": ("PackOptions", "Packed", "pack_scenes"),
    "progress": ("Progress", "Silence"),
    "relighting": ("RelightOptions", "Relit", "relight_scene"),
    "rendering": ("compare_variants", "render_scene"),
    "pointing": ("Typed",),
    "session": ("RenderOptions", "Rendered"),
    "verifying": (
        "VerifiedStill",
        "VerifyOptions",
        "names_on_set",
        "pointing_page",
        "verified_of",
        "verify_still",
    ),
}
__getattr__ = names_on_demand(__name__, _HOMES)
