"""What of a frame says later by how much it has changed, and what lies between two frames.

Facts of a frame stand in a showing: where the person lies in it (per cent of the frame), the light
in a coarse grid (stops over mid grey), and the scene's values that pictures rest on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from previz.physics.exposure import nd_stops, stops_over_grey

if TYPE_CHECKING:  # a served review starts without geometry
    from previz.measure.camera.framing import FramingNumbers
    from previz.model.scene import Scene

ROWS, COLUMNS = 9, 16
NO_PICTURE = (
    "previz", "title", "notes", "pitch", "moves", "meters", "targets", "power", "recording",
    "rules", "picture", "exposure.circle_of_confusion", "exposure.mains_hz",
)  # fmt: skip
"""Values of a scene that no picture rests on, by the beginning of their path."""
EXPOSURE = ("f_number", "iso", "nd_density", "shutter_deg", "fps")
Grid = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Facts:
    """What is known of a frame. `grid` is (9, 16) stops over mid grey, None where none was read."""

    framing: Mapping[str, float] = field(default_factory=dict)
    grid: Grid | None = None
    settings: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Moved:
    """A line of the framing, per cent of the frame, then and now."""

    name: str
    then_pct: float
    now_pct: float

    @property
    def by_pct(self) -> float:
        """By how much; positive to the right, or down."""
        return self.now_pct - self.then_pct


@dataclass(frozen=True)
class LightChange:
    """Light then and now: the mean over the frame, and the cell that changed most."""

    mean_stops: float
    most_stops: float
    row: int
    column: int


@dataclass(frozen=True)
class SettingChange:
    """A value of the scene by its dotted path; None where there was or is none."""

    path: str
    then: Any
    now: Any


@dataclass(frozen=True)
class Difference:
    """What lies between two frames of a camera. `light` is None where it was not measured."""

    framing: tuple[Moved, ...]
    light: LightChange | None
    settings: tuple[SettingChange, ...]

    @property
    def framing_most(self) -> Moved | None:
        """What moved most."""
        return max(self.framing, key=lambda moved: abs(moved.by_pct), default=None)


# --- facts -----------------------------------------------------------------------------------


def framing_facts(framing: FramingNumbers | None) -> dict[str, float]:
    """Where the person lies in the frame, % of it from its left and top; empty without anyone."""
    if framing is None:
        return {}
    box = framing.subject_box
    found = {
        "head_top_pct": framing.headroom_pct,
        "chin_pct": framing.head.chin_pct,
        "eyes_pct": framing.eye_height_pct,
        "eyes_from_left_pct": framing.eye_from_left_pct,
    }
    if box is not None:
        found |= {
            "subject_left_pct": box.left_pct,
            "subject_right_pct": box.right_pct,
            "subject_top_pct": box.top_pct,
            "subject_bottom_pct": box.bottom_pct,
        }
    return found


def light_grid(luminance: Grid) -> Grid:
    """Mean stops over mid grey in 9 rows of 16 cells of exposed scene-linear luminance (h, w)."""
    stops = stops_over_grey(luminance)
    rows = np.array_split(stops, ROWS, axis=0)
    return np.array([[c.mean() for c in np.array_split(row, COLUMNS, axis=1)] for row in rows])


def picture_settings(scene: Scene) -> dict[str, Any]:
    """Values of a scene that pictures rest on by dotted path, entries of lists by number."""
    values = _flat(scene.model_dump(mode="json", exclude_none=True), "")
    return {path: value for path, value in values if not _in_no_picture(path)}


def _in_no_picture(path: str) -> bool:
    return any(path == start or path.startswith(f"{start}.") for start in NO_PICTURE)


def bears_on(path: str, camera: str) -> bool:
    """Whether a value can show in a camera's frame; another camera's cannot, but for its gear."""
    group, _, rest = path.partition(".")
    return group != "cameras" or rest.partition(".")[0] == camera


def _flat(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    if isinstance(value, Mapping):
        inner: Iterable[tuple[Any, Any]] = value.items()
    elif isinstance(value, list):
        inner = enumerate(value)
    else:
        yield path, value
        return
    for key, part in inner:
        yield from _flat(part, f"{path}.{key}" if path else str(key))


def _told(settings: Mapping[str, Any]) -> dict[str, Any]:
    """Values that pictures rest on, entries of a list together again, as people write them."""
    found: dict[str, Any] = {}
    for path, value in settings.items():
        if _in_no_picture(path):
            continue
        above, _, last = path.rpartition(".")
        if last.isdigit() and above:
            found.setdefault(above, []).append(value)
        else:
            found[path] = value
    return found


# --- between two -----------------------------------------------------------------------------


def between(then: Facts, now: Facts, camera: str) -> Difference:
    """What lies between the facts of two frames of a camera."""
    before, after = _told(then.settings), _told(now.settings)
    settings = _settings(before, after, camera)
    light = _light(then.grid, now.grid)
    if light is None and settings:
        light = _by_exposure(before, after, settings, camera)
    return Difference(
        framing=tuple(
            Moved(name, value, now.framing[name])
            for name, value in then.framing.items()
            if name in now.framing
        ),
        light=light,
        settings=settings,
    )


def _light(then: Grid | None, now: Grid | None) -> LightChange | None:
    if then is None or now is None or then.shape != now.shape:
        return None
    by = now - then
    row, column = np.unravel_index(int(np.argmax(np.abs(by))), by.shape)
    return LightChange(float(by.mean()), float(by[row, column]), int(row), int(column))


def _by_exposure(
    then: Mapping[str, Any],
    now: Mapping[str, Any],
    changed: Sequence[SettingChange],
    camera: str,
) -> LightChange | None:
    """The light where nothing but the camera's exposure has changed: then arithmetic tells it.

    None where anything else has, or where a value is not known. Focus and blur are left out.
    """
    of_exposure = {f"{at}.{key}" for at in (f"cameras.{camera}", "exposure") for key in EXPOSURE}
    if not all(change.path in of_exposure for change in changed):
        return None
    before, after = (_exposure_stops(values, camera) for values in (then, now))
    if before is None or after is None:
        return None
    return LightChange(after - before, after - before, ROWS // 2, COLUMNS // 2)


def _exposure_stops(values: Mapping[str, Any], camera: str) -> float | None:
    """Stops that the camera's settings let in, up to a constant of its lens."""
    found: dict[str, float] = {}
    for key in EXPOSURE:
        value = values.get(f"cameras.{camera}.{key}", values.get(f"exposure.{key}"))
        if value is None:
            return None
        found[key] = float(value)
    gathered = found["iso"] * found["shutter_deg"] / found["fps"] / found["f_number"] ** 2
    return math.log2(gathered) - nd_stops(found["nd_density"])


def _settings(
    then: Mapping[str, Any], now: Mapping[str, Any], camera: str
) -> tuple[SettingChange, ...]:
    """Values that differ. Those of other cameras only where nothing else does: their gear shows.

    A group that was not kept at all tells nothing.
    """
    groups = {path.partition(".")[0] for path in then}
    changed = [
        SettingChange(path, then.get(path), now.get(path))
        for path in {**then, **now}
        if then.get(path) != now.get(path) and path.partition(".")[0] in groups
    ]
    own = [change for change in changed if bears_on(change.path, camera)]
    return tuple(own or changed)
