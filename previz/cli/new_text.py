"""The text of a first scene file: every line with the reason the trade gives for it."""

from __future__ import annotations

import json
import textwrap

from previz.cli.new_layout import FILL_LX, KEY_LX, Answers, Layout, Shot, laid_out
from previz.cli.new_places import LARGE_KEY, PANEL, SMALL_KEY, GuestLight, Point
from previz.telling.cautions import printed

COMMENTS_FROM = 46
SOFT_FROM, FAIRLY_SOFT_FROM = 0.5, 0.36
"""Width of a light, in distances, from which on it is soft, and fairly soft: estimates."""
LEAST_STEEP_DEG = 25
"""From here up a key throws the nose's shadow down: an estimate."""
NEW_RULES = ("stand_weight", "ladder", "dark_film", "cables", "exits")
"""The cautions on what such a scene proposes: lights on stands, film on a window."""

_GUESTS = (
    {"skin": "intermediate", "hair": "medium", "hair_colour": "dark_brown", "colour": "#4a6670"},
    {"skin": "brown", "hair": "curly", "hair_colour": "black", "colour": "#7a5a48"},
    {"skin": "light", "hair": "short", "hair_colour": "grey", "colour": "#55604a"},
)


def scene_text(answers: Answers, file: str) -> str:
    """YAML of a whole scene; `file` is the name it will have, for the commands in its head."""
    layout = laid_out(answers)
    blocks = (
        _head(answers, file), _room(layout), _openings(layout), _people(layout),
        _furniture(layout), _cameras(layout), _lights(layout), _exposure(), _cautions(),
    )  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _cautions() -> list[str]:
    lines = [line for said in printed(NEW_RULES) for line in textwrap.wrap(said, 96)]
    return ["# Before anyone builds it:", *(f"# {line}" for line in lines)]


def _line(text: str, why: str) -> str:
    return f"{text:<{COMMENTS_FROM}}# {why}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False, allow_nan=False)


def _number(value: float) -> str:
    return f"{value:g}"


def _point(point: Point) -> str:
    return f"[{', '.join(_number(round(value, 2)) for value in point)}]"


def _head(answers: Answers, file: str) -> list[str]:
    return [
        f"# See it:    previz render {file} --quality draft",
        f"# Check it:  previz check {file}",
        "# All keys:  previz schema --reference",
        "#",
        "# Plan: x runs east, y north, in metres; the guests sit round [0, 0], the A camera looks",
        "# north at them. The unit is the last word of a key. What is left out has a usual value.",
        "",
        _line("previz: 1", "the format of this file"),
        _line(f"title: {_quoted(answers.title)}", "stands on what you hand"
              " out"),
    ]  # fmt: skip


def _room(layout: Layout) -> list[str]:
    answers = layout.answers
    centre = _point((0.0, layout.centre_y_m))
    return [
        "room:",
        _line(f"  width_m: {_number(answers.width_m)}", "west to east"),
        _line(f"  depth_m: {_number(answers.depth_m)}", "south to north: depth is what blurs"),
        _line(f"  height_m: {_number(answers.height_m)}", "a low ceiling limits the hair light"),
        _line(
            f"  centre_m: {centre}",
            f"puts the guests {_number(layout.background_m)} m before the north wall",
        ),
        _line("  walls: painted_plaster", "previz catalog list materials"),
        _line('  wall_colour: "#8d8f86"', "darker than a face, or the eye goes to the wall"),
        _line("  floor: oak_boards", "warms the light that comes up from below"),
    ]


def _openings(layout: Layout) -> list[str]:
    window = layout.window()
    return [
        "openings:",
        "  window:",
        _line("    wall: north", "behind: gives depth, and the key a reason"),
        _line(f"    along_m: {_number(window.along_m)}", "from the wall's left end to its edge"),
        _line(f"    width_m: {_number(window.width_m)}", "right of the face, so on the key's side"),
        _line(f"    height_m: {_number(window.height_m)}", "of the hole"),
        _line(f"    sill_m: {_number(window.sill_m)}", "over the floor"),
        _line("    gel_nd: 1.2", "four stops of ND hold the sky near the face"),
        "",
        "daylight:",
        _line("  sky: overcast", "stays alike for an hour; the sun does not"),
        _line("  view: garden", "what is seen outside, out of focus"),
    ]


