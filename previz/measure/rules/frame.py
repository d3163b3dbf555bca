"""Findings on single frames: heads cut, no look room, eyelines, what should not be seen."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

import numpy as np

from previz.measure.camera.framing import FramingNumbers, HeadInFrame
from previz.measure.camera.sight import Box
from previz.measure.measured import CameraNumbers, Measured
from previz.measure.roles import interviewer_of
from previz.measure.rules.findings import GEOMETRY, Finding, spoken
from previz.measure.sound.boom_seen import parts_seen, stand_place_m
from previz.model.rules import Rules
from previz.physics.projection import ACTION_SAFE_MARGIN
from previz.scenefile.wording import listed
from previz.stage.stage import Stage, StageCamera

CLOSE = ("extreme_close_up", "big_close_up")
WIDE = ("wide_shot", "extreme_wide_shot")
GROUP = ("medium_wide_shot", *WIDE)
"""Sizes in which others are meant to be seen, and a look needs no room of its own."""
CUT_PCT = 0.5
"""Less of a head than this over the edge is no cut: an estimate."""
ROUNDING_PCT = 0.5
BESIDE = 0.6
"""A head of at least this share of the subject's is beside them, not behind: an estimate."""
PROFILE = -0.34
"""Cosine between face and lens down to which a face is seen: 20 degrees beyond the profile, an
estimate."""
AT_EDGE_PCT = 0.1
"""What is seen so near an edge goes on beyond it: an estimate."""
ACTION_SAFE_PCT = 100.0 * ACTION_SAFE_MARGIN
"""EBU R 95."""
Edge = Literal["upper", "left", "right", "lower"]
MEASURES: dict[Edge, str] = {
    "upper": "height", "left": "width", "right": "width", "lower": "height",
}  # fmt: skip


def frame_findings(measured: Measured) -> Iterator[Finding]:
    """What is wrong in each camera's frame."""
    for name, numbers in measured.cameras.items():
        framing = numbers.framing
        if framing is not None:
            rules = measured.rules
            yield from _head(name, framing, rules)
            yield from _look_room(name, framing, rules)
            yield from _eyeline(name, framing, numbers, measured)
            yield from _lens_height(name, framing, numbers, measured)
            yield from _joints(name, framing, rules)
            yield from _safe(name, framing)
        yield from _intruders(name, numbers, measured.stage)


def _head(name: str, framing: FramingNumbers, rules: Rules) -> Iterator[Finding]:
    if framing.shot_size in CLOSE:
        return
    edge, out = _farthest_out(framing.head, 0.0)
    if out > CUT_PCT:
        yield Finding(
            "head_cut",
            "fault",
            f"cameras.{name}",
            f"the head of {framing.subject} reaches {out:.1f} % of the {MEASURES[edge]} over the "
            f"{edge} edge of camera {name}: {'tilt' if edge in ('upper', 'lower') else 'pan'} to "
            "it, or go wider",
            -out,
            0.0,
            f"% of the {MEASURES[edge]}",
        )
    elif framing.headroom_pct > rules.headroom_max_pct and framing.shot_size not in WIDE:
        yield Finding(
            "headroom",
            "warning",
            f"cameras.{name}",
            f"camera {name} leaves {framing.headroom_pct:.0f} % headroom over {framing.subject}: "
            "tilt down, or frame closer",
            framing.headroom_pct,
            rules.headroom_max_pct,
            "% of the height",
        )


def _look_room(name: str, framing: FramingNumbers, rules: Rules) -> Iterator[Finding]:
    least = rules.look_room_min_pct
    if framing.looks_to == "lens" or framing.shot_size in GROUP:
        return
    if framing.look_room_pct >= least - ROUNDING_PCT:
        return
    yield Finding(
        "look_room",
        "warning",
        f"cameras.{name}",
        f"{framing.subject} looks to the {framing.looks_to} in camera {name} with "
        f"{framing.look_room_pct:.0f} % of the width ahead of the eyes: pan to the "
        f"{framing.looks_to}",
        framing.look_room_pct,
        least,
        "% of the width",
    )


