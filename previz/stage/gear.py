"""Cameras on their tripods and microphones on their booms, as other cameras see them."""

from __future__ import annotations

from collections.abc import Mapping

from previz.catalog import Catalog
from previz.model.cameras import Camera
from previz.model.sound import Sound
from previz.stage.stage import StageCamera, StagePerson, Thing


def camera_gear(
    name: str, camera: Camera, placed: StageCamera, catalog: Catalog
) -> list[Thing]:
    """The camera, its lens and tripod; hidden from the camera itself."""
    return []


def sound_gear(sound: Sound, people: Mapping[str, StagePerson]) -> list[Thing]:
    """Boom and lavalier microphones."""
    return []
