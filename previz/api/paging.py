"""The page for a client: frames, other looks, light to turn and decisions in one HTML file."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.approvals import approvals_of
from previz.api.looks import based_on, looks_of, telling_camera
from previz.api.opening import OpenScene, Source, default_folder
from previz.api.pictures import Pictures, pictures_of
from previz.api.progress import Progress, Silence
from previz.api.session import RenderOptions
from previz.api.several import all_open
from previz.api.showing import FOLDER as SHOWN
from previz.api.showing import FrameSeen, showing_of, write_showing
from previz.api.showings import showings_in
from previz.api.turning import light_controls
from previz.api.verifying import verified_of
from previz.deliver.files import whole_file, writable_folder
from previz.deliver.frames import read_png
from previz.deliver.page.content import PageContent, PageFrame, PageScene
from previz.deliver.page.document import write_page
from previz.deliver.page.lines import lines_of
from previz.develop.table import FINE_SIDE, table_of
from previz.errors import InputError, Problem
from previz.errors import Place as FilePlace
from previz.measure.measured import CameraNumbers, Ruler
from previz.model.showing import Showing
from previz.telling.cautions import printed_for
from previz.telling.client import in_frame_words
from previz.telling.pitch import facts_of
from previz.telling.report_text import camera_rows
from previz.telling.setting_out import shown
from previz.telling.verify import day_words

PAGE = "page.html"
GUIDES_PX = 1600
"""How wide the frame is that guides are measured on; they are told in per cent of it."""


@dataclass(frozen=True)
class PageOptions:
    """How a page is made. `render` says how frames are; its folder and cameras stay unused.

    out     the page, or the folder it goes into
    frames  the folder where frames lie by scene and their light is kept; else beside the page
    before  a folder of earlier frames, or an earlier showing's file; else the last one kept
    light   whether the light can be turned in the page
    """

    out: Path | None = None
    frames: Path | None = None
    before: Path | None = None
    light: bool = True
    render: RenderOptions = field(default_factory=RenderOptions)
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Paged:
    """A page that was made: its file, the showing and where that is kept, how large the page is.

    rendered  cameras that had to be rendered, with their scene before them
    before    frames that have an earlier picture to compare with
    """

    page: Path
    showing: Showing
    showing_file: Path
    rendered: tuple[str, ...]
    before: tuple[str, ...]
    size_bytes: int
    cautions: tuple[str, ...]


def page_of_scenes(
    sources: Sequence[Source],
    options: PageOptions | None = None,
    progress: Progress | None = None,
) -> Paged:
    """Make the page of scenes; those that one names as alternatives, or based on it, are its looks.

    Frames and their light stay in `frames` beside the page, as `pitch` keeps them. InputError with
    the problems of every scene, or for earlier frames that are not there; ValueError for settings
    to several scenes.
    """
    options, watch = options or PageOptions(), progress or Silence()
    opened = all_open(sources, options.settings, watch)
    page = _page_file(next(iter(opened.values())), options)
    folder = writable_folder(page.parent)
    asked = None if options.before is None else _asked(page, options.before)
    shots = [*_shots(opened, folder, options, watch)]
    seen = {shot.name: (shot.opened, shot.seen) for shot in shots}
    title = shots[0].opened.scene.title
    showing = showing_of(title, seen)
    earlier = Earlier(asked or _shown_last(shots[0].opened.folder, folder / SHOWN, showing.id))
    scenes = [shot.told(earlier) for shot in shots]
    said = dict.fromkeys(text for shot in shots for text in printed_for(shot.opened.stage))
    write_page(page, PageContent(showing, scenes, tuple(said)))
    _keep(folder / SHOWN / showing.id, shots)
    return Paged(
        page=page,
        showing=showing,
        showing_file=write_showing(showing, shots[0].opened.folder),
        rendered=tuple(f"{shot.name}.{n}" for shot in shots for n in shot.pictures.rendered),
        before=tuple(
            f"{s.name}.{frame.camera}" for s in scenes for frame in s.frames
            if frame.before is not None
        ),
        size_bytes=page.stat().st_size,
        cautions=tuple(said),
    )  # fmt: skip


def _page_file(first: OpenScene, options: PageOptions) -> Path:
    out = options.out or default_folder(first.path) / "page"
    return out if out.suffix in (".html", ".htm") else out / PAGE


def _shots(
    opened: Mapping[str, OpenScene], folder: Path, options: PageOptions, watch: Progress
) -> Iterator[_Shots]:
    """Every scene with all its cameras; after each its other looks with the camera that tells."""
    names = list(opened)
    main = opened[names[0]]
    variants = [name for name in names[1:] if based_on(opened[name], main)]
    for name in (name for name in names if name not in variants):
        place = (options.frames or folder / "frames") / name
        yield _Shots(name, opened[name], None, "", (), (place, ()), options, watch)
        given = {n: (opened[n], None) for n in variants} if name == names[0] else {}
        for look, (variant, line) in looks_of(opened[name], given).items():
            camera = telling_camera(variant, opened[name])
            places = (place / "looks" / look, (place,))
            yield _Shots(look, variant, name, line or "", (camera,), places, options, watch)


class _Shots:
    """One scene's frames with all that the page says of them."""

    def __init__(
        self,
        name: str,
        opened: OpenScene,
        look_of: str | None,
        line: str,
        cameras: tuple[str, ...],
        places: tuple[Path, tuple[Path, ...]],
        options: PageOptions,
        watch: Progress,
    ) -> None:
        self.name, self.opened, self.look_of, self.line = name, opened, look_of, line
        folder, beside = places
        render = replace(options.render, out=folder, cameras=cameras, settings=())
        self.pictures: Pictures = pictures_of(opened, render, watch, beside)
        stage, ruler = opened.stage, Ruler(opened.stage, opened.scene.rules)
        self.numbers: Mapping[str, CameraNumbers] = {
            name: ruler.camera(stage.setups[name], stage.cameras[name])
            for name in self.pictures.frames
        }
        self.standings = approvals_of(opened)
        self.verified = verified_of(opened) if look_of is None else ()
        self.layers: dict[str, dict[str, NDArray[np.float32]]] = {}
        self.seen: dict[str, FrameSeen] = {}
        self.with_light = options.light and look_of is None
        watch.start(f"cleaning the light of {name}", len(self.pictures.frames))
        for done, camera in enumerate(self.pictures.frames, 1):
            self.seen[camera] = self._seen(camera, folder)
            watch.advance(done)
        watch.finish()

    def _seen(self, camera: str, folder: Path) -> FrameSeen:
        png = folder / f"frame_{camera}.png"
        if not self.with_light:
            return FrameSeen(png, self.pictures.light_of(camera), self.numbers[camera])
        self.layers[camera] = self.pictures.lights_apart(camera)
        linear = np.sum([*self.layers[camera].values()], axis=0, dtype=np.float32)
        return FrameSeen(png, np.asarray(linear), self.numbers[camera])

    def told(self, earlier: Earlier) -> PageScene:
        """As the page shows it."""
        scene = self.opened.scene
        layers = [*dict.fromkeys(n for found in self.layers.values() for n in found)]
        return PageScene(
            name=self.name,
            title=scene.title if self.look_of is None else shown(self.name).capitalize(),
            line=scene.pitch.line or "",
            by=scene.pitch.by or "",
            look_of=self.look_of,
            frames=[self._frame(camera, earlier) for camera in self.pictures.frames],
            lights=light_controls(self.opened, layers, self.pictures.card_light()),
            table=table_of(scene.look.view, self.opened.lut, FINE_SIDE) if layers else None,
        )

    def _frame(self, camera: str, earlier: Earlier) -> PageFrame:
        numbers, placed = self.numbers[camera], self.opened.stage.cameras[camera]
        facts = facts_of(numbers, placed.t_number)
        said = self.opened.scene.pitch.cameras.get(camera, ()) if self.look_of is None else ()
        picture = self.pictures.frames[camera]
        before = earlier.picture(self.name, camera)
        if before is not None and np.array_equal(before, picture):
            before = None
        return PageFrame(
            camera=camera,
            picture=picture,
            lines=(*([self.line] if self.line else ()), *said, facts),
            numbers=[*camera_rows(numbers), *self._of_the_day(camera)],
            guides=[*lines_of(placed.picture_size(GUIDES_PX), numbers.framing)],
            alt=in_frame_words(camera, numbers),
            layers=self.layers.get(camera, {}),
            before=before,
            approved=self._approved(camera),
        )

    def _of_the_day(self, camera: str) -> Iterator[tuple[str, str]]:
        """What stills of this camera said, that were held against the plan."""
        for listed in self.verified:
            if listed.record.camera == camera:
                yield "on the day", day_words(vars(listed.record), listed.same_plan)

    def _approved(self, camera: str) -> tuple[str, ...]:
        """Who approved just this frame, where nobody wishes it otherwise."""
        standing = next((one for one in self.standings if one.camera == camera), None)
        if standing is None or standing.wishes:
            return ()
        return tuple(decision.by for decision in standing.approvals)


