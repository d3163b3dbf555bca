"""Frames in words for somebody who does not see them, and what the terminal says of a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from previz.measure.measured import CameraNumbers
from previz.scenefile.wording import listed
from previz.telling.numbers import fixed
from previz.telling.pitch import size_words
from previz.telling.setting_out import shown

# What covers less of a frame is not worth naming, nor are more things than these: estimates.
LEAST_SEEN_PCT = 0.4
MOST_NAMED = 6
SIDES_PCT = (40.0, 60.0)
"""Eyes between these stand in the middle: an estimate."""
BUILT = ("room", "lights", "openings", "cameras", "sound")


def in_frame_words(camera: str, numbers: CameraNumbers) -> str:
    """What is in a frame: who, how large, where, and what stands round them."""
    said = [_person(numbers), _things(numbers)]
    return " ".join([f"Camera {camera}.", *(sentence for sentence in said if sentence)])


def _person(numbers: CameraNumbers) -> str:
    framing = numbers.framing
    if framing is None:
        return ""
    left, right = SIDES_PCT
    at = framing.eye_from_left_pct
    side = "left of the middle" if at < left else "right of the middle" if at > right else "centred"
    looks = "into the lens" if framing.looks_to == "lens" else f"to the {framing.looks_to}"
    return (
        f"{size_words(framing.shot_size).capitalize()} of {shown(framing.subject)}, {side}, "
        f"looking {looks}."
    )


def _things(numbers: CameraNumbers) -> str:
    own = numbers.framing.subject if numbers.framing else None
    seen = sorted(numbers.in_frame.items(), key=lambda one: -one[1])
    named = [
        shown(name.partition(".")[2])
        for name, share_pct in seen
        if share_pct >= LEAST_SEEN_PCT
        and name.partition(".")[0] not in BUILT
        and name.count(".") == 1  # no part of another thing
        and name != f"people.{own}"
    ]
    return f"Also in the picture: {listed(named[:MOST_NAMED], 'and')}." if named else ""


def page_lines(size_bytes: int, rendered: Sequence[str], before: Sequence[str]) -> Iterator[str]:
    """What the terminal says of a page that was written."""
    frames = "1 frame" if len(rendered) == 1 else f"{len(rendered)} frames"
    how = f"{frames} rendered" if rendered else "nothing had to be rendered"
    yield f"{fixed(size_bytes / 1e6, 1)} MB, ready to send; {how}."
    if before:
        yield f"Shown beside their earlier pictures: {listed([*before], 'and')}."