def _eyeline(
    name: str, framing: FramingNumbers, numbers: CameraNumbers, measured: Measured
) -> Iterator[Finding]:
    pitch, most = framing.eyeline.pitch_deg, measured.rules.eyeline_pitch_max_deg
    if abs(pitch) <= most:
        return
    way, cure = ("over", "lower") if pitch > 0.0 else ("under", "raise")
    person = measured.stage.people[framing.subject]
    look_deg = math.degrees(math.asin(float(np.clip(person.gaze[2], -1.0, 1.0))))
    if abs(look_deg - pitch) >= abs(look_deg):
        # The lens is farther off eye height than whoever they look at: it is the one to move.
        away_m = float(np.linalg.norm((numbers.position_m - person.landmarks["eyes"])[:2]))
        rise_m = float(person.landmarks["eyes"][2] - numbers.position_m[2])
        rise_m += away_m * math.tan(math.radians(look_deg))
        cure = f"{'raise' if pitch > 0.0 else 'lower'} the camera by {100.0 * abs(rise_m):.0f} cm"
    else:
        cure += " whoever they look at until the eyes are at lens height"
    yield Finding(
        "eyeline_height",
        "warning",
        f"cameras.{name}",
        f"{framing.subject} looks {abs(pitch):.0f} degrees {way} the lens of camera {name}: {cure}",
        pitch,
        most if pitch > 0.0 else -most,
        "deg",
    )


def _lens_height(
    name: str, framing: FramingNumbers, numbers: CameraNumbers, measured: Measured
) -> Iterator[Finding]:
    eyes = measured.people[framing.subject].eye_height_m
    off_cm = 100.0 * (float(numbers.position_m[2]) - eyes)
    most = measured.rules.lens_to_eye_height_max_cm
    if abs(off_cm) > most:
        where = "over" if off_cm > 0.0 else "under"
        yield Finding(
            "lens_height",
            "note",
            f"cameras.{name}",
            f"the lens of camera {name} is {abs(off_cm):.0f} cm {where} the eyes of "
            f"{framing.subject}; at eye height it looks neither up nor down at them",
            off_cm,
            most if off_cm > 0.0 else -most,
            "cm",
        )


def _joints(name: str, framing: FramingNumbers, rules: Rules) -> Iterator[Finding]:
    if framing.joints_cut:
        named = " and ".join(joint.replace("_", " ") for joint in framing.joints_cut)
        yield Finding(
            "joint_cut",
            "note",
            f"cameras.{name}",
            f"the frame of camera {name} cuts {framing.subject} at a joint ({named}); a little "
            "tighter or wider looks better",
            None,
            rules.joint_gap_pct,
            "% of the height",
        )


def _safe(name: str, framing: FramingNumbers) -> Iterator[Finding]:
    edge, out = _farthest_out(framing.head, ACTION_SAFE_PCT)
    if out > 0.0 and framing.shot_size not in CLOSE and out <= ACTION_SAFE_PCT + CUT_PCT:
        yield Finding(
            "safe_area",
            "note",
            f"cameras.{name}",
            f"the head of {framing.subject} comes to {max(ACTION_SAFE_PCT - out, 0.0):.1f} % of "
            f"the {MEASURES[edge]} from the {edge} edge of camera {name}, out of the action-safe "
            "area",
            ACTION_SAFE_PCT - out,
            ACTION_SAFE_PCT,
            f"% of the {MEASURES[edge]}",
            "EBU R 95",
        )


def _farthest_out(head: HeadInFrame, margin_pct: float) -> tuple[Edge, float]:
    """The edge that a head reaches over most, with a margin inside it, and by how much, %."""
    out: dict[Edge, float] = {
        "upper": -head.top_pct,
        "left": -head.left_pct,
        "right": head.right_pct - 100.0,
        "lower": head.chin_pct - 100.0,
    }
    edge = max(out, key=lambda e: out[e])
    return edge, out[edge] + margin_pct


def _intruders(name: str, numbers: CameraNumbers, stage: Stage) -> Iterator[Finding]:
    for thing, box in numbers.intruders.items():
        share = numbers.in_frame.get(thing, 0.0)
        is_person = thing.startswith("people.")
        whose = _owner(thing)
        if is_person and numbers.framing and numbers.framing.shot_size in GROUP:
            yield from _cut_at_side(name, thing, box, numbers)
            continue
        if whose != thing and whose in numbers.intruders:
            continue  # whoever sits there has been named
        if is_person and _is_framed(whose.partition(".")[2], name, numbers, stage):
            continue
        rule, said, cure = _kind_of(thing, stage, stage.cameras[name], box)
        yield Finding(
            rule,
            "warning" if is_person else "fault",
            f"cameras.{name}",
            f"{said} in the frame of camera {name}{_where(box)}: {cure}",
            share,
            0.0,
            "% of the frame",
            GEOMETRY,
        )


