"""The parts of a package: what each rests on, and how it is made."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, get_args

from previz import cache
from previz.api.exporting import ExportOptions, export_scene
from previz.api.kept import CLEAN
from previz.api.opening import OpenScene
from previz.api.packing import PackOptions, pack_scenes
from previz.api.paging import PageOptions, page_of_scenes
from previz.api.pictures import pictures_of
from previz.api.pitching import PitchOptions, pitch_scenes
from previz.api.planning import PlanOptions, plan_scene
from previz.api.progress import Progress
from previz.api.rendering import compare_variants
from previz.api.session import RenderOptions
from previz.deliver.comparison import CompareRequest
from previz.deliver.files import whole_file
from previz.deliver.manifest import MANIFEST
from previz.deliver.verify.record import read_records
from previz.render.qualities import Quality
from previz.scenefile.decisions import LOG
from previz.solve.focal_lengths import beside
from previz.telling.cautions import printed_for
from previz.telling.tape import Units
from previz.version import version

Part = Literal["kit", "frames", "pitch", "page", "compare", "plan", "export", "record"]
PARTS: tuple[Part, ...] = get_args(Part)
OF_THE_DAY: frozenset[Part] = frozenset({"kit", "pitch", "page"})
"""Parts that are of all scenes together."""
COMPARED_PX = 480
CODE = {".py", ".frag", ".vert", ".css", ".js", ".html", ".json"}
Made = tuple[Sequence[Path], Sequence[str]]
"""Files, and sentences of caution."""


@dataclass(frozen=True)
class PackageOptions:
    """What goes into a package, and how it is made.

    parts     None: all
    width_px  of the frames
    focal_mm  focal lengths to compare on each scene's first camera; None: one shorter and one
              longer than its own
    """

    out: Path | str | None = None
    parts: tuple[Part, ...] | None = None
    quality: Quality = "review"
    width_px: int = 1280
    focal_mm: tuple[float, ...] | None = None
    paper: Literal["a4", "letter"] = "a4"
    units: Units = "metres"
    variant: str | None = None
    settings: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Job:
    """One part to be made: what it rests on, and how it comes about in a folder.

    scene    the scene it is of, by its name in the package; "" for one of the whole day
    made_as  how it is made, for people
    """

    part: Part
    scene: str
    rests_on: str
    made_as: str
    make: Callable[[Path], Made]

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from the other parts."""
        return self.scene, self.part

    @property
    def folder(self) -> Path:
        """Where in the package it goes."""
        return Path(self.part, self.scene)

    @property
    def words(self) -> str:
        """What it is, for people."""
        return f"{self.part} of {self.scene}" if self.scene else self.part


def jobs_of(
    opened: Mapping[str, OpenScene], options: PackageOptions, watch: Progress
) -> Iterator[Job]:
    """All parts that are wanted: those of the day, then scene by scene."""
    wanted = [part for part in PARTS if part in (options.parts or PARTS)]
    program = _program(opened)
    if "kit" in wanted:
        yield _kit(opened, options, watch, program)
    for name, scene in opened.items():
        of_scene = _OfScene(name, scene, options, watch, program)
        ways: dict[Part, Callable[[], Job]] = {
            "frames": of_scene.frames,
            "compare": of_scene.compare,
            "plan": of_scene.plan,
            "export": of_scene.export,
        }
        yield from (ways[part]() for part in wanted if part in ways)
        if "record" in wanted and _records(scene):
            yield of_scene.record()
    if "pitch" in wanted:  # from the frames that are there by now
        yield _pitch(opened, options, watch, program)
    if "page" in wanted:
        yield _page(opened, options, watch, program)


def _kit(
    opened: Mapping[str, OpenScene], options: PackageOptions, watch: Progress, program: str
) -> Job:
    def make(folder: Path) -> Made:
        packing = PackOptions(folder, options.paper, options.units)
        packed = pack_scenes(tuple(opened.values()), packing, watch)
        return packed.files, packed.cautions

    scenes = [(name, scene.set_digest, scene.scene.title) for name, scene in opened.items()]
    return Job("kit", "", _digest(program, scenes, options.paper, options.units), "", make)


def _pitch(
    opened: Mapping[str, OpenScene], options: PackageOptions, watch: Progress, program: str
) -> Job:
    def make(folder: Path) -> Made:
        wanted = PitchOptions(
            out=folder,
            frames=folder.parent / "frames",
            paper=options.paper,
            render=_frames(options),
        )
        made = pitch_scenes(tuple(opened.values()), wanted, watch)
        return made.files, made.cautions

    scenes = [(name, scene.digest, *_other_looks(scene)) for name, scene in opened.items()]
    how = (options.quality, options.width_px, options.variant, options.paper)
    return Job("pitch", "", _digest(program, "pitch", scenes, how), "", make)


