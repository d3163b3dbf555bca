"""The order of setting up, and how long each step takes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from previz.measure.gear.reach import has_film, out_of_reach
from previz.measure.kit.leads import Lead
from previz.measure.roles import key_light_of
from previz.model.room import Opening
from previz.scenefile.wording import listed
from previz.stage.stage import Stage

# Minutes of two people who have done it before. All of them: common practice, no source; the
# numbers are estimates.
WALK, LEAD, PANE, HIGH_PANE = 15, 3, 4, 6
KEY, LIGHT, BOARD = 15, 10, 5
FIRST_CAMERA, CAMERA = 20, 12
BOOM, CLIP = 10, 5
LINE_UP, REHEARSE, CLEAR = 10, 5, 5


@dataclass(frozen=True)
class Step:
    """One step and its minutes."""

    what: str
    minutes: int


def steps_of(stage: Stage, leads: tuple[Lead, ...]) -> tuple[Step, ...]:
    """From the empty room to the first take, in the order it is done."""
    return tuple(step for step in _steps(stage, leads) if step.minutes > 0)


def _steps(stage: Stage, leads: tuple[Lead, ...]) -> Iterator[Step]:
    yield Step("Walk the room: exits and ways kept clear, sockets, noise, what moves out", WALK)
    yield Step("Power and leads along the walls, taped, ramps where people walk", LEAD * len(leads))
    filmed = {n: o for n, o in stage.room.openings.items() if has_film(o)}
    yield Step(f"Film on {listed(filmed, 'and')}", sum(_film(o) for o in filmed.values()))
    yield from _lights(stage)
    cameras = len(stage.cameras)
    names = "Camera" if cameras == 1 else "Cameras"
    minutes = FIRST_CAMERA + CAMERA * (cameras - 1)
    yield Step(f"{names} {listed(stage.cameras, 'and')}: place, level, frame", minutes)
    sound = stage.sound
    if sound.boom is not None:
        yield Step(f"Boom over {sound.boom.over}, out of every frame, no shadow", BOOM)
    if sound.wearer is not None:
        yield Step(f"Lavalier on {sound.wearer}, checked for rustle", CLIP)
    yield Step("Stop, white balance and focus on the card; cameras and sound in time", LINE_UP)
    yield Step("A minute of talk, half a minute of the silent room recorded", REHEARSE)
    yield Step("Ways and exits looked at once more, stands weighed down", CLEAR)


def _film(opening: Opening) -> int:
    """Minutes for the panes of one window."""
    each = HIGH_PANE if out_of_reach(opening) else PANE
    return each * opening.panes_across * opening.panes_up


def _lights(stage: Stage) -> Iterator[Step]:
    """The key first, for everything else is set against it; then what shapes, then the lamps."""
    key = key_light_of(stage)
    if key is not None:
        yield Step(f"Light {key}: up, aimed, metered at the face", KEY)
    others = [n for n, x in stage.lights.items() if n != key and x.fixture.emits and x.on]
    yield Step(
        f"{_lamps(others)} {listed(others, 'and')}, each against the key", LIGHT * len(others)
    )
    boards = [n for n, light in stage.lights.items() if not light.fixture.emits]
    yield Step(f"Boards, frames, flags: {listed(boards, 'and')} in place", BOARD * len(boards))


def _lamps(names: list[str]) -> str:
    return "Light" if len(names) == 1 else "Lights"