def _people(layout: Layout) -> list[str]:
    lines = ["people:"]
    for number, seat in enumerate(layout.guests()):
        look = _GUESTS[number]
        lines += [
            f"  {guest_name(number)}:",
            _line(f"    at_m: {_point(seat)}", "the middle of the seat"),
            _line("    seat: side_chair", "neither turns nor tempts to lean back"),
            _line("    faces: interviewer", "body turned past the A lens, not into it"),
            _line("    gaze: interviewer", "just beside the lens; a camera's name: into it"),
            _line(f"    skin: {look['skin']}", "decides how much light the face needs"),
            _line(f"    hair: {look['hair']}", "the darker, the more it needs the hair light"),
            _line(f"    hair_colour: {look['hair_colour']}", "against the wall behind"),
            _line(f'    clothes: {{top: jumper, colour: "{look["colour"]}"}}', "plain: fine"
                  " stripes shimmer"),
        ]  # fmt: skip
    return [
        *lines,
        "  interviewer:",
        _line(f"    at_m: {_point(layout.interviewer())}", "as close to the A lens as can be"),
        _line("    seat: side_chair", "the same height, so that the eyes meet level"),
        _line("    sex: male", "only the eye height matters here"),
        _line("    faces: guest", "draws the line that no camera crosses"),
    ]


def _furniture(layout: Layout) -> list[str]:
    name, piece = ("shelves", "shelves") if layout.has_shelves else ("picture", "picture_frame")
    lines = [
        "furniture:",
        f"  {name}:",
        _line(f"    piece: {piece}", "detail to blur; previz catalog list furniture"),
        _line("    wall: north", "its back to the wall behind the guests"),
        _line(f"    along_m: {_number(layout.detail_along_m())}", "left of the face, against the"
              " window"),
    ]  # fmt: skip
    if not layout.has_shelves:
        lines.append(_line("    gap_m: 0.001", "hangs flat; shelves would need a deeper room"))
    return lines


def _cameras(layout: Layout) -> list[str]:
    lines = ["cameras:"]
    for letter, shot in zip("ABC", layout.shots, strict=False):
        lines += _camera(letter, shot, layout)
    return lines


def _camera(letter: str, shot: Shot, layout: Layout) -> list[str]:
    group = layout.answers.people > 1
    profile, side = "the profile: a view of its own to cut to", "from the side, closer: cuts with A"
    why = {
        "A": "all guests, frontal" if group else "the main picture: head and chest, frontal",
        "B": profile if layout.shows_profile else side,
        "C": "a second single" if group else (side if layout.shows_profile else profile),
    }[letter]
    together = group and letter == "A"
    return [
        f"  {letter}:",
        _line("    sensor: super35_3perf", f"{why}"),
        _line("    mode: uhd", "alike for all, or the cuts show it"),
        _line(f"    lens: {shot.lens}", "previz catalog list lenses"),
        _line(f"    focal_length_mm: {_number(shot.focal_length_mm)}", _why_focal(shot, layout)),
        _line("    f_number: 2.8", "open: parts the face from the background"),
        "    place:",
        _line(f"      at_m: {_point(shot.at_m)}", "the lens, not the tripod's middle"),
        _line("      height: eye", "level with the eyes: neither up nor down on them"),
        _line(f"    aim: {guest_name(shot.guest)}", "focus follows: the nearer eye"),
        _line(f"    aim_from_left_pct: {shot.from_left_pct}", "all of them in the frame"
              if together else "look room on the side looked to"),
        _line(f"    aim_from_top_pct: {_eyes_pct(letter, together)}", "eyes near the upper third, a"
              " little headroom"),
    ]  # fmt: skip


