"""How long the room rings: Sabine's law over its surfaces, what stands in it, and who sits there.

Not counted: the crew, its gear, and the air. A scanned room has no known surfaces.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from previz.geometry.plan import signed_area_m2
from previz.model.records import Material
from previz.model.room import Opening
from previz.physics import sound
from previz.stage.stage import Array, Stage, Thing

BANDS_HZ = (125, 250, 500, 1000, 2000, 4000)
"""Octave bands in which absorption is published: ISO 354."""
SPEECH_HZ = (500, 1000)
"""The bands whose mean is told as the time of a room: common practice, no source."""
PERSON_M2 = np.array([0.18, 0.40, 0.46, 0.46, 0.50, 0.46])
"""Equivalent open area of somebody who sits on a plain chair: from memory."""
HARD = np.array([0.02, 0.02, 0.03, 0.03, 0.04, 0.05])
"""A hard surface, for walls and floors whose own absorption is not known: an estimate."""
GLASS = np.array([0.35, 0.25, 0.18, 0.12, 0.07, 0.04])
"""Ordinary window glass, which swings: from memory."""
OPEN = np.ones(len(BANDS_HZ))
"""What leaves by an open doorway does not come back, by definition of the coefficient."""


@dataclass(frozen=True, eq=False)
class RoomSound:
    """How the room rings.

    volume_m3      of air, furniture not taken off
    absorption_m2  equivalent open area by band, (6,)
    """

    volume_m3: float
    absorption_m2: Array

    @property
    def reverberation_s(self) -> dict[int, float]:
        """Seconds by octave band."""
        areas = zip(BANDS_HZ, self.absorption_m2, strict=True)
        return {hz: sound.reverberation_s(self.volume_m3, float(area)) for hz, area in areas}

    @property
    def speech_absorption_m2(self) -> float:
        """Equivalent open area where speech is understood."""
        return float(np.mean([self.absorption_m2[BANDS_HZ.index(hz)] for hz in SPEECH_HZ]))

    @property
    def speech_s(self) -> float:
        """The same as a time: of the mean area of 500 and 1000 Hz."""
        return sound.reverberation_s(self.volume_m3, self.speech_absorption_m2)

    def critical_m(self, directivity: float) -> float:
        """Where a voice and its echo are as strong, for speech."""
        return sound.critical_distance_m(self.volume_m3, self.speech_s, directivity)


def room_sound(stage: Stage) -> RoomSound | None:
    """The room of a stage; None for a scan."""
    shape = stage.room.shape
    if shape is None:
        return None
    floor_m2 = abs(signed_area_m2(shape.corners_m))
    parts = [*_shell(stage, floor_m2), *_openings(stage), *_things(stage)]
    areas = np.sum([area_m2 * coefficients for area_m2, coefficients in parts], axis=0)
    return RoomSound(floor_m2 * shape.height_m, areas + len(stage.people) * PERSON_M2)


def _shell(stage: Stage, floor_m2: float) -> Iterator[tuple[float, Array]]:
    """Floor, ceiling and what the openings leave of the walls, m2, with their coefficients."""
    shape = stage.room.shape
    assert shape is not None
    yield floor_m2, absorption(stage.materials, shape.floor_material)
    yield floor_m2, absorption(stage.materials, shape.ceiling_material)
    walls_m2 = sum(wall.length_m for wall in stage.room.walls.values()) * shape.height_m
    holes_m2 = sum(o.width_m * o.height_m for o in stage.room.openings.values())
    yield max(walls_m2 - holes_m2, 0.0), absorption(stage.materials, shape.wall_material)


def _openings(stage: Stage) -> Iterator[tuple[float, Array]]:
    for opening in stage.room.openings.values():
        area_m2 = opening.width_m * opening.height_m
        if is_open(opening):
            yield area_m2, OPEN
        elif opening.kind == "window":
            yield area_m2, GLASS
        else:
            yield area_m2, absorption(stage.materials, opening.material)


def is_open(opening: Opening) -> bool:
    """Whether sound goes out by it: a hole, or a door that stands open."""
    return opening.kind == "opening" or (opening.kind == "door" and opening.open_deg > 0.0)


def _things(stage: Stage) -> Iterator[tuple[float, Array]]:
    """Furniture, and what hangs before the windows: its soft parts alone."""
    hung = {f"openings.{n}" for n, o in stage.room.openings.items() if o.kind == "window"}
    for thing in stage.things:
        if thing.kind == "furniture" or thing.name in hung:
            yield from _soft(thing, stage.materials)


def _soft(thing: Thing, materials: Mapping[str, Material]) -> Iterator[tuple[float, Array]]:
    """Parts whose absorption is known. Sound finds no more of a part than top and sides of the
    box round it, whatever its folds are: an estimate.
    """
    for piece in thing.pieces:
        record = materials.get(piece.material)
        if record is None or record.absorption is None:
            continue
        low, high = piece.mesh.bounds
        wide, deep, tall = high - low
        box_m2 = float(wide * deep + 2.0 * tall * (wide + deep))
        yield min(float(piece.mesh.area), box_m2), np.array(record.absorption)


def absorption(materials: Mapping[str, Material], name: str) -> Array:
    """Coefficients by band of a wall, a floor or a ceiling, (6,)."""
    record = materials.get(name)
    known = None if record is None else record.absorption
    return HARD if known is None else np.array(known)
