"""From a loaded camera to files: trace, develop, write, note. One way for every frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene
from previz.api.progress import Progress
from previz.api.regions import Region
from previz.deliver.caption import CaptionPlace, captioned
from previz.deliver.exposure_sheet import write_exposure_map
from previz.deliver.frames import write_png
from previz.deliver.manifest import FrameNote
from previz.develop.exposure import expose, exposure_scale
from previz.develop.exposure_map import Span, stops_image
from previz.develop.view import develop
from previz.errors import InterruptedRender
from previz.measure.light.settings import skin_over_card
from previz.measure.measured import Ruler
from previz.render.contract import Exposing, Image, Renderer
from previz.render.qualities import passes
from previz.stage.stage import StageCamera
from previz.telling.caption import caption_of, made_from
from previz.version import version


@dataclass(frozen=True)
class Finish:
    """How light becomes a file: with a map or without.

    `approximate` says what pictures lack that are drawn.
    """

    exposure_map: bool = False
    approximate: str = ""


STOPPED = "stopped before it was complete"


class Pipeline:
    """The same for every frame of a run: scene, white, finish and folder."""

    def __init__(
        self, opened: OpenScene, folder: Path, white: tuple[float, float], finish: Finish
    ) -> None:
        self.opened, self.folder, self.white, self.finish = opened, folder, white, finish
        self.files: list[Path] = []
        self.frames: dict[str, FrameNote] = {}
        self._ruler: Ruler | None = None

    def frame(
        self,
        camera: StageCamera,
        light: Image,
        samples: int,
        *,
        relit: bool = False,
        complete: bool = True,
        caption: CaptionPlace | Literal[""] = "",
        region: Region | None = None,
    ) -> FrameNote:
        """Develop and write one frame, and its exposure map where one is wanted.

        light  (height, width, 3), cd/m2, cleaned of noise unless that is to be left in, of so many
               samples a pixel; of a `region`, its part alone

        The note of it is what the manifest will say; who writes further files adds them.
        """
        of = f"{camera.name}_region" if region else camera.name
        png = self.folder / f"frame_{of}.png"
        remarks = [
            *(["part of the frame"] if region else []),
            *(["relit"] if relit else []),
            *([] if complete else [STOPPED]),
        ]
        title = ", ".join([f"{self.opened.scene.title}, camera {camera.name}", *remarks])
        notes = {
            "Title": title,
            "Software": f"previz {version()}",
            "Comment": f"scene {self.opened.digest[:12]}, {self._made_with(samples)}",
        }
        picture = photograph(self.opened, camera, light, self.white)
        write_png(png, picture, notes)
        height_px, width_px = light.shape[:2]
        note = FrameNote(
            camera=camera.name,
            width_px=width_px,
            height_px=height_px,
            samples=samples,
            complete=complete,
            files={},
            white_xy=self.white,
            exposure_scale=exposure_scale(camera),
            t_number=round(camera.t_number, 2),
            iso=camera.iso,
            nd_density=camera.nd_density,
            exposure="auto" if self.opened.stage.setups[camera.name].auto else "set",
            caption=caption,
            region_pct=region.pct if region else None,
            region_at_px=(region.part.left_px, region.part.top_px) if region else None,
            whole_px=region.whole_px if region else None,
        )
        self.frames[camera.name] = note
        self.add(note, "picture", png)
        if caption:
            labelled = png.with_name(f"{png.stem}_caption.png")
            write_png(labelled, self._captioned(picture, camera, caption, remarks), notes)
            self.add(note, "captioned", labelled)
        if self.finish.exposure_map:
            chart = png.with_name(f"exposure_{of}.png")
            _map_exposure(chart, self.opened, camera, light)
            self.add(note, "exposure_map", chart)
        return note

    def _captioned(
        self,
        picture: NDArray[np.uint8],
        camera: StageCamera,
        place: CaptionPlace,
        remarks: Sequence[str],
    ) -> NDArray[np.uint8]:
        """A copy of a frame that says which it is; all else is made of the frame without."""
        stage = self.opened.stage
        self._ruler = self._ruler or Ruler(stage, self.opened.scene.rules)
        numbers = self._ruler.camera(stage.setups[camera.name], camera)
        said = caption_of(self.opened.scene.title, camera.name, numbers, camera.t_number)
        today = datetime.now().astimezone().date()
        drawn = ("drawn, approximate",) if self.finish.approximate else ()
        told = made_from(today, version(), self.opened.digest, (*remarks, *drawn))
        return captioned(picture, said, told, place)

    def _made_with(self, samples: int) -> str:
        drawn = self.finish.approximate
        return f"drawn, approximate: {drawn}" if drawn else f"{samples} samples"

    def add(self, note: FrameNote, kind: str, file: Path, *, listed: bool = True) -> None:
        """Put a file into a frame's note; `listed`: the user is told of it as well."""
        note.files[kind] = file.relative_to(self.folder).as_posix()
        if listed:
            self.files.append(file)


def prepare(renderer: Renderer, watch: Progress) -> None:
    """Do what must come before any picture, telling how far it is.

    InterruptedRender when the user stops it: nothing of it is kept.
    """
    steps = renderer.prepare()
    first = next(steps, None)
    if first is None:
        return
    watch.start("baking the light", 100)
    try:
        for share in chain([first], steps):
            watch.advance(round(100 * share))
    except KeyboardInterrupt:
        raise InterruptedRender("stopped while the light was baked; nothing is kept") from None
    watch.finish()


def trace(
    exposing: Exposing,
    samples: int,
    pass_samples: tuple[int, int],
    label: str,
    watch: Progress,
    after_pass: Callable[[], None] = lambda: None,
) -> None:
    """Add passes to a picture until it has `samples`, telling how far it is.

    pass_samples  pixels of the picture, and the most paths of one pass
    """
    watch.start(label, samples)
    watch.advance(exposing.done)
    for step in passes(samples, exposing.done, *pass_samples):
        exposing.advance(step)
        watch.advance(exposing.done)
        after_pass()
    watch.finish()


def photograph(
    opened: OpenScene, camera: StageCamera, beauty: Image, white: tuple[float, float]
) -> NDArray[np.uint8]:
    """The developed picture (height, width, 3) of light in cd/m2."""
    linear = expose(beauty, exposure_scale(camera), white)
    return develop(linear, opened.scene.look.view, opened.lut)


def _map_exposure(path: Path, opened: OpenScene, camera: StageCamera, beauty: Image) -> None:
    """Write the exposure map of a frame, with the sensor's range from its record."""
    stage = opened.stage
    setup = stage.setups[camera.name]
    clip = setup.kit.sensor.stops_over_grey
    span = Span(clip, clip - setup.kit.sensor.dynamic_range_stops)
    title = (
        f"{opened.scene.title}, camera {camera.name}: stops over mid grey at "
        f"T{camera.t_number:.3g}, 1/{1.0 / camera.shutter_s:.4g} s, ISO {camera.iso:g}"
    )
    # Where the skin of the camera's subject falls when the meter at the face says grey.
    over = skin_over_card(stage, setup.subject)
    told = f"skin of {setup.subject} when the meter at the face is right"
    write_exposure_map(
        path, stops_image(beauty, camera), span, {} if over is None else {told: over}, title
    )
