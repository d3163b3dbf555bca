"""Findings on the shapes that are delivered besides the one that cameras are framed for."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.camera.crops import NAMES, Crop
from previz.measure.camera.framing import FramingNumbers, HeadInFrame
from previz.measure.measured import Measured
from previz.measure.rules.findings import Finding
from previz.measure.rules.frame import CLOSE, CUT_PCT, WIDE
from previz.model.exposure import spoken
from previz.model.rules import Rules

LOWEST_EYES_PCT = 50.0
"""Eyes below the middle of a picture hang: common practice, no source."""


def delivery_findings(measured: Measured) -> Iterator[Finding]:
    """Heads cut, too much headroom and low eyes in what is cut out round the eyes."""
    for name, numbers in measured.cameras.items():
        for shape in measured.stage.programme.delivery[1:]:
            if numbers.framing is not None:
                crop = numbers.framing.crops[NAMES[shape]]
                yield from _cut(name, spoken(shape), crop, numbers.framing, measured.rules)


def _cut(
    name: str, shape: str, crop: Crop, framing: FramingNumbers, rules: Rules
) -> Iterator[Finding]:
    about, subject = f"cameras.{name}", framing.subject
    out = out_pct(framing.head, crop)
    if out > CUT_PCT and crop.shot_size not in CLOSE:
        yield Finding(
            "delivery_head_cut",
            "fault",
            about,
            f"{shape} cut from camera {name} loses {out:.0f} % off the head of {subject}: go "
            f"wider, or frame another camera for {shape}",
            -out,
            0.0,
            f"% of the {shape} picture",
        )
    elif framing.headroom_pct > rules.headroom_max_pct or crop.shot_size in WIDE:
        return  # said of the frame itself already, or meant
    elif crop.headroom_pct > rules.headroom_max_pct:
        yield Finding(
            "delivery_headroom",
            "warning",
            about,
            f"{shape} cut from camera {name} has {crop.headroom_pct:.0f} % headroom over "
            f"{subject}, and there is nothing recorded to move it down to: tilt down",
            crop.headroom_pct,
            rules.headroom_max_pct,
            f"% of the height of {shape}",
        )
    elif crop.eye_height_pct > LOWEST_EYES_PCT:
        yield Finding(
            "delivery_eyes",
            "note",
            about,
            f"{shape} cut from camera {name} has the eyes of {subject} {crop.eye_height_pct:.0f} % "
            "from its top, under the middle: tilt down a little",
            crop.eye_height_pct,
            LOWEST_EYES_PCT,
            f"% of the height of {shape}",
        )


def out_pct(head: HeadInFrame, crop: Crop) -> float:
    """How far a head reaches out of a cut, % of the cut's width or height; negative inside it."""
    across, down = crop.right_pct - crop.left_pct, crop.bottom_pct - crop.top_pct
    wide = max(crop.left_pct - head.left_pct, head.right_pct - crop.right_pct) / across
    tall = max(crop.top_pct - head.top_pct, head.chin_pct - crop.bottom_pct) / down
    return 100.0 * max(wide, tall)
