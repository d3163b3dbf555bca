"""Whether whom a move is about stays sharp, from second to second."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from previz.physics import focus, optics
from previz.stage.cameras import to_nearer_eye_m
from previz.stage.moving.move import Focus, StageMove
from previz.stage.moving.tracks import Timing
from previz.stage.stage import Stage
from previz.units import m_to_mm, mm_to_m

Key = TypeVar("Key")


@dataclass(frozen=True)
class Soft:
    """A stretch of a move in which its subject is out of focus.

    at_s        when it is worst
    distance_m  lens to the nearer eye then
    near_m, far_m  what is sharp then
    """

    subject: str
    from_s: float
    to_s: float
    at_s: float
    distance_m: float
    near_m: float
    far_m: float

    @property
    def off_m(self) -> float:
        """How far outside of what is sharp, at worst."""
        return max(self.near_m - self.distance_m, self.distance_m - self.far_m)


@dataclass(frozen=True)
class Close:
    """When a move focuses nearest, counted from the sensor."""

    at_s: float
    from_sensor_m: float


def soft_stretches(stage: Stage, move: StageMove, times_s: Sequence[float]) -> tuple[Soft, ...]:
    """Where the nearer eye of whom the move is about leaves the depth of field."""
    coc = move.setup.circle_of_confusion_mm(stage.programme.width_px)
    found: list[Soft] = []
    open_now = False
    for time_s in times_s:
        soft = _soft_at(move, time_s, coc)
        if soft is not None and open_now and found[-1].subject == soft.subject:
            found[-1] = _joined(found[-1], soft)
        elif soft is not None:
            found.append(soft)
        open_now = soft is not None
    return tuple(found)


def closest_focus(move: StageMove, times_s: Sequence[float]) -> Close:
    """When it focuses nearest, and how near; a thin lens of the focal length set."""
    return min((_focus_at(move, time_s) for time_s in times_s), key=lambda c: c.from_sensor_m)


def _focus_at(move: StageMove, time_s: float) -> Close:
    camera = move.camera_at(time_s)
    focal, sharp = m_to_mm(camera.focal_length_m), m_to_mm(camera.focus_distance_m)
    image = optics.thin_lens_image_distance(focal, max(sharp, 1.01 * focal))
    return Close(time_s, mm_to_m(sharp + image))


def _joined(before: Soft, now: Soft) -> Soft:
    worse = now if now.off_m > before.off_m else before
    return replace(worse, from_s=before.from_s, to_s=now.to_s)


def _soft_at(move: StageMove, time_s: float, coc_mm: float) -> Soft | None:
    subject = subject_at(move, time_s)
    if subject is None:
        return None
    camera = move.camera_at(time_s)
    focal, sharp = m_to_mm(camera.focal_length_m), m_to_mm(camera.focus_distance_m)
    distance = to_nearer_eye_m(camera.pose, move.people[subject])
    depth = focus.depth_of_field(focal, camera.f_number, coc_mm, max(sharp, 1.01 * focal))
    near, far = mm_to_m(depth.near), mm_to_m(depth.far)
    if near <= distance <= far:
        return None
    return Soft(subject, time_s, time_s, time_s, distance, near, far)


def subject_at(move: StageMove, time_s: float) -> str | None:
    """Whom the move is about at a moment: whom it is focused on, else whom it aims at.

    Nobody while focus or aim goes from one to another: who pulls focus means nobody to be sharp.
    """
    focuses = tuple(_around(move.focusing, move.focuses, time_s))
    aims = {aim.person for aim in _around(move.aiming, move.aims, time_s)}
    aimed = next(iter(aims)) if len(aims) == 1 else None
    if move.focuses == (Focus(move.setup.subject),):
        # Focus stays as it was before the move: it was not chosen for what comes.
        return aimed
    # A distance is meant for whom it aims at, but in a pull, where it is what it says.
    meant = None if move.kind == "focus_pull" else aimed
    on = {focus.person or meant for focus in focuses}
    return next(iter(on)) if len(on) == 1 else None


def _around(timing: Timing, keys: Sequence[Key], time_s: float) -> Iterator[Key]:
    """The key before a moment and the key after it, or the one there is."""
    here = max(bisect_right(timing.times_s, time_s) - 1, 0)
    yield keys[here]
    if here < len(keys) - 1 and timing.times_s[here] < time_s:
        yield keys[here + 1]
