"""Light that an earlier run kept in a folder, and what it gives under the lights as they are now.

Everybody who makes a picture of kept light asks here: relighting, the page, the pitch, approvals.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.api.progress import Progress, Silence
from previz.api.white import white_of
from previz.deliver.layers import read_layers, write_layers
from previz.deliver.manifest import FrameNote, Manifest, read_manifest
from previz.errors import MissingError, OutputError
from previz.render.apart import cleaned_apart
from previz.render.backends import TABLE
from previz.render.contract import Ability, Image
from previz.render.denoise import Denoiser
from previz.render.qualities import EFFORTS, Quality
from previz.render.relight import LayerStack, change_between
from previz.stage.identity import identity_of
from previz.version import version

Array = NDArray[np.float64]
CLEAN = "_clean"
"""Ends the names of files of layers that were cleaned one by one."""


@dataclass(frozen=True, eq=False)
class Kept:
    """Frames whose light lies in a folder: what is said of them there, what multiplies layers."""

    folder: Path
    manifest: Manifest
    frames: Mapping[str, FrameNote]
    gains: Mapping[str, Array]

    @property
    def unchanged(self) -> bool:
        """Whether every layer is as bright as it was rendered."""
        return set(self.gains) == set(self.manifest.layers) and all(
            np.array_equal(gain, np.ones(3)) for gain in self.gains.values()
        )

    @property
    def quality(self) -> Quality:
        """With which care its pictures are cleaned."""
        return next((q for q in EFFORTS if q == self.manifest.quality), "final")

    def stack(self, camera: str) -> LayerStack:
        """The light layers of one camera as rendered. MissingError where the file is gone."""
        found = read_layers(self._file(camera))
        if found is None:
            raise MissingError(f"the light layers of camera {camera} are gone from {self.folder}")
        return found

    def clean(self, camera: str, watch: Progress | None = None) -> LayerStack:
        """The layers of one camera, each cleaned of noise; together they are the frame rendered.

        They are cleaned once, and lie beside the others from then on, where that can be written.
        Of a render whose noise was left in, or that has none, the layers as they are.
        MissingError where the file is gone.
        """
        if not self.manifest.denoised:
            return self.stack(camera)
        file = self._file(camera)
        beside = file.with_name(f"{file.stem}{CLEAN}{file.suffix}")
        made_from = self._made_from(file)
        return read_layers(beside, made_from) or self._cleaned(
            camera, beside, made_from, watch or Silence()
        )

    def light(self, camera: str, watch: Progress | None = None) -> Image:
        """What a camera receives under the lights as they are now: (height, width, 3) in cd/m2.

        Cleaned of noise as the render was. MissingError where the file is gone.
        """
        if self.unchanged:  # then no layer need be cleaned by itself
            stack = self.stack(camera)
            if stack.whole is not None or not self.manifest.denoised:
                return self.combined(stack)
        return self.combined(self.clean(camera, watch))

    def combined(self, stack: LayerStack) -> Image:
        """What a stack of `clean` gives under the lights as they are now: as `light`."""
        if stack.whole is not None and self.manifest.denoised and self.unchanged:
            return stack.whole
        return stack.combined(self.gains)

    def lights(self, camera: str) -> dict[str, Image]:
        """As `light`, of each layer alone; together they are that."""
        stack = self.clean(camera)
        return {n: stack.combined({n: gain}) for n, gain in self.gains.items()}

    def card(self) -> dict[str, Array]:
        """Light by layer (3,) on the card that white is taken from; empty without one."""
        read = self.manifest.card
        return {k: np.asarray(read[k], float) * gain for k, gain in self.gains.items() if k in read}

    def white(self, opened: OpenScene) -> tuple[float, float]:
        """Chromaticity of white under these lights."""
        return white_of(opened.stage, self.card())

    def mark(self, camera: str) -> str:
        """Tells the render of a camera from all others; empty where it is gone."""
        return self._made_from(self._file(camera))

    def _file(self, camera: str) -> Path:
        return self.folder / self.frames[camera].files.get("layers", ".")

    def _made_from(self, file: Path) -> str:
        """Tells a render from all others; empty where it is gone."""
        try:
            with file.open("rb") as opened:
                digest = hashlib.file_digest(opened, "sha256").hexdigest()
        except OSError:
            return ""
        return f"{version()} {self.quality} {digest}"

    def _cleaned(self, camera: str, beside: Path, made_from: str, watch: Progress) -> LayerStack:
        rendered = self.stack(camera)
        watch.start(f"cleaning the light of camera {camera}", len(rendered.names))
        clean = cleaned_apart(rendered, Denoiser(), self.quality, watch.advance)
        watch.finish()
        # Where it cannot be kept it is only cleaned again the next time.
        with suppress(OutputError):
            write_layers(beside, clean, made_from)
            return read_layers(beside, made_from) or clean
        return clean


def kept_in(folder: Path, opened: OpenScene, cameras: Iterable[str]) -> Kept | None:
    """What lies in a folder of light that serves a scene as it is now, of some cameras.

    None where the set is another, or a light stands, spreads or shines where it did not. Cameras
    that see otherwise, are not finished or whose light is gone are left out.
    """
    manifest = read_manifest(folder)
    if manifest is None or manifest.identity is None:
        return None
    identity = identity_of(opened.stage)
    change = change_between(manifest.identity, identity, ())
    if change.hindered or change.fresh or change.moved:
        return None
    frames = {
        name: manifest.frames[name]
        for name in cameras
        if name in manifest.frames
        and manifest.frames[name].complete
        and manifest.identity.views.get(name) == identity.views[name]
        and (folder / manifest.frames[name].files.get("layers", "?")).is_file()
    }
    return Kept(folder, manifest, frames, change.gains)


def is_noiseless(manifest: Manifest) -> bool:
    """Whether the frames came from a back end whose pictures have no noise."""
    row = TABLE.get(manifest.back_end)
    return row is not None and Ability.NOISELESS in row.abilities(manifest.variant)
