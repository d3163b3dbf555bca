"""What is out of focus, blurred after it was drawn. Import after a context is open.

Each pixel gathers the light of those around it whose blur discs reach it. What lies behind never
smears over what is sharp before it, and what is blurred before it does.
"""

from __future__ import annotations

from OpenGL import GL as gl  # noqa: N811

from previz.physics.focus import blur_at_infinity
from previz.render.raster.passes import Passes
from previz.render.raster.targets import Target, Targets
from previz.stage.stage import StageCamera

WIDEST = 1 / 36
"""Of the picture's width: larger blur discs are drawn as large as this, in radius. At 1280 pixels
that is 36; beyond, the samples of a disc lie too far apart to melt into each other. An estimate."""
NEAREST = 1.1
"""Focus distance over focal length: nearer, the thin lens has no picture to speak of."""


def softness(camera: StageCamera, width_px: int) -> dict[str, float]:
    """How soft what lies at a distance d is, as a blur disc's radius in pixels, negative before
    the plane in focus: reach x (1 - focus / d), for all d; thin lens, see `physics.focus`.
    """
    focus_m = max(camera.focus_distance_m, NEAREST * camera.focal_length_m)
    disc_m = blur_at_infinity(camera.focal_length_m, camera.f_number, focus_m)
    reach_px = 0.5 * disc_m / camera.sensor_width_m * width_px
    return {"reach": reach_px, "focus": focus_m, "widest": WIDEST * width_px}


def all_sharp() -> dict[str, float]:
    """As `softness`, of a lens that has no aperture."""
    return {"reach": 0.0, "focus": 1.0, "widest": 1.0}


class Defocus:
    """Blurs light that carries its softness in its fourth channel."""

    def __init__(self, passes: Passes, targets: Targets) -> None:
        self._passes, self._targets = passes, targets

    def blurred(self, light: Target) -> Target:
        """The light of a target as a lens leaves it; its softness is lost."""
        size = light.size
        halves = (max(size[0] // 2, 1), max(size[1] // 2, 1))
        tiles = (-(-halves[0] // 8), -(-halves[1] // 8))
        kind = gl.GL_RGBA16F
        half = self._targets.of(halves, [kind])
        self._passes.run("halved", half, {"light": light.textures[0]})
        near = self._targets.of(tiles, [kind])
        self._passes.run("nearest", near, {"halves": half.textures[0]})
        reached = self._targets.of(tiles, [gl.GL_RGBA32F])
        self._passes.run("spread", reached, {"tiles": near.textures[0]})
        soft = self._targets.of(halves, [kind, kind])
        self._passes.run(
            "gathered", soft, {"halves": half.textures[0], "tiles": reached.textures[0]}
        )
        whole = self._targets.of(size, [kind])
        far, before = soft.textures
        sources = {"light": light.textures[0], "far": far, "before": before}
        self._passes.run("focused", whole, sources)
        return whole
