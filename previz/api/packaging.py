"""Everything made of a day's scenes in one folder; what has not changed is not made again."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from pathlib import Path

from previz.api.opening import OpenScene, Source, default_folder
from previz.api.parts import Job, PackageOptions, jobs_of
from previz.api.progress import Progress, Silence
from previz.api.several import all_open
from previz.deliver.files import writable_folder
from previz.deliver.package.index import write_index
from previz.deliver.package.record import (
    PackageRecord,
    PartNote,
    SceneNote,
    changed_aside,
    clear_away,
    noted,
    read_record,
    still_there,
    write_record,
)
from previz.measure.measured import Ruler
from previz.memory import Memory
from previz.telling.cautions import ordered
from previz.telling.report_text import camera_rows
from previz.version import version


@dataclass(frozen=True)
class Packaged:
    """A package: its index page first among its files; what was made and what still held."""

    folder: Path
    files: tuple[Path, ...]
    made: tuple[str, ...]
    held: tuple[str, ...]
    seconds: float
    cautions: tuple[str, ...]


def package_scenes(
    sources: Sequence[Source],
    options: PackageOptions | None = None,
    progress: Progress | None = None,
) -> Packaged:
    """Make the whole package of a day's scenes, or what of it is not there as it should be.

    InputError with the problems of every scene; ValueError for settings to several. When it is
    stopped, parts that were finished are not made again.
    """
    options, watch = options or PackageOptions(), progress or Silence()
    # Several parts measure the same cameras and lay out the same floor.
    with Memory().round():
        return _packaged(sources, options, watch)


def _packaged(sources: Sequence[Source], options: PackageOptions, watch: Progress) -> Packaged:
    began = time.monotonic()
    opened = all_open(sources, options.settings, watch)
    folder = writable_folder(_folder_of(opened, options))
    scenes = tuple(
        SceneNote(name, str(scene.path), scene.scene.title, scene.digest)
        for name, scene in opened.items()
    )
    jobs = tuple(jobs_of(opened, options, watch))
    package = _Package(folder, scenes)
    held = [job for job in jobs if package.holds(job)]
    for job in jobs:
        if job not in held:
            watch.say(f"making {job.words}")
            package.make(job)
    record = package.finish([job.key for job in jobs], dict(_camera_words(opened)))
    return Packaged(
        folder=folder,
        files=package.files,
        made=tuple(job.words for job in jobs if job not in held),
        held=tuple(job.words for job in held),
        seconds=time.monotonic() - began,
        cautions=ordered({caution for part in record.parts for caution in part.cautions}),
    )


class _Package:
    """A package in its folder, as it becomes what it should be; its record is written each time."""

    def __init__(self, folder: Path, scenes: tuple[SceneNote, ...]) -> None:
        self.folder = folder
        self.files: tuple[Path, ...] = ()
        found = read_record(folder) or PackageRecord(version())
        self._record = replace(found, previz=version(), scenes=scenes)

    def holds(self, job: Job) -> bool:
        """Whether a part rests on the same and all its files are as they were written."""
        note = self._record.part(job.key)
        if note is None or note.rests_on != job.rests_on or not note.files:
            return False
        return all(still_there(self.folder, file) for file in note.files)

    def make(self, job: Job) -> None:
        """Make a part, in place of the one that is there."""
        began, before = time.monotonic(), self._record.part(job.key)
        with changed_aside(self.folder, before) if before else nullcontext():
            files, cautions = job.make(self.folder / job.folder)
        made = PartNote(
            name=job.part,
            scene=job.scene,
            rests_on=job.rests_on,
            made_as=job.made_as,
            seconds=round(time.monotonic() - began, 2),
            files=noted(self.folder, files),
            cautions=tuple(cautions),
        )
        if before is not None:
            clear_away(self.folder, before, made)
        self._record = self._record.with_part(made)
        write_record(self.folder, self._record)

    def finish(
        self, order: Sequence[tuple[str, str]], cameras: Mapping[tuple[str, str], str]
    ) -> PackageRecord:
        """Take away scenes that are no longer in it, and write the page that opens it.

        Parts that were not asked for stay.
        """
        names = {"", *(scene.name for scene in self._record.scenes)}
        for part in self._record.parts:
            if part.scene not in names:
                clear_away(self.folder, part, None)
        parts = [part for part in self._record.parts if part.scene in names]
        parts.sort(key=lambda part: order.index(part.key) if part.key in order else len(order))
        self._record = replace(self._record, parts=tuple(parts))
        index = write_index(self.folder, self._record, cameras)
        made = (self.folder / file.path for part in parts for file in part.files)
        self.files = (index, *made, write_record(self.folder, self._record))
        return self._record


def _camera_words(opened: Mapping[str, OpenScene]) -> Iterator[tuple[tuple[str, str], str]]:
    """A line on every camera: its lens, and how it frames."""
    for name, scene in opened.items():
        ruler = Ruler(scene.stage, scene.scene.rules)
        for camera, setup in scene.stage.setups.items():
            rows = dict(camera_rows(ruler.camera(setup, scene.stage.cameras[camera])))
            yield (name, camera), "; ".join(rows[key] for key in ("lens", "frame") if key in rows)


def _folder_of(opened: Mapping[str, OpenScene], options: PackageOptions) -> Path:
    if options.out is not None:
        return Path(options.out)
    if len(opened) == 1:
        return default_folder(next(iter(opened.values())).path) / "package"
    return Path("out") / "package"
