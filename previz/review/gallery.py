"""What is shown to a reviewer: the newest of each scene, and beside it what they decided on."""

from __future__ import annotations

import hashlib
import shutil
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from previz.api import Reviewed, default_folder
from previz.api.showings import SHOWN, Showing, ShownFrame
from previz.deliver.files import whole_file
from previz.errors import InputError, Place, Problem
from previz.measure.approvals import latest
from previz.measure.shown import between
from previz.model.decisions import Logged
from previz.review.pictures import formats, widths_of
from previz.scenefile import scene_file
from previz.telling.approvals import difference_words, moment_words

FRAMES = "frames"


class Gallery:
    """Scenes with their showings. InputError where one was never shown, or its pictures are gone.

    Pictures that were shown are kept beside the scene, under their digest, so that a later version
    can be held against what was decided on.
    """

    def __init__(self, scenes: Sequence[Path]) -> None:
        self._scenes = tuple(scenes)
        self.reviewed = Reviewed(scenes)
        outputs = [default_folder(scene_file(path)) for path in scenes]
        self._outputs = {output.name: output for output in outputs}
        self._listed = self._listing()
        self._pictures: dict[str, Path] = {}
        self._refreshing = threading.Lock()
        self._keep_newest()

    def refresh(self) -> None:
        """Take in what has been shown since; InputError where that cannot be, and nothing is."""
        with self._refreshing:
            listed, before = self._listing(), self.reviewed
            if listed == self._listed:
                return
            try:
                self.reviewed = Reviewed(self._scenes)
                self._keep_newest()
            except InputError:
                self.reviewed = before
                raise
            self._listed = listed

    def picture(self, digest: str) -> Path | None:
        """The file of a frame that was shown; None for any other."""
        return self._pictures.get(digest)

    def width_px(self, digest: str) -> int:
        """How wide a frame that was shown is; 0 for any other."""
        return next((f.width_px for f in self._all_frames() if f.sha256 == digest), 0)

    def told(self, reviewer: str, entries: Iterable[Logged]) -> dict[str, Any]:
        """All that the page of a reviewer shows. `entries`: what everybody decided so far."""
        by_frame: dict[tuple[str, str], list[Logged]] = {}
        for entry in entries:
            by_frame.setdefault(entry.frame, []).append(entry)
        return {
            "form": 1,
            "by": reviewer,
            "formats": list(formats()),
            "scenes": [
                {
                    "name": scene,
                    "title": self._newest(scene).titles[scene],
                    "frames": [
                        self._frame(frame, reviewer, by_frame.get(frame.key, []))
                        for frame in self._frames_of(scene)
                    ],
                }
                for scene in self.reviewed.folders
            ],
        }

    def _newest(self, scene: str) -> Showing:
        return list(self.reviewed.of(scene).values())[-1]

    def _frames_of(self, scene: str) -> Iterator[ShownFrame]:
        return (frame for frame in self._newest(scene).frames if frame.scene == scene)

    def _frame(self, frame: ShownFrame, reviewer: str, entries: Sequence[Logged]) -> dict[str, Any]:
        last = latest(entries)
        own = next((entry for entry in last if entry.by == reviewer), None)
        before = self._before(frame, own)
        return {
            **_picture(frame),
            "showing": frame.showing,
            "camera": frame.camera,
            "shown": frame.shown,
            "asks": own is None or own.shown != frame.shown,
            "before": None if before is None else self._compared(before, frame),
            "decisions": [
                {
                    "by": entry.by,
                    "own": entry.by == reviewer,
                    "says": entry.says,
                    "comment": entry.comment,
                    "mark": None if entry.mark is None else entry.mark.model_dump(),
                    "at": moment_words(entry.at),
                    "of_this": entry.shown == frame.shown,
                }
                for entry in last
            ],
        }

    def _before(self, frame: ShownFrame, own: Logged | None) -> ShownFrame | None:
        """The other version that they decided on, else the last one that was shown."""
        others = [f for f in self._all_frames() if f.key == frame.key and f.shown != frame.shown]
        if own is not None:
            return next((other for other in others if other.sha256 == own.sha256), None)
        return others[-1] if others else None

    def _compared(self, before: ShownFrame, frame: ShownFrame) -> dict[str, Any]:
        words = difference_words(between(before.facts, frame.facts, frame.camera))
        self._find(before)
        there = before.sha256 in self._pictures
        return {**_picture(before), "there": there, "words": words}

    # --- files ---------------------------------------------------------------------------------

    def _all_frames(self) -> Iterator[ShownFrame]:
        for showing in self.reviewed.showings.values():
            yield from (frame for frame in showing.frames if frame.scene in self.reviewed.folders)

    def _listing(self) -> Mapping[Path, float]:
        folders = {folder / SHOWN for folder in self.reviewed.folders.values()}
        return {f: f.stat().st_mtime for folder in folders for f in folder.glob("*.json")}

    def _keep_newest(self) -> None:
        problems = []
        for scene, folder in self.reviewed.folders.items():
            if not self.reviewed.of(scene):
                text = f"nothing has been shown of {scene} yet: previz page makes a showing"
                problems.append(Problem(Place(folder / SHOWN), text))
                continue
            for frame in self._frames_of(scene):
                if not self._find(frame):
                    text = (
                        f"the picture of camera {frame.camera} that was shown is not in "
                        f"{self._outputs[scene]}: make it again with previz page"
                    )
                    problems.append(Problem(Place(folder / SHOWN), text))
        if problems:
            raise InputError(problems)

    def _find(self, frame: ShownFrame) -> bool:
        """Find the picture of a frame, and keep it beside the scene."""
        if frame.sha256 in self._pictures:
            return True
        kept = self.reviewed.folders[frame.scene] / SHOWN / FRAMES / f"{frame.sha256}.png"
        if not _is(kept, frame.sha256):
            # What is shown together lies together, in the output of the first scene.
            folders = dict.fromkeys([self._outputs[frame.scene], *self._outputs.values()])
            made = (f for folder in folders for f in folder.rglob(f"*{frame.camera}.png"))
            found = next((file for file in made if _is(file, frame.sha256)), None)
            if found is None:
                return False
            with whole_file(kept) as fresh:
                shutil.copyfile(found, fresh)
        self._pictures[frame.sha256] = kept
        return True


def _is(file: Path, digest: str) -> bool:
    try:
        return hashlib.sha256(file.read_bytes()).hexdigest() == digest
    except OSError:
        return False


def _picture(frame: ShownFrame) -> dict[str, Any]:
    return {
        "sha256": frame.sha256,
        "width_px": frame.width_px,
        "height_px": frame.height_px,
        "widths_px": list(widths_of(frame.width_px)),
    }