def _is_framed(person: str, camera: str, numbers: CameraNumbers, stage: Stage) -> bool:
    """Whether somebody besides the subject is plainly meant: the second of a two-shot.

    Their whole head is in the frame, nearly as large as the subject's, at least in profile, and
    it is not the interviewer who looks in.
    """
    head, framing = numbers.others.get(person), numbers.framing
    if head is None or framing is None or person == interviewer_of(stage):
        return False
    _, out = _farthest_out(head, 0.0)
    placed = stage.people[person]
    to_lens = stage.cameras[camera].position_m - placed.landmarks["eyes"]
    facing = float(placed.face_forward @ to_lens) / float(np.linalg.norm(to_lens))
    return (
        out <= CUT_PCT
        and head.skull_height_pct >= BESIDE * framing.head_height_pct
        and facing > PROFILE
    )


def _cut_at_side(name: str, thing: str, box: Box, numbers: CameraNumbers) -> Iterator[Finding]:
    """Somebody of a group whom an edge takes head and shoulder, neither in the frame nor out."""
    head = numbers.others.get(thing.partition(".")[2])
    left, right = box.left_pct <= AT_EDGE_PCT, box.right_pct >= 100.0 - AT_EDGE_PCT
    if head is None or not (left or right) or max(-head.left_pct, head.right_pct - 100.0) < CUT_PCT:
        return
    share = numbers.in_frame.get(thing, 0.0)
    yield Finding(
        "person_cut",
        "warning",
        f"cameras.{name}",
        f"the {'left' if left else 'right'} edge of camera {name} cuts {spoken(thing)}, head and "
        f"all ({share:.1f} % of the frame): pan or go wider until they are in, or frame them out",
        share,
        0.0,
        "% of the frame",
        GEOMETRY,
    )


def _owner(thing: str) -> str:
    """Whose a thing is: `people.guest` of `people.guest.seat`, else itself."""
    return ".".join(thing.split(".")[:2]) if thing.startswith("people.") else thing


def _kind_of(thing: str, stage: Stage, camera: StageCamera, box: Box) -> tuple[str, str, str]:
    kind, _, name = thing.partition(".")
    if kind == "sound":
        return "boom_in_frame", *_boom(stage, camera, box)
    if kind == "people":
        cure = "move the camera or them, if not to be seen"
        return "person_in_frame", f"{spoken(thing)} is", cure
    noun = "camera" if kind == "cameras" else "the light"
    return "gear_in_frame", f"{noun} {name} or its stand is", "move it, or frame it out"


def _boom(stage: Stage, camera: StageCamera, box: Box) -> tuple[str, str]:
    """Which part of the boom is in a frame, and what takes it out."""
    parts, boom = parts_seen(stage, camera, box), stage.sound.boom
    are = "is" if len(parts) == 1 else "are"
    said = f"the {listed(parts, 'and')} of the boom {are}"
    if boom is None or "microphone" in parts:
        return said, "raise it or move it out"
    place = stand_place_m(stage, boom)
    if place is None:
        return said, "no place for its stand is out of all frames; have it held by hand"
    return said, f"move its stand to [{place[0]:g}, {place[1]:g}], out of all frames"


def _where(box: Box) -> str:
    """From which edge it reaches in, and how far."""
    reach = {
        "the top": (box.top_pct <= AT_EDGE_PCT, box.bottom_pct, "height"),
        "the left": (box.left_pct <= AT_EDGE_PCT, box.right_pct, "width"),
        "the right": (box.right_pct >= 100.0 - AT_EDGE_PCT, 100.0 - box.left_pct, "width"),
        "the bottom": (box.bottom_pct >= 100.0 - AT_EDGE_PCT, 100.0 - box.top_pct, "height"),
    }
    touching = {edge: far for edge, far in reach.items() if far[0] and far[1] < 95.0}
    if not touching:
        return ""
    edge = min(touching, key=lambda e: touching[e][1])
    return f", {touching[edge][1]:.0f} % of the {touching[edge][2]} in from {edge}"
