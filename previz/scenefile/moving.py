"""Camera moves: keys in the order of time, what each kind of move can do, what the lens can."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from previz.scenefile.optics import (
    check_focal_length,
    check_focus_distance,
    check_stop,
    lens_of,
    set_focal_length,
)
from previz.scenefile.view import Point, View
from previz.scenefile.wording import Trail, listed, spoken

if TYPE_CHECKING:
    from previz.catalog import Catalog

OFF_THE_RAIL_M = 0.01
"""Places typed in centimetres lie as far off a straight line without meaning it: an estimate."""
_SLACK = 1e-6
_PLACES = ("at_m", "height_m")
_AIMS = ("aim", "aim_m", "pan_deg", "tilt_deg")
_REFUSED: dict[str, tuple[tuple[str, ...], str]] = {
    "pan_and_tilt": (_PLACES, "a pan_and_tilt stays where its tripod is"),
    "focus_pull": (
        (*_PLACES, *_AIMS, "focal_length_mm", "f_number"),
        "a focus_pull turns the focus ring and nothing else",
    ),
}
"""What the keys of a kind cannot give, and why."""


def check_moves(view: View, catalog: Catalog) -> None:
    """Every move: its times, its places, its lens."""
    for name in view.names("moves"):
        keys: list[Trail] = [
            ("moves", name, "keys", position) for position in view.inside("moves", name, "keys")
        ]
        _check_times(view, name, keys)
        _check_kind(view, name, keys)
        if view.text("moves", name, "kind") == "slider":
            _check_slider(view, name, keys)
        camera = view.text("moves", name, "camera")
        if camera in view.names("cameras") and camera is not None:
            _check_lens(view, catalog, camera, keys)
            _check_eyes(view, camera, keys)


def _check_times(view: View, name: str, keys: list[Trail]) -> None:
    duration, before = view.number("moves", name, "duration_s"), -1.0
    for key in keys:
        at = "at_s" if view.given(*key, "at_s") else "at_pct"
        moment = _moment_s(view, key, duration)
        if moment is None:
            continue
        if duration is not None and moment > duration + _SLACK:
            view.say_found((*key, at), f"at most {duration:g}, the move's duration_s")
        elif moment <= before:
            view.say(
                (*key, at), f"is at {moment:g} s, and the key before it at {before:g} s; put the "
                "keys in the order of time"
            )  # fmt: skip
        before = moment


def _moment_s(view: View, key: Trail, duration_s: float | None) -> float | None:
    share = view.number(*key, "at_pct")
    if share is None:
        return view.number(*key, "at_s")
    return None if duration_s is None else share / 100.0 * duration_s


def _check_kind(view: View, name: str, keys: list[Trail]) -> None:
    refused, why = _REFUSED.get(view.text("moves", name, "kind") or "", ((), ""))
    for key in keys:
        found = [what for what in refused if not view.lacking(*key, what)]
        if found:
            view.say(key, f"{why}; delete {listed(found, 'and')}")


def _check_slider(view: View, name: str, keys: list[Trail]) -> None:
    """Straight, level, no longer than it is."""
    for key in keys[1:]:
        if view.given(*key, "height_m"):
            view.say((*key, "height_m"), "a slider is level; give its height in the first key")
    places = _places(view, name, keys)
    if len(places) < 2:
        return
    points = np.array([point for _, point in places])
    apart = np.linalg.norm(points[:, None] - points[None, :], axis=-1)
    start, end = np.unravel_index(int(apart.argmax()), apart.shape)
    long = float(apart[start, end])
    if long < OFF_THE_RAIL_M:
        return
    way = (points[end] - points[start]) / long
    for (trail, _), point in zip(places, points - points[start], strict=True):
        off = abs(float(way[0] * point[1] - way[1] * point[0]))
        if off > OFF_THE_RAIL_M:
            view.say(
                trail, f"lies {off:.2f} m beside the straight line of this slider; put it on that "
                "line, or take a dolly"
            )  # fmt: skip
            return
    length = view.number("moves", name, "length_m")
    if length is not None and long > length + _SLACK:
        view.say(
            ("moves", name, "length_m"),
            f"must be at least {math.ceil(100.0 * long - _SLACK) / 100.0:.2f}, as far as the keys "
            f"are apart, found {length:g}",
        )


def _places(view: View, name: str, keys: list[Trail]) -> list[tuple[Trail, Point]]:
    """Where the camera is at each key, and before them if the first does not say."""
    camera = view.text("moves", name, "camera")
    found = [((*key, "at_m"), view.point(*key, "at_m")) for key in keys]
    first = _moment_s(view, keys[0], view.number("moves", name, "duration_s")) if keys else None
    if camera is not None and (not found or found[0][1] is None or (first or 0.0) > 0.0):
        own: Trail = ("cameras", camera, "place", "at_m")
        found.insert(0, (("moves", name, "keys"), view.point(*own)))
    return [(trail, point[:2]) for trail, point in found if point is not None]


def _check_lens(view: View, catalog: Catalog, camera: str, keys: list[Trail]) -> None:
    lens = lens_of(view, catalog, camera)
    if lens is None:
        return
    focal, stop = set_focal_length(view, camera, lens), view.number("cameras", camera, "f_number")
    for key in keys:
        check_focal_length(view, camera, lens, (*key, "focal_length_mm"))
        check_focus_distance(view, camera, lens, (*key, "focus_distance_m"))
        low, high = lens.focal_length_mm
        zoomed = view.number(*key, "focal_length_mm")
        if zoomed is not None:
            focal = min(max(zoomed, low), high)
        given = view.number(*key, "f_number")
        if focal is not None and given is not None:
            check_stop(view, catalog, camera, lens, (*key, "f_number"), focal)
        elif focal is not None and zoomed is not None and stop is not None:
            _check_zoomed(view, (*key, "focal_length_mm"), stop, lens.widest_f_number(focal))
        stop = given or stop


def _check_zoomed(view: View, trail: Trail, stop: float, widest: float) -> None:
    """A zoom that closes its iris as it grows longer cannot keep a wide stop."""
    if stop < widest / 1.01:
        view.say(
            trail, f"at this focal length the lens opens to f/{widest:.2g}, and the stop is "
            f"f/{stop:g}; give this key an f_number, or close down before"
        )  # fmt: skip


def _check_eyes(view: View, camera: str, keys: list[Trail]) -> None:
    """`focus: eye` is of whoever the camera aims at by then: that has to be somebody."""
    someone = not view.lacking("cameras", camera, "aim")
    for key in keys:
        if not view.lacking(*key, "aim"):
            someone = True
        elif any(view.given(*key, what) for what in _AIMS[1:]):
            someone = False
        if view.text(*key, "focus") == "eye" and not someone:
            view.say(
                (*key, "focus"), f"camera {spoken(camera)} aims at nobody here; name a person, or "
                "give focus_distance_m"
            )  # fmt: skip