def _page(
    opened: Mapping[str, OpenScene], options: PackageOptions, watch: Progress, program: str
) -> Job:
    def make(folder: Path) -> Made:
        frames = folder.parent / "frames"
        wanted = PageOptions(out=folder, frames=frames, render=_frames(options))
        made = page_of_scenes(tuple(opened.values()), wanted, watch)
        others = sorted(path for path in folder.rglob("*.png"))  # to be compared with later
        return (made.page, *others, *sorted(frames.rglob(f"*{CLEAN}.npz"))), made.cautions

    scenes = [
        (name, scene.digest, *_other_looks(scene), *map(_digest_of, _records(scene)))
        for name, scene in opened.items()
    ]
    how = (options.quality, options.width_px, options.variant)
    return Job("page", "", _digest(program, "page", scenes, how), "", make)


def _records(scene: OpenScene) -> list[Path]:
    """What is kept with a scene of what was decided, and of what was found on the day."""
    log = scene.folder / LOG
    return [*([log] if log.is_file() else []), *(path for path, _ in read_records(scene.folder))]


def _digest_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _other_looks(scene: OpenScene) -> Iterator[str]:
    """Digests of the files that a scene's pitch shows beside it."""
    for look in scene.scene.pitch.alternatives.values():
        path = scene.folder / look.scene
        yield _digest_of(path) if path.is_file() else ""


def _frames(options: PackageOptions) -> RenderOptions:
    return RenderOptions(
        quality=options.quality, width_px=options.width_px, variant=options.variant
    )


class _OfScene:
    """The parts of one scene."""

    def __init__(
        self, name: str, scene: OpenScene, options: PackageOptions, watch: Progress, program: str
    ) -> None:
        self.name, self.scene, self.options, self.watch = name, scene, options, watch
        self._program = program

    def frames(self) -> Job:
        """Every camera's frame."""
        options = self.options
        rendering = (options.quality, options.width_px, options.variant)

        def make(folder: Path) -> Made:
            pictures_of(self.scene, replace(_frames(options), out=folder), self.watch)
            pictures = [folder / f"frame_{name}.png" for name in self.scene.stage.cameras]
            light = [folder / "light" / f"{name}.npz" for name in self.scene.stage.cameras]
            return (*pictures, *light, folder / MANIFEST), printed_for(self.scene.stage)

        made_as = f"{options.quality}, {options.width_px} pixels wide"
        return self._job("frames", rendering, made_as, make, titled=False)

    def compare(self) -> Job:
        """Focal lengths of the first camera side by side."""
        first = next(iter(self.scene.stage.setups.values()))
        focal_mm = self.options.focal_mm or beside(first)
        variant = self.options.variant

        def make(folder: Path) -> Made:
            values = tuple(f"{value:g}" for value in focal_mm)
            wanted = RenderOptions(
                out=folder, quality="draft", width_px=COMPARED_PX, variant=variant
            )
            request = CompareRequest(None, "focal", values, ("same_position",))
            made = compare_variants(self.scene, request, wanted, self.watch)
            return (*made.files, made.manifest), made.cautions

        made_as = f"draft, {COMPARED_PX} pixels wide"
        return self._job("compare", (focal_mm, variant), made_as, make)

    def plan(self) -> Job:
        """Plan, elevations and setting-out table."""
        options = self.options

        def make(folder: Path) -> Made:
            drawing = PlanOptions(folder, options.paper, None, options.units)
            made = plan_scene(self.scene, drawing, self.watch)
            return made.files, made.cautions

        return self._job("plan", (options.paper, options.units), "", make)

    def export(self) -> Job:
        """Files for other programs."""
        variant = self.options.variant

        def make(folder: Path) -> Made:
            made = export_scene(self.scene, ExportOptions(out=folder, variant=variant), self.watch)
            for left_out in made.left_out:
                self.watch.say(left_out)
            return made.files, made.cautions

        return self._job("export", (variant,), "", make)

    def record(self) -> Job:
        """Copies of what was decided, and of what was found on the day."""
        kept = _records(self.scene)

        def make(folder: Path) -> Made:
            copies = [folder / path.name for path in kept]
            for path, copy in zip(kept, copies, strict=True):
                with whole_file(copy) as fresh:
                    shutil.copyfile(path, fresh)
            return copies, ()

        return self._job("record", [*map(_digest_of, kept)], "", make, titled=False)

    def _job(
        self,
        part: Part,
        how: Sequence[object],
        made_as: str,
        make: Callable[[Path], Made],
        *,
        titled: bool = True,
    ) -> Job:
        """A part that shows the set, and with it the scene's title where it is `titled`."""
        title = self.scene.scene.title if titled else ""
        rests_on = _digest(self._program, self.scene.set_digest, title, part, *how)
        return Job(part, self.name, rests_on, made_as, make)


def _program(opened: Mapping[str, OpenScene]) -> str:
    """Digest of the program and of the catalogues it reads."""
    here = Path(__file__).parents[1]
    code = [path for path in here.rglob("*") if path.suffix in CODE]
    roots = {scene.catalog.root for scene in opened.values()}
    return cache.key_of(
        [*code, *(path for root in roots for path in root.glob("*.yaml"))], version()
    )


def _digest(*what: object) -> str:
    told = json.dumps(what, sort_keys=True, allow_nan=False)
    return hashlib.sha256(told.encode()).hexdigest()
