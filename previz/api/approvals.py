"""Whether frames are still what was approved, and if not by how much and why.

An approval is bound to what was seen: to the digest of all that the frame rests on. While that is
the same, so is the frame; once it is not, the facts of the showing say what lies between.
"""

from __future__ import annotations

from pathlib import Path

from previz.api.folders import scene_name
from previz.api.opening import OpenScene
from previz.api.showings import ShownFrame, showings_in
from previz.measure.approvals import FrameStanding, Lost, latest
from previz.measure.measured import Ruler
from previz.measure.shown import Difference, Facts, between, framing_facts, picture_settings
from previz.model.decisions import Logged
from previz.scenefile.decisions import read_log
from previz.stage.shown import shown_digests


def approvals_of(opened: OpenScene, out: Path | None = None) -> tuple[FrameStanding, ...]:
    """How every camera's frame stands with those who decided about it.

    out  where results of the scene lie, for the light as it is now. InputError for a log or a
    showing that cannot be read.
    """
    name = scene_name(opened.path)
    entries = [entry for entry in read_log(opened.folder) if entry.scene == name]
    digests = shown_digests(opened.stage, opened.scene.look, opened.lut)
    frames = _frames_by_seen(opened.folder) if entries else {}
    now = _Now(opened, out)
    standings = []
    for camera, shown in digests.items():
        last = latest(entry for entry in entries if entry.camera == camera)
        gone = [entry for entry in last if entry.says == "approved" and entry.shown != shown]
        lost = tuple(Lost(entry, now.since(frames.get(seen(entry)))) for entry in gone)
        standings.append(FrameStanding(name, camera, shown, last, lost))
    return tuple(standings)


def lost_approvals(opened: OpenScene, out: Path | None = None) -> tuple[FrameStanding, ...]:
    """Frames that are no longer what was approved; at once where nobody decided anything."""
    return tuple(standing for standing in approvals_of(opened, out) if standing.lost)


Seen = tuple[str, str, str, str]


def seen(decision: Logged) -> Seen:
    """Showing, scene, camera and file that a decision is about."""
    return decision.showing, decision.scene, decision.camera, decision.sha256


def _frames_by_seen(folder: Path) -> dict[Seen, ShownFrame]:
    return {
        (frame.showing, frame.scene, frame.camera, frame.sha256): frame
        for showing in showings_in(folder).values()
        for frame in showing.frames
    }


class _Now:
    """Facts of a scene's frames as they are now, each measured once and only if asked for."""

    def __init__(self, opened: OpenScene, out: Path | None) -> None:
        self._opened, self._out = opened, out
        self._facts: dict[str, Facts] = {}

    def since(self, then: ShownFrame | None) -> Difference | None:
        if then is None:
            return None
        if then.camera not in self._facts:
            self._facts[then.camera] = self._measured(then.camera)
        return between(then.facts, self._facts[then.camera], then.camera)

    def _measured(self, camera: str) -> Facts:
        # What reads pictures is loaded only where an approval is lost.
        from previz.api.light_now import light_now  # noqa: PLC0415

        stage, scene = self._opened.stage, self._opened.scene
        numbers = Ruler(stage, scene.rules).camera(stage.setups[camera], stage.cameras[camera])
        grid = light_now(self._opened, camera, self._out)
        return Facts(framing_facts(numbers.framing), grid, picture_settings(scene))
