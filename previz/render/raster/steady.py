"""Edges of a film, smoothed over its frames: each is drawn with one sample a pixel, elsewhere in
it, and what the frames before it gathered is brought along. Import after a context is open.
"""

from __future__ import annotations

import numpy as np
from OpenGL import GL as gl  # noqa: N811

from previz.render.raster.passes import Passes
from previz.render.raster.targets import Target
from previz.render.raster.view import NEAR_M, View
from previz.stage.stage import StageCamera

SHARE = 1.0 / 8.0
"""Of the latest frame in what is shown, as if eight were the mean: an estimate."""


class Steady:
    """What the frames of one film have gathered so far."""

    def __init__(self, passes: Passes, size: tuple[int, int]) -> None:
        self._passes = passes
        pair = [Target(size, [gl.GL_RGBA16F], depth=False, smooth=True) for _ in range(2)]
        self._now, self._then = pair
        self._camera: StageCamera | None = None

    @property
    def begun(self) -> bool:
        """Whether there is a frame to go on from."""
        return self._camera is not None

    def forget(self) -> None:
        """Begin anew with the next frame."""
        self._camera = None

    def first(self, camera: StageCamera, light: Target, **lens: float) -> Target:
        """Begin with a frame that has four samples a pixel; returns it with its softness."""
        self._passes.run("added", self._now, {"light": light.textures[0]}, 2, share=1.0, **lens)
        self._camera = camera
        return self._now

    def next(self, camera: StageCamera, light: Target, **lens: float) -> Target:
        """Go on with a frame of one sample a pixel, somewhere in it.

        What was gathered is of whole pixels: it comes from where their centres were.
        """
        assert self._camera is not None
        back = View(self._camera, True).to_clip @ np.linalg.inv(View(camera, True).to_clip)
        self._now, self._then = self._then, self._now
        sources = {"light": light.textures[0], "before": self._then.textures[0]}
        values = {"back": back, "near": NEAR_M, "share": SHARE, **lens}
        self._passes.run("steady", self._now, sources, 1, **values)
        self._camera = camera
        return self._now

    def close(self) -> None:
        """Give its memory back."""
        self._now.delete()
        self._then.delete()
