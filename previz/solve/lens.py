"""Which stop, distance or focal length gives what is wanted. Thin lens; see `physics.focus`."""

from __future__ import annotations

from dataclasses import dataclass

from previz.measure.camera.framing import eyeline_of
from previz.measure.camera.heads import head_points, outermost
from previz.measure.camera.optics import OpticsNumbers
from previz.measure.measured import Measured
from previz.model.rules import ShotSize
from previz.physics import focus
from previz.solve.framing import (
    HEADROOM_PCT,
    Subject,
    Wish,
    focal_length_for,
    usual_head_pct,
    usual_look_room_pct,
)
from previz.stage.kit import Kit
from previz.units import m_to_mm, mm_to_m


@dataclass(frozen=True)
class Answer:
    """A setting that gives what was wanted, and whether this lens can be set so."""

    value: float
    unit: str
    within_reach: bool
    message: str


@dataclass(frozen=True)
class Wishes:
    """What is wanted of one camera (None: the first); None where nothing is."""

    camera: str | None = None
    size: ShotSize | None = None
    blur_pct_width: float | None = None
    depth_m: float | None = None


def answers(measured: Measured, wishes: Wishes) -> list[Answer]:
    """What would fulfil each wish. ValueError for a camera that is not there."""
    name = wishes.camera or next(iter(measured.cameras))
    if name not in measured.cameras:
        raise ValueError(f"there is no camera {name}; there is {', '.join(measured.cameras)}")
    optics, kit = measured.cameras[name].optics, measured.cameras[name].kit
    found = []
    if wishes.size is not None:
        found.append(focal_length_for_size(measured, name, wishes.size))
    if wishes.blur_pct_width is not None:
        found.append(stop_for_blur(optics, kit, wishes.blur_pct_width))
    if wishes.depth_m is not None:
        found.append(distance_for_depth(optics, kit, wishes.depth_m))
    return found


def stop_for_blur(optics: OpticsNumbers, kit: Kit, blur_pct_width: float) -> Answer:
    """Stop to set for a blur disc of the background, % of the frame's width.

    ValueError when the background is in the plane of focus or the blur is not above 0.
    """
    blur_mm = blur_pct_width / 100.0 * kit.mode.width_mm
    wanted = focus.f_number_for_blur(
        optics.focal_length_mm,
        blur_mm,
        m_to_mm(optics.focus_distance_m),
        m_to_mm(optics.background_distance_m),
    )
    marked = wanted / kit.factor
    widest = kit.lens.widest_f_number(optics.focal_length_mm / kit.factor)
    smallest = kit.lens.min_iris_f_number
    reach = widest * 0.99 <= marked <= smallest * 1.01
    said = f"f/{marked:.2g} on the lens blurs the background by {blur_pct_width:g} % of the width"
    limits = f"the lens goes from f/{widest:.2g} to f/{smallest:.2g}"
    return Answer(marked, "f-number", reach, said if reach else f"{said}, but {limits}")


def distance_for_depth(optics: OpticsNumbers, kit: Kit, depth_m: float) -> Answer:
    """Focus distance whose depth of field is `depth_m`; ValueError unless above 0."""
    wanted = mm_to_m(
        focus.focus_for_depth(
            optics.focal_length_mm,
            optics.f_number,
            optics.circle_of_confusion_mm,
            m_to_mm(depth_m),
        )
    )
    reach = wanted >= kit.lens.close_focus_m
    said = f"{wanted:.2f} m from the lens the depth of field is {depth_m:.2f} m"
    nearest = f"the lens focuses from {kit.lens.close_focus_m:.2f} m"
    return Answer(wanted, "m", reach, said if reach else f"{said}, but {nearest}")


def focal_length_for_size(measured: Measured, camera: str, size: ShotSize) -> Answer:
    """Focal length to set for a shot size from where a camera stands, with the usual headroom.

    ValueError when the camera is on nobody.
    """
    stage, kit = measured.stage, measured.cameras[camera].kit
    name = stage.setups[camera].aimed_at
    if name is None:
        raise ValueError(f"camera {camera} aims at nobody")
    person, placed = stage.people[name], stage.cameras[camera]
    subject = Subject(person, outermost(head_points(stage.things, person)))
    wish = Wish(
        usual_head_pct(size, measured.rules.shot_sizes),
        HEADROOM_PCT[size],
        usual_look_room_pct(eyeline_of(placed, person).yaw_deg),
    )
    behind = m_to_mm(focal_length_for(placed, subject, wish))
    marked = behind / kit.factor
    low, high = kit.lens.focal_length_mm
    reach = low * 0.999 <= marked <= high * 1.001
    said = f"{marked:.0f} mm on the lens frames {name} as a {size.replace('_', ' ')} from here"
    limits = f"the lens has {low:g} mm" if low == high else f"the lens has {low:g} to {high:g} mm"
    return Answer(marked, "mm", reach, said if reach else f"{said}, but {limits}")
