"""Exposure as a render tells it: what cameras took by themselves, and frames that are lost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from previz.measure.light.whole import WholeFrame
from previz.scenefile.wording import listed
from previz.solve.exposing import Taken, cure_of
from previz.stage.stage import StageCamera
from previz.telling.numbers import fixed, plain

TOLD_STOPS = 0.25
"""What is left over from here on is told: thirds of a stop cannot come nearer than half of one. An
estimate."""
SHORTEST_T, LONGEST_T = 1.2, 22.0
"""Stops that lenses have: common practice, no source."""


def taken_lines(taken: Mapping[str, Taken]) -> Iterator[str]:
    """What each camera on `exposure: auto` took."""
    for name, one in taken.items():
        nd = f" and ND {plain(one.nd_density)}" if one.nd_density else ""
        said = f"camera {name} (exposure: auto) takes ISO {plain(one.iso)}{nd} at "
        said += f"T{plain(one.t_number, 2)}"
        if abs(one.off_stops) > TOLD_STOPS:
            side = "under" if one.off_stops < 0.0 else "over"
            said += f", and is still {fixed(abs(one.off_stops), 1)} stops {side}"
        yield said


def lost_frame(camera: StageCamera, frame: WholeFrame) -> str | None:
    """One line on a frame that is lost, with what would put it right; None for any other."""
    if not frame.lost:
        return None
    cures = cure_of(camera, frame)
    ways = []
    if "iso" in cures:
        ways.append(f"ISO {plain(cures['iso'])}")
    if "nd_density" in cures:
        ways.append(f"ND {plain(cures['nd_density'], 1)}")
    if SHORTEST_T <= cures["t_number"] <= LONGEST_T:
        ways.append(f"T{plain(cures['t_number'], 1)}")
    ways.append("exposure: auto for a first look")
    side = "over" if frame.mean_stops > 0.0 else "under"
    return (
        f"the frame of camera {camera.name} is badly {side}exposed, "
        f"{fixed(abs(frame.mean_stops), 1)} stops {side} mid grey in the mean: "
        f"{listed(ways, 'or')} would put it right"
    )