def _eyes_pct(letter: str, together: bool) -> int:
    """Height of the eyes from the top: the closer the shot, the more of it is the head."""
    if together:
        return 25
    return 36 if letter == "A" else 44


def _why_focal(shot: Shot, layout: Layout) -> str:
    a = layout.shots[0]
    if shot is a:
        return "frames it from a natural distance"
    if shot.focal_length_mm > a.focal_length_mm:
        return "longer than A's: a softer background"
    alike = shot.focal_length_mm == a.focal_length_mm
    return f"{'as A' if alike else 'shorter than A'}'s: closer, for it stands nearer"


def _lights(layout: Layout) -> list[str]:
    middle = guest_name(layout.middle)
    key, fill, hair = layout.key(), layout.fill(), layout.hair()
    lines = ["lights:"]
    lines += _lamp(
        "key",
        (middle, "camera_right", key),
        key.dimmer_pct(KEY_LX + (0.0 if fill else FILL_LX)),
        (
            _how_soft(layout),
            "nose shadow points down; over 45 eyes go dark"
            if key.elevation_deg >= LEAST_STEEP_DEG
            else "as high as stand and ceiling let it; 30 is usual",
        ),
    )
    if fill is None:
        lines.append("  # No fill: the walls of a small room do it. A white board left of the")
        lines.append("  # guest gives more; previz catalog list fixtures")
    else:
        lines += _lamp(
            "fill",
            (middle, "camera_left", fill),
            fill.dimmer_pct(FILL_LX),
            ("lifts shadows; over the lens it casts none", "low, so that the eye sockets fill"),
        )
    if hair is None:
        lines.append("  # No hair light: its stand would be in a frame, or have no room.")
    else:
        lines += _lamp(
            "hair",
            (guest_name(0), "camera_left", hair),
            hair.dimmer_at(18, 2.1),
            ("parts hair and shoulder from the wall", "steep enough to stay off the nose"),
        )
    return lines


def _how_soft(layout: Layout) -> str:
    """By its size against its distance, which is all that makes a light soft."""
    key = layout.key()
    head = next(light for light in (LARGE_KEY, SMALL_KEY, PANEL) if light.fixture == key.fixture)
    share = 2.0 * head.half_m / key.distance_m
    said = "small for its distance: rather hard"
    if share >= SOFT_FROM:
        said = "large, close: soft"
    elif share >= FAIRLY_SOFT_FROM:
        said = "fairly large for its distance: fairly soft"
    return said + ("; on the side away from B" if len(layout.shots) > 1 and len(said) < 25 else "")


def _lamp(
    name: str, place: tuple[str, str, GuestLight], dimmer_pct: int, why: tuple[str, str]
) -> list[str]:
    aim, side, lamp = place
    return [
        f"  {name}:",
        _line(f"    fixture: {lamp.fixture}", why[0]),
        _line(f"    aim: {aim}", "at the face"),
        "    place:",
        _line(f"      side: {side}", "side of the A camera's picture"),
        _line(f"      azimuth_deg: {lamp.azimuth_deg}", "round the guest from the A camera"),
        _line(f"      elevation_deg: {lamp.elevation_deg}", why[1]),
        _line(f"      distance_m: {_number(lamp.distance_m)}", "from the eyes; halved, four times"
              " the light"),
        _line(f"    dimmer_pct: {dimmer_pct}", "the ratios between the lights are the look"),
        _line("    cct_k: 5600", "near the window's, so that both look white"),
    ]  # fmt: skip


def _exposure() -> list[str]:
    return [
        "exposure:",
        _line("  iso: 800", "the sensor's own: most room over mid grey"),
        _line("  fps: 25", "the usual rate where the mains are 50 Hz"),
        _line("  shutter_deg: 180", "1/50 s: natural movement, no flicker at 50 Hz"),
        _line("  white_balance: {cct_k: 5600}", "as the key: skin is the reference"),
    ]


def guest_name(number: int) -> str:
    """`guest`, `guest_2`, `guest_3` for 0, 1, 2."""
    return "guest" if number == 0 else f"guest_{number + 1}"
