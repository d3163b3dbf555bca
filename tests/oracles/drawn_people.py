"""People drawn by lot, whoever and however they sit, and what a camera all round sees of them."""

from __future__ import annotations

from typing import get_args

import numpy as np
import trimesh
from numpy.typing import NDArray
from scipy import ndimage

from previz.geometry.people import Body, Figure, Pose
from previz.geometry.people.faces import drawn
from previz.geometry.people.figure import (
    BeardStyle,
    Build,
    Clothes,
    Expression,
    EyeColour,
    HairColour,
    HairStyle,
    Hands,
    Headwear,
    Posture,
    SeatKind,
    SkinClass,
)  # fmt: skip

Array = NDArray[np.float64]

PIXEL_M = 0.003
HALF_M = (0.45, 0.55)
SKIN, NOTHING = "skin", "nothing"
BEHIND_M = 0.008
"""Skin this near behind the cloth around it has come through; farther, it is seen past it."""
NOT_CLOTH = frozenset(
    {NOTHING, "hands", "brows", "lashes", "teeth", "tongue", "hair", "spectacle_frame",
     "spectacle_glass"}
)  # fmt: skip
TORSO = ("shoulder_left", "shoulder_right", "waist", "hip_left", "hip_right", "neck", "chest")


def drawn_person(number: int) -> tuple[Figure, Pose]:
    """Person `number` of the lot: looks and pose, each word of the scene about equally often."""
    lot = np.random.default_rng(number)

    def one_of(words: object) -> str:
        return str(lot.choice(get_args(words)))

    child = lot.random() < 0.15
    age_years = float(lot.uniform(6.0, 18.0) if child else lot.uniform(18.0, 95.0))
    sex = "male" if lot.random() < 0.5 else "female"
    bearded = sex == "male" and not child
    figure = Figure(
        sex=sex,
        age_years=age_years,
        stature_percentile=float(lot.uniform(1.0, 99.0)),
        build=one_of(Build),
        skin=one_of(SkinClass),
        hair=one_of(HairStyle),
        hair_colour=one_of(HairColour),
        eyes=one_of(EyeColour),
        beard=one_of(BeardStyle) if bearded else "none",
        headwear=one_of(Headwear) if lot.random() < 0.3 else "none",
        spectacles=bool(lot.random() < 0.3),
        expression=one_of(Expression),
        clothes=one_of(Clothes),
        face=drawn(number, age_years),
        seed=number,
    )
    posture = one_of(Posture)
    hands = one_of(Hands)
    ahead = np.array([lot.normal(0.0, 0.5), -1.8, lot.uniform(1.0, 1.6)])
    bench = posture == "at_bench"
    beside = (0.28, -0.38, 0.72) if not bench else (0.0, -0.42, 0.95)
    return figure, Pose(
        posture=posture,
        hands=hands,
        seat=one_of(SeatKind),
        bearing=int(lot.integers(0, 9)),
        head_turn_deg=float(lot.uniform(-25.0, 25.0)),
        gaze_target=(float(ahead[0]), float(ahead[1]), float(ahead[2])),
        rest_m=beside if bench or hands == "on_table" else None,
    )


class Onlooker:
    """Looks at a person from any side along parallel rays, over head, trunk and arms."""

    def __init__(self, body: Body) -> None:
        """Take all of the body's pieces as one mesh."""
        meshes = [piece.mesh for piece in body.pieces]
        starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
        self.whole = trimesh.Trimesh(
            np.concatenate([mesh.vertices for mesh in meshes]),
            np.concatenate([mesh.faces + s for mesh, s in zip(meshes, starts, strict=False)]),
            process=False,
        )
        names = [piece.name for piece in body.pieces]
        self.names = np.repeat(names, [len(mesh.faces) for mesh in meshes])
        self.middle = np.mean([body.landmarks[name] for name in TORSO], axis=0)

    def see(self, azimuth_deg: float) -> tuple[NDArray[np.str_], Array]:
        """What is met first from `azimuth_deg` (0 in front of the person), and metres to it."""
        turn = np.radians(azimuth_deg)
        toward = np.array([np.sin(turn), np.cos(turn), 0.0])
        right = np.array([np.cos(turn), -np.sin(turn), 0.0])
        u, v = np.meshgrid(*(np.arange(-half, half, PIXEL_M) for half in HALF_M))
        start = self.middle - 3.0 * toward + u[..., None] * right + v[..., None] * [0.0, 0.0, 1.0]
        rays = start.reshape(-1, 3)
        met = self.whole.ray.intersects_first(rays, np.broadcast_to(toward, rays.shape))
        corner = self.whole.triangles[met]
        normal = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])
        facing = normal @ toward
        away = ((corner[:, 0] - rays) * normal).sum(axis=1) / np.where(facing == 0.0, 1.0, facing)
        names = np.where(met >= 0, self.names[met], NOTHING)
        return names.reshape(u.shape), np.where(met >= 0, away, np.inf).reshape(u.shape)

    def skin_through_cloth_cm2(self, azimuth_deg: float) -> float:
        """Area of all patches of skin that cloth surrounds and lies hardly before, in cm2."""
        names, away_m = self.see(azimuth_deg)
        patches, count = ndimage.label(names == SKIN, np.ones((3, 3)))
        through = 0
        for number in range(1, count + 1):
            patch = patches == number
            rim = ndimage.binary_dilation(patch, iterations=2) & ~patch
            if NOT_CLOTH.intersection(names[rim]):
                continue
            if np.abs(away_m[rim] - np.median(away_m[patch])).max() < BEHIND_M:
                through += int(patch.sum())
        return through * (100.0 * PIXEL_M) ** 2
