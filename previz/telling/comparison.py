"""What stands under a frame of a comparison: its numbers, and what keeps it from being shot."""

from __future__ import annotations

from previz.measure.measured import CameraNumbers
from previz.measure.rules.findings import spoken
from previz.solve.variants import Variant
from previz.telling.numbers import (
    degrees,
    fixed,
    marked,
    metres,
    per_cent,
    signed_degrees,
)


def variant_rows(numbers: CameraNumbers, variant: Variant) -> dict[str, str]:
    """Its numbers in words, by their heading."""
    o, f = numbers.optics, numbers.framing
    rows = {
        "distance": metres(o.subject_distance_m),
        "angle of view": f"{fixed(o.horizontal_angle_deg, 1)} x {degrees(o.vertical_angle_deg, 1)}",
        "depth of field": f"{metres(o.near_limit_m)} to {metres(o.far_limit_m)}",
        "that is": metres(o.depth_of_field_m),
        "background blur": f"{per_cent(o.background_blur_pct_width, 1)} of width",
        "background seen": f"{metres(o.background_width_m)} wide",
        "stop": f"f/{marked(o.f_number)}, T{marked(o.t_number)}",
        "ISO": fixed(variant.placed.iso),
        "lens height": metres(float(numbers.position_m[2])),
    }
    if f is not None:
        rows["shot"] = f.shot_size.replace("_", " ")
        rows["headroom"] = per_cent(f.headroom_pct)
        rows["tilt"] = signed_degrees(f.tilt_deg, 0)
    return rows


def variant_remark(numbers: CameraNumbers, variant: Variant) -> str:
    """What keeps this variant from being shot, if anything."""
    found = []
    if variant.outside_m > 0.0:
        found.append(
            f"The camera would stand {metres(variant.outside_m)} outside the room; its wall is "
            "left out of this picture."
        )
    seen = [spoken(thing) for thing in numbers.intruders]
    if seen:
        found.append(f"In the frame: {', '.join(seen)}.")
    return " ".join(found)
