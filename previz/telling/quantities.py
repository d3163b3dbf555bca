"""Every number that previz prints as JSON: its unit, its digits, what it means, what it rests on.

A row stands under the place of its number in the JSON. `*` is a name of the scene's own, such as a
camera's or a light's; lists take no level of their own. A row covers all that is inside its name:
`position_m` the three parts of a point, `illuminance_lx` the lux of every light. A number without
a row is not told: `told` refuses it. How many digits: finer than anything is set by on the day (an
estimate).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from numbers import Integral, Real
from typing import Any

from previz.measure.rules.findings import CATALOGUE, GEOMETRY, PRACTICE
from previz.telling.numbers import rounded

SCENE = "the scene file"
LENS = "law of the thin lens"
AIRY = "Airy 1835, from memory"
EYE = "schematic eyes of Le Grand and of Gullstrand and Emsley, from memory"
FRESNEL = "Fresnel 1823, from memory"
METER = "ISO 2720:1974, from memory"
COLOUR = "CIE 15, CIE 1960 (u, v)"
TRACED = "light traced on the scene"
POWER = "law of electric power"
OUTLET = "the rule named in `source`"
SOLVED = "least squares in stops against the scene's targets"
CLOCK = "the clock"
IN_UNIT = "in `unit`"
"""How the meaning of a number ends whose unit stands beside it."""
SABINE = 'Sabine, "Collected Papers on Acoustics", 1922 (from memory)'
KUTTRUFF = 'Kuttruff, "Room Acoustics", 2009 (from memory)'
SUN = "astronomy of the sun, by place and time"
RULE = "the source named with it"


@dataclass(frozen=True)
class Row:
    """One number.

    unit     its symbol; empty: a pure number
    digits   behind the point in JSON; None: as it was given. Whole numbers stay whole
    meaning  in plain words
    source   what it rests on: a law, a standard, a record, the scene's geometry
    """

    unit: str
    digits: int | None
    meaning: str
    source: str


_ERROR = Row("%", 1, "standard error of the total", TRACED)
_DUV = Row("", 4, "distance from the Planckian locus, + greener", COLOUR)

_LENS = {
    "horizontal_angle_deg": Row("deg", 4, "angle of view across", LENS),
    "vertical_angle_deg": Row("deg", 4, "angle of view up and down", LENS),
    "diagonal_angle_deg": Row("deg", 4, "angle of view from corner to corner", LENS),
    "horizontal_angle_focused_deg": Row("deg", 4, "across, focused by moving the lens", LENS),
    "focal_length_mm": Row("mm", 4, "focal length behind any adapter", CATALOGUE),
    "f_number": Row("", 4, "f-number behind any adapter: depth of field", CATALOGUE),
    "t_number": Row("", 4, "T-number behind any adapter: exposure", CATALOGUE),
    "crop_factor": Row("", 4, "36 mm over the width that is read", CATALOGUE),
    "equivalent_focal_length_mm": Row("mm", 4, "as long on full frame, by width", LENS),
    "subject_distance_m": Row("m", 4, "lens to the nearer eye, along its axis", GEOMETRY),
    "focus_distance_m": Row("m", 4, "lens to what is in focus", GEOMETRY),
    "focus_from_sensor_m": Row("m", 4, "sensor to what is in focus", LENS),
    "close_focus_m": Row("m", 4, "nearest focus, from the sensor", CATALOGUE),
    "circle_of_confusion_mm": Row("mm", 4, "blur that still counts as sharp", PRACTICE),
    "near_limit_m": Row("m", 4, "where sharpness begins", LENS),
    "far_limit_m": Row("m", 4, "where sharpness ends; null: infinity", LENS),
    "depth_of_field_m": Row("m", 4, "from near to far limit; null: infinite", LENS),
    "hyperfocal_m": Row("m", 4, "focus that is sharp to infinity", LENS),
    "field_width_m": Row("m", 4, "width of the picture at the subject", LENS),
    "background_distance_m": Row("m", 4, "behind the subject on the axis; null: sky", GEOMETRY),
    "background_nearest_m": Row("m", 4, "nearest beside the subject", GEOMETRY),
    "background_median_m": Row("m", 4, "half of it is nearer; null: sky", GEOMETRY),
    "background_farthest_m": Row("m", 4, "farthest beside the subject; null: sky", GEOMETRY),
    "background_width_m": Row("m", 4, "width seen at the background", LENS),
    "background_blur_mm": Row("mm", 4, "blur disc of the background on the sensor", LENS),
    "background_blur_pct_width": Row("%", 4, "the same of the picture's width", LENS),
    "background_blur_px": Row("px", 4, "the same in pixels of the delivered picture", LENS),
    "airy_disc_mm": Row("mm", 4, "diffraction disc to its first dark ring", AIRY),
    "diffraction_f_number": Row("", 4, "f-number whose disc is two pixels wide", AIRY),
    "image_circle_mm": Row("mm", 4, "what lens and adapter cover", CATALOGUE),
    "mode_diagonal_mm": Row("mm", 4, "diagonal of what the sensor reads", CATALOGUE),
    "near_focus_loss_stops": Row("stops", 4, "loss by near focus that exposure leaves out", LENS),
    "stops": Row("stops", 4, "light won (+) and lost (-) by each element", CATALOGUE),
}

_FRAME = {
    "headroom_pct": Row("%", 4, "frame's top to hair as seen; below 0: cut", GEOMETRY),
    "eye_height_pct": Row("%", 4, "the eyes, from the frame's top", GEOMETRY),
    "eye_from_left_pct": Row("%", 4, "the eyes, from the frame's left", GEOMETRY),
    "look_room_pct": Row("%", 4, "eyes to the edge on the side looked to", GEOMETRY),
    "subject_height_pct": Row("%", 4, "what is seen of the person, top to bottom", GEOMETRY),
    "subject_box_pct": Row("%", 4, "edges of what is seen of the person", GEOMETRY),
    "head_height_pct": Row("%", 4, "top of the skull to the chin, without hair", GEOMETRY),
    "head_box_pct": Row("%", 4, "edges of the head; may lie outside", GEOMETRY),
    "eyeline_yaw_deg": Row("deg", 4, "gaze beside the lens, + to the right", GEOMETRY),
    "eyeline_pitch_deg": Row("deg", 4, "gaze over (+) or under the lens", GEOMETRY),
    "tilt_deg": Row("deg", 4, "lens up (+) or down", GEOMETRY),
    "horizon_deg": Row("deg", 4, "roll, + clockwise", GEOMETRY),
    "position_m": Row("m", 4, "the lens: east, north, up", GEOMETRY),
    "aim_m": Row("m", 4, "on its axis, at the subject's distance", GEOMETRY),
    "in_frame_pct": Row("%", 4, "share of the frame that each thing takes", GEOMETRY),
    "aisle_m": Row("m", 4, "widest way past the camera", GEOMETRY),
}

_CROP = {
    "left_pct": Row("%", 4, "left edge, of the frame's width", GEOMETRY),
    "top_pct": Row("%", 4, "upper edge, of its height", GEOMETRY),
    "right_pct": Row("%", 4, "right edge, of its width", GEOMETRY),
    "bottom_pct": Row("%", 4, "lower edge, of its height", GEOMETRY),
    "spare_across_px": Row("px", 0, "room to move it sideways, recorded pixels", GEOMETRY),
    "spare_down_px": Row("px", 0, "room to move it up and down", GEOMETRY),
    "headroom_pct": Row("%", 2, "over the head, of the cut's own height", GEOMETRY),
    "eye_height_pct": Row("%", 2, "the eyes from its top, of its own height", GEOMETRY),
}

_CATCHLIGHT = {
    "clock_h": Row("h", 3, "place round the pupil, as on a clock", EYE),
    "from_centre_mm": Row("mm", 3, "from the middle of the pupil", EYE),
    "width_mm": Row("mm", 3, "width in the picture, on the cornea", EYE),
    "height_mm": Row("mm", 3, "height in the picture, on the cornea", EYE),
}

_VEIL = {
    "covered_pct": Row("%", 3, "of what is seen of the lens", GEOMETRY),
    "veil_cd_m2": Row("cd/m2", 3, "mean luminance that the mirrored light adds", FRESNEL),
    "stops_over_grey": Row("stops", 3, "the same against a grey card", FRESNEL),
}

_FACE = {
    "illuminance_lx": Row("lx", 2, "at the face by light, toward `facing`", TRACED),
    "error_pct": _ERROR,
    "illuminance_lx_by_camera": Row("lx", 2, "the same toward each camera", TRACED),
    "error_pct_by_camera": _ERROR,
    "illuminance_lx_ahead": Row("lx", 2, "at the face by light, straight ahead", TRACED),
    "error_pct_ahead": _ERROR,
    "key_to_fill_ratio": Row("", 3, "key over fill, each alone", TRACED),
    "key_to_fill_stops": Row("stops", 3, "the same in stops", TRACED),
    "lighting_ratio": Row("", 3, "key and fill over fill", TRACED),
    "lit_side_lx": Row("lx", 1, "brighter side of the face, 60 degrees off", TRACED),
    "lit_side_error_pct": Row("%", 1, "standard error of it", TRACED),
    "shadow_side_lx": Row("lx", 1, "darker side of the face, 60 degrees off", TRACED),
    "shadow_side_error_pct": Row("%", 1, "standard error of it", TRACED),
    "contrast_ratio": Row("", 3, "lit side over shadow side", TRACED),
    "hair_over_key_stops": Row("stops", 3, "hair light on the head against the key", TRACED),
    "cct_k": Row("K", 0, "colour temperature of the mix, straight ahead", COLOUR),
    "duv": _DUV,
}

_METER = {
    "illuminance_lx": Row("lx", 2, "by light and in total", TRACED),
    "error_pct": _ERROR,
    "cct_k": Row("K", 0, "colour temperature of the mix", COLOUR),
    "duv": _DUV,
}

_EXPOSURE = {
    "set_for_lx": Row("lx", 1, "light that the settings are right for", METER),
    "ev100": Row("", 3, "exposure value at ISO 100", METER),
    "face_stops_over_grey": Row("stops", 3, "a grey card at the face over mid grey", TRACED),
    "judged_stops_over_grey": Row(
        "stops", 3, "the subject over what the camera is set for, as it is judged", TRACED
    ),
    "skin_stops_over_grey": Row("stops", 3, "skin in the picture over mid grey", TRACED),
    "skin_stops_by_class": Row("stops", 3, "skin of that class over an 18 % card", CATALOGUE),
    "background_stops_over_grey": Row("stops", 3, "mean of the set behind", TRACED),
    "background_stops_over_key": Row("stops", 3, "the same against the face", TRACED),
    "window_stops_over_grey": Row("stops", 3, "the brightest window's mean", TRACED),
    "window_stops_over_key": Row("stops", 3, "the same against the face", TRACED),
    "clip_stops_over_grey": Row("stops", None, "where the sensor clips", CATALOGUE),
}

_REGION = {
    "share_pct": Row("%", 3, "of the frame", TRACED),
    "luminance_cd_m2": Row("cd/m2", 1, "mean, all lights", TRACED),
    "stops_over_grey": Row("stops", 3, "its mean over mid grey", TRACED),
    "clipped_pct": Row("%", 1, "how much of it clips", CATALOGUE),
}

_WINDOW = {
    **_REGION,
    "stops_over_key": Row("stops", 3, "its mean against the face", TRACED),
    "gel_nd": Row("", None, "density of the ND on it", SCENE),
    "gel_nd_to_hold": Row("", 2, "density in all that holds it, in sheets of 0.3", TRACED),
}

_FOR_FACE = {
    "t_number": Row("", 2, "the stop that puts the face right", METER),
    "iso": Row("", 0, "or the ISO", METER),
    "shutter_s": Row("s", 5, "or the exposure time", METER),
    "nd_density": Row("", 2, "or the ND before the lens", METER),
}

_SPOT = {
    "from_left_pct": Row("%", None, "where it looks, of the frame's width", SCENE),
    "from_top_pct": Row("%", None, "where it looks, of its height", SCENE),
    "luminance_cd_m2": Row("cd/m2", 3, "mean over one degree, by light", TRACED),
    "stops_over_grey": Row("stops", 2, "the same over mid grey", TRACED),
}

_PAIR = {
    "angle_deg": Row("deg", 4, "between two cameras round the person", GEOMETRY),
    "size_ratio": Row("", 4, "larger head over smaller in their frames", GEOMETRY),
    "lens_height_m": Row("m", 4, "second lens over the first", GEOMETRY),
    "eye_height_pct": Row("%", 4, "eyes of the second frame under the first's", GEOMETRY),
}

_LOAD = {
    "load_w": Row("W", 3, "every light at full, and what else runs", CATALOGUE),
    "as_set_w": Row("W", 3, "the same as the dimmers are set, about", CATALOGUE),
    "mains_v": Row("V", None, "voltage of the mains", OUTLET),
    "hours": Row("h", None, "how long is recorded", SCENE),
    "energy_kwh": Row("kWh", 3, "over those hours at full: the most", POWER),
}

_CIRCUIT = {
    "load_w": Row("W", 3, "its lights at full, and what else runs on it", CATALOGUE),
    "load_va": Row("VA", 3, "the same as apparent power", CATALOGUE),
    "as_set_w": Row("W", 3, "as the dimmers are set, about", CATALOGUE),
    "current_a": Row("A", 3, "at the mains voltage", POWER),
    "breaker_a": Row("A", None, "rating of its breaker or fuse", OUTLET),
    "continuous_a": Row("A", 3, "what it may carry three hours or more", OUTLET),
    "breaker_used_pct": Row("%", 3, "of the rating that is taken", OUTLET),
    "continuous_used_pct": Row("%", 3, "of what it may carry continuously", OUTLET),
    "headroom_a": Row("A", 3, "left continuously; below 0: too much", OUTLET),
}

_SOUND = {
    "volume_m3": Row("m3", 2, "air in the room", GEOMETRY),
    "absorption_m2": Row("m2", 2, "equivalent open area for speech, 500 and 1000 Hz", CATALOGUE),
    "reverberation_s": Row("s", 2, "time to fall by 60 dB by octave band", SABINE),
    "speech_reverberation_s": Row("s", 2, "the same where speech is understood", SABINE),
}

_MICROPHONE = {
    "distance_m": Row("m", 3, "from the mouth, straight", GEOMETRY),
    "critical_distance_m": Row("m", 3, "where voice and room are as strong in it", KUTTRUFF),
    "direct_to_reverberant_db": Row("dB", 1, "the voice over the room", KUTTRUFF),
}

_BOOM = {
    **_MICROPHONE,
    "under_lavalier_db": Row("dB", 1, "how much louder the clip-on is: inverse square", GEOMETRY),
    "shadow_pct": Row("%", 1, "by light: most that it hides from a place on the face", GEOMETRY),
}

_CLEARANCE = {
    "clearance_cm": Row("cm", 1, "microphone over the frame's upper edge", GEOMETRY),
    "clearance_pct": Row("%", 1, "the same of the frame's height", GEOMETRY),
}

KIT = "catalogue, practice or estimate, as each line's `source` says"

_LINE = {
    "count": Row("", 0, "how many to bring, or how much in `unit`", KIT),
    "scenes": Row("", 0, "how many each scene needs", KIT),
    "size_m": Row("m", 3, "length, or width and height", KIT),
    "weight_kg": Row("kg", 2, "weight of one; null: weigh it", KIT),
    "weight_all_kg": Row("kg", 2, "weight of all of them", KIT),
}

_CASE = {
    "weight_kg": Row("kg", 1, "weight with what is in it", KIT),
}

_TARGET = {
    "wanted": Row("", None, "what the scene asks for, in `unit`", SCENE),
    "got": Row("", 3, "what comes out, in `unit`", SOLVED),
    "off_stops": Row("stops", 3, "how far off that is", SOLVED),
}

_WINDOW_LIGHT = {
    "face_lx": Row("lx", 2, "by this window on the face", TRACED),
    "luminance_cd_m2": Row("cd/m2", 2, "mean seen through it", TRACED),
}

MEASURED: dict[str, Mapping[str, Row]] = {
    "cameras.*": {**_LENS, **_FRAME},
    "cameras.*.crops.*": _CROP,
    "cameras.*.catchlights": _CATCHLIGHT,
    "cameras.*.spectacles": _VEIL,
    "people.*": {
        "eye_height_m": Row("m", 4, "eyes over the floor", GEOMETRY),
        "head_top_m": Row("m", 4, "top of head or hair over the floor", GEOMETRY),
        **_FACE,
    },
    "meters.*": _METER,
    "exposure.*": _EXPOSURE,
    "exposure.*.windows.*": _WINDOW,
    "exposure.*.lamps.*": _REGION,
    "exposure.*.settings_for_face": _FOR_FACE,
    "exposure.*.meter_constants": {
        "C": Row("lx s", None, "of an incident meter, times ISO", METER),
        "K": Row("cd s/m2", None, "of a reflected-light meter, times ISO", METER),
    },
    "spots": _SPOT,
    "continuity.pairs": _PAIR,
    "power": _LOAD,
    "power.circuits.*": _CIRCUIT,
    "storage": {
        "gb_per_hour": Row("GB", 2, "all cameras in an hour, 10^9 bytes", SCENE),
        "gb_total": Row("GB", 2, "over the hours recorded", SCENE),
    },
    "sound": _SOUND,
    "sound.boom": _BOOM,
    "sound.boom.clearance.*": _CLEARANCE,
    "sound.lavalier": _MICROPHONE,
    "findings": {
        "value": Row("", 3, "what was found, in `unit`", RULE),
        "limit": Row("", 3, "what it is held against, in `unit`", RULE),
    },
}
"""What `previz measure --json` prints; `check` prints the findings too."""

ANSWERED: dict[str, Mapping[str, Row]] = {
    "answers": {"value": Row("", None, "the setting that gives what is wanted, in `unit`", LENS)},
    "problems": {
        "line": Row("", 0, "line of the scene file", SCENE),
        "column": Row("", 0, "column of the scene file", SCENE),
    },
    "lights.*": {
        "dimmer_pct_before": Row("%", None, "of the light's output, as the scene has it", SCENE),
        "dimmer_pct": Row("%", None, "of the light's output, as solved", SOLVED),
        "dimmer_setting_pct": Row("%", 1, "where the control then stands", CATALOGUE),
    },
    "windows.*": {
        "gel_nd_before": Row("", None, "density of the ND, as the scene has it", SCENE),
        "gel_nd": Row("", None, "density of the ND, as solved", SOLVED),
    },
    "targets": _TARGET,
    "items": _LINE,
    "cases": _CASE,
    "cases.contents": {"count": Row("", 0, "how many of it are in this case", KIT)},
    "scenes": {"minutes": Row("min", 0, "of setting up, two people", KIT)},
    "scenes.setting_up": {"minutes": Row("min", 0, "of this step", KIT)},
    "scenes.power": _LOAD,
    "scenes.power.circuits.*": _CIRCUIT,
    "scenes.leads": {"length_m": Row("m", 1, "along the walls, with reserve", GEOMETRY)},
    "own.windows.*": _WINDOW_LIGHT,
    "hours": {
        "sun_bearing_deg": Row("deg", 2, "bearing of the sun", SUN),
        "sun_elevation_deg": Row("deg", 2, "its height over the horizon", SUN),
    },
    "hours.windows.*": {
        **_WINDOW_LIGHT,
        "face_stops": Row("stops", 3, "on the face against the scene's own time", TRACED),
        "luminance_stops": Row("stops", 3, "seen through it against then", TRACED),
    },
    "": {
        "gains": Row("", 6, "what each layer was multiplied by: R, G, B", TRACED),
        "recombined_ms": Row("ms", 1, "time that the arithmetic took", CLOCK),
        "seconds": Row("s", 2, "time in all", CLOCK),
        "weight_kg": Row("kg", 1, "weight of all cases", KIT),
    },
}
"""What the other commands print: `measure --want-...`, check, balance, hours, relight, kit."""


def told(value: Any, at: str = "") -> Any:
    """`value`, a tree for JSON, with every number in it rounded as its row says.

    at  where in the JSON `value` stands, as the sections above write it; LookupError for a number
        without a row. Infinity and what is no number become None.
    """
    node: Any = _TREE
    for step in at.split(".") if at else ():
        node = _below(node, step)
    return _told(value, node, at)


@dataclass(frozen=True)
class Leaf:
    """One value of a tree for JSON, as exact as it was measured.

    path  the names on the way to it, places in lists among them: `findings.0.value`
    row   of a number; None of a word, of yes or no, and of what is not there
    unit  of the row, or what stands beside the number as its `unit`
    """

    path: str
    value: Any
    row: Row | None
    unit: str


def leaves(value: Any) -> Iterator[Leaf]:
    """All values of a tree as `measure --json` has it. LookupError for a number without a row."""
    yield from _leaves(value, _TREE, "", "")


def _leaves(value: Any, node: Any, at: str, beside: str) -> Iterator[Leaf]:
    if isinstance(value, Mapping):
        unit = value.get("unit")
        beside = unit if isinstance(unit, str) else ""
        for name, inner in value.items():
            yield from _leaves(inner, _below(node, name), f"{at}.{name}".lstrip("."), beside)
    elif isinstance(value, list | tuple):
        for number, inner in enumerate(value):
            yield from _leaves(inner, node, f"{at}.{number}", beside)
    elif not _is_number(value):
        yield Leaf(at, value, None, "")
    elif isinstance(node, Row):
        yield Leaf(at, value, node, beside if node.meaning.endswith(IN_UNIT) else node.unit)
    else:
        raise _without_row(at)


def _is_number(value: Any) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool)


def _without_row(at: str) -> LookupError:
    return LookupError(f"{at}: a number without a row in telling/quantities.py")


def _told(value: Any, node: Any, at: str) -> Any:
    if isinstance(value, Mapping):
        return {k: _told(v, _below(node, k), f"{at}.{k}".lstrip(".")) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_told(each, node, at) for each in value]
    if not _is_number(value):
        return value
    if not isinstance(node, Row):
        raise _without_row(at)
    return int(value) if isinstance(value, Integral) else rounded(float(value), node.digits)


def _below(node: Any, name: str) -> Any:
    """The rows below a name; a row covers what is inside it."""
    if not isinstance(node, dict):
        return node
    return node.get(name, node.get("*"))


def _tree(*tables: Mapping[str, Mapping[str, Row]]) -> dict[str, Any]:
    """The sections of all tables as one tree."""
    root: dict[str, Any] = {}
    for section, rows in (item for table in tables for item in table.items()):
        node = root
        for step in section.split(".") if section else ():
            node = node.setdefault(step, {})
        node.update(rows)
    return root


_TREE = _tree(MEASURED, ANSWERED)
