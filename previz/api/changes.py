"""What is different between two openings of one scene."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from previz.api.opening import OpenScene
from previz.stage.identity import identity_of
from previz.stage.stage import Stage, StageCamera

ROOM = "room"


@dataclass(frozen=True)
class Change:
    """What differs, by name; what came or went is among it.

    everything  nothing of what was drawn or computed before holds: the room is another, or this
                is the first time that the file is good
    cameras     that stand, look, expose or are set up otherwise
    powers      lights and windows of which only the power is another: their layers are multiplied
    forms       lights, boards and windows that stand or spread otherwise
    things      on the set that moved or are made otherwise, the lights' own bodies left out
    rest        other values of the file: title, rules, targets, meters, white balance, look, ...
    problems    what is wrong with the file is not what was wrong before
    """

    everything: bool = False
    cameras: tuple[str, ...] = ()
    powers: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    things: tuple[str, ...] = ()
    rest: bool = False
    problems: bool = False

    @property
    def shows(self) -> bool:
        """Whether anything of the scene is different, be it only a word."""
        seen = (self.cameras, self.powers, self.forms, self.things)
        return self.everything or self.rest or any(seen)


def change_between(before: OpenScene, after: OpenScene) -> Change:
    """What differs from one opening of a scene to another."""
    old, new = identity_of(before.stage), identity_of(after.stage)
    forms = _differing(old.forms, new.forms)
    things = _differing(old.furnished, new.furnished)
    cameras = _differing(_cameras(before.stage), _cameras(after.stage))
    powers = tuple(n for n in _differing(old.power, new.power) if n not in forms)
    told = any((forms, things, cameras, powers))
    return Change(
        everything=ROOM in things,
        cameras=cameras,
        powers=powers,
        forms=forms,
        things=things,
        rest=_rest(after) != _rest(before) or (before.digest != after.digest and not told),
    )


def _differing(before: Mapping[str, object], after: Mapping[str, object]) -> tuple[str, ...]:
    names = {**before, **after}
    return tuple(name for name in names if before.get(name) != after.get(name))


def _cameras(stage: Stage) -> dict[str, object]:
    """Every camera in plain values, as it takes pictures and as it is set up."""
    return {name: (_plain(c), stage.setups[name]) for name, c in stage.cameras.items()}


def _plain(camera: StageCamera) -> dict[str, object]:
    return {**vars(camera), "pose": camera.pose.tobytes()}


def _rest(opened: OpenScene) -> object:
    """What of a scene has no place among cameras, lights and things: values and records."""
    told = {
        "cameras", "lights", "people", "furniture", "sets", "openings", "room", "daylight", "sound",
    }  # fmt: skip
    lights = {n: (lamp.fixture, lamp.setting.circuit) for n, lamp in opened.stage.lights.items()}
    return opened.scene.model_dump(exclude=told), lights