# --- earlier frames ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Earlier:
    """A folder with the frames of an earlier showing; None where there is none."""

    folder: Path | None

    def picture(self, scene: str, camera: str) -> NDArray[np.uint8] | None:
        """The earlier picture of a frame, if there is one."""
        if self.folder is None:
            return None
        name = f"frame_{camera}.png"
        found = (self.folder / scene / name, self.folder / name)
        return next((read_png(path) for path in found if path.is_file()), None)


def _asked(page: Path, before: Path) -> Path:
    """The folder of the earlier frames that were asked for. InputError where it holds none."""
    folder = before if before.is_dir() else page.parent / SHOWN / before.stem
    if not any(folder.glob("**/frame_*.png")):
        cure = "name the folder of earlier frames, such as frame_A.png"
        text = f"no frames in {folder}; {cure}"
        raise InputError([Problem(FilePlace(before), f"--before: {text}")])
    return folder


def _shown_last(scene_folder: Path, kept: Path, now: str) -> Path | None:
    """The frames that were shown last and are kept, but for those of the showing `now`."""
    others = [kept / name for name in showings_in(scene_folder) if name != now]
    return next((folder for folder in reversed(others) if folder.is_dir()), None)


def _keep(folder: Path, shots: Sequence[_Shots]) -> None:
    """Keep what is shown, so that a later page can show it as it was before."""
    for shot in shots:
        for camera, seen in shot.seen.items():
            with whole_file(folder / shot.name / f"frame_{camera}.png") as fresh:
                shutil.copyfile(seen.png, fresh)
