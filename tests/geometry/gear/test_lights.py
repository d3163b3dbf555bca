"""Lights: where the face is, that nothing covers it, that the stand reaches and stays clear."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
import trimesh

from previz.geometry.gear.barn_doors import Leaves
from previz.geometry.gear.lamp_heads import (
    BulbHead,
    FresnelHead,
    HeadShape,
    LanternHead,
    PanelHead,
    SoftboxHead,
    TubeHead,
)
from previz.geometry.gear.lights import LightGear, build_light
from previz.geometry.gear.stands import StandShape, build_stand
from previz.geometry.piece import Array, Piece, bounds
from previz.geometry.shell import unit

HEADS: dict[str, HeadShape] = {
    "panel": PanelHead(),
    "panel with flaps": PanelHead(width_m=0.3, height_m=0.3, doors=Leaves()),
    "softbox": SoftboxHead(),
    "strip box": SoftboxHead(width_m=0.3, height_m=1.2, depth_m=0.35),
    "gridded box": SoftboxHead(grid=True),
    "octagon": SoftboxHead(width_m=1.2, height_m=1.2, depth_m=0.5, corners="octagon"),
    "gridded octagon": SoftboxHead(width_m=1.2, height_m=1.2, corners="octagon", grid=True),
    "fresnel": FresnelHead(),
    "fresnel with doors half shut": FresnelHead(
        doors=Leaves(top_rad=0.3, bottom_rad=-0.2, left_rad=0.9, right_rad=1.4)
    ),
    "lantern": LanternHead(),
    "tube": TubeHead(),
    "upright tube": TubeHead(upright=True),
    "bulb": BulbHead(),
}
STANDS = {
    "none": None,
    "light": StandShape(),
    "turtle": StandShape(kind="turtle", footprint_m=0.45),
    "boom": StandShape(kind="boom", boom_from_rad=np.pi, sandbag=True),
}
POSITION = np.array([0.5, -1.0, 2.0])
AIMS = {"down": np.array([1.2, -2.2, 1.2]), "level": np.array([0.5, 2.0, 2.0])}
STEEP = np.array([0.5, -1.6, 0.9])
CASES = [pytest.param(*case, id=" / ".join(case)) for case in product(HEADS, STANDS, ["down"])]


def light(head: str, stand: str, aim: str) -> LightGear:
    return build_light(HEADS[head], POSITION, AIMS[aim], STANDS[stand])


def ray_is_free(pieces: tuple[Piece, ...], origin: Array, direction: Array) -> bool:
    hits = (p.mesh.exact.ray.intersects_location([origin], [direction])[0] for p in pieces)
    return not any(len(places) for places in hits)


@pytest.mark.parametrize(("head", "stand", "aim"), CASES)
def test_closed_bodies_on_the_floor(head: str, stand: str, aim: str) -> None:
    gear = light(head, stand, aim)
    for piece in gear.pieces:
        assert piece.mesh.exact.is_watertight, piece.name
        assert piece.mesh.exact.is_winding_consistent, piece.name
        assert piece.mesh.exact.volume > 0, piece.name
    lowest = bounds(gear.pieces)[0, 2]
    if STANDS[stand] is None:
        assert lowest > 0
    else:
        assert lowest == pytest.approx(0, abs=1e-9)
        feet = next(p for p in gear.pieces if p.name == "stand feet").mesh
        soles = [body.bounds[0, 2] for body in feet.exact.split()]
        assert soles == pytest.approx([0, 0, 0], abs=1e-9)
    assert sum(len(p.mesh.faces) for p in gear.pieces) < 20_000


@pytest.mark.parametrize(("head", "stand", "aim"), CASES)
def test_the_face_is_where_it_was_put_and_looks_at_its_aim(head: str, stand: str, aim: str) -> None:
    gear = light(head, stand, aim)
    toward = AIMS[aim] - POSITION
    if head in ("lantern", "tube", "upright tube", "bulb"):
        toward = toward * [1, 1, 0]
    np.testing.assert_allclose(gear.emitter.position_m, POSITION, atol=1e-12)
    np.testing.assert_allclose(gear.emitter.direction, unit(toward), atol=1e-12)
    turned = gear.emitter.pose[:3, :3]
    np.testing.assert_allclose(turned.T @ turned, np.eye(3), atol=1e-12)
    assert np.linalg.det(turned) == pytest.approx(1)


@pytest.mark.parametrize(("head", "stand", "aim"), CASES)
def test_nothing_of_its_own_covers_the_face(head: str, stand: str, aim: str) -> None:
    gear = light(head, stand, aim)
    emitter, pose = gear.emitter, gear.emitter.pose
    starts: list[Array] = []
    if emitter.kind in ("rectangle", "disc"):
        x, y = (
            (emitter.width_m / 2, emitter.height_m / 2)
            if emitter.kind == "rectangle"
            else (emitter.radius_m * 0.7, emitter.radius_m * 0.7)
        )
        for u, v in ((0.06, 0.06), (0.94, 0.94), (-0.94, 0.94), (0.94, -0.94), (-0.94, -0.94)):
            starts.append(np.array([u * x, v * y, 0]))
        assert all(
            ray_is_free(gear.pieces, pose[:3, :3] @ s + pose[:3, 3], pose[:3, 2]) for s in starts
        )
    else:
        ahead = POSITION + (emitter.radius_m - 1e-4) * pose[:3, 2] + 0.007 * pose[:3, 1]
        assert ray_is_free(gear.pieces, ahead, pose[:3, 2])


@pytest.mark.parametrize("stand", ["light", "boom"])
@pytest.mark.parametrize("head", HEADS)
def test_the_housing_keeps_off_the_glowing_surface(head: str, stand: str) -> None:
    gear = light(head, stand, "down")
    emitter = gear.emitter
    back = np.linalg.inv(emitter.pose)
    for piece in gear.pieces:
        edges = piece.mesh.vertices[piece.mesh.edges]
        share = np.linspace(0, 1, 9)[:, None, None]
        cloud = ((1 - share) * edges[:, 0] + share * edges[:, 1]).reshape(-1, 3)
        x, y, z = (cloud @ back[:3, :3].T + back[:3, 3]).T
        if emitter.kind == "rectangle":
            over = (np.abs(x) < emitter.width_m / 2) & (np.abs(y) < emitter.height_m / 2)
            assert not np.any(over & (np.abs(z) < 0.001)), piece.name
        elif emitter.kind == "disc":
            assert not np.any((np.hypot(x, y) < emitter.radius_m) & (np.abs(z) < 0.001)), piece.name
        elif emitter.kind == "sphere":
            assert np.sqrt(x**2 + y**2 + z**2).min() > emitter.radius_m + 0.0005, piece.name
        else:
            beside = np.abs(y) < emitter.length_m / 2
            assert not np.any(beside & (np.hypot(x, z) < emitter.radius_m + 0.001)), piece.name


@pytest.mark.parametrize("stand", ["light", "turtle", "boom"])
@pytest.mark.parametrize("head", HEADS)
@pytest.mark.parametrize("aim", ["level", "steep"])
def test_the_stand_never_runs_through_the_head(head: str, stand: str, aim: str) -> None:
    target = STEEP if aim == "steep" else AIMS[aim]
    gear = build_light(HEADS[head], POSITION, target, STANDS[stand])
    names = [piece.name for piece in gear.pieces]
    first = names.index("stand legs")
    head_parts = [
        p
        for p in gear.pieces[:first]
        if p.name not in ("hook", "hubs", "clamp", "socket", "yoke socket")
    ]
    for a in gear.pieces[first:]:
        for b in head_parts:
            apart = np.any(a.mesh.bounds[0] > b.mesh.bounds[1]) or np.any(
                b.mesh.bounds[0] > a.mesh.bounds[1]
            )
            if not apart:
                common = trimesh.boolean.intersection(
                    [a.mesh.exact, b.mesh.exact], check_volume=False
                )
                assert common.is_empty or common.volume < 2e-6, (a.name, b.name)


@pytest.mark.parametrize("head", HEADS)
def test_the_stand_reaches_the_head(head: str) -> None:
    gear = light(head, "light", "level")
    first = [piece.name for piece in gear.pieces].index("stand legs")
    tip = next(p for p in gear.pieces if p.name == "stand spigot").mesh.vertices
    held = np.concatenate([piece.mesh.vertices for piece in gear.pieces[:first]])
    top = tip[tip[:, 2].argmax()]
    assert np.linalg.norm(held - top, axis=1).min() < 0.03


def test_footprint_is_the_radius_asked_for() -> None:
    for kind in ("light", "turtle"):
        stand = StandShape(kind=kind, footprint_m=0.6, turn_rad=0.3)
        gear = build_light(PanelHead(), POSITION, AIMS["level"], stand)
        feet = next(p for p in gear.pieces if p.name == "stand feet").mesh
        column = next(p for p in gear.pieces if p.name == "stand column").mesh.bounds
        axis = column.mean(axis=0)[:2]
        reach = np.hypot(*(feet.vertices[:, :2] - axis).T).max()
        assert reach == pytest.approx(0.6, abs=2e-4)


def test_a_boom_stands_off_by_its_length() -> None:
    stand = StandShape(kind="boom", boom_m=2.0, boom_from_rad=0.5)
    gear = build_light(FresnelHead(), POSITION, AIMS["down"], stand)
    column = next(p for p in gear.pieces if p.name == "stand spigot").mesh.bounds.mean(axis=0)
    fresnel = next(p for p in gear.pieces if p.name == "yoke").mesh.bounds.mean(axis=0)
    assert np.hypot(*(column - fresnel)[:2]) == pytest.approx(2.0, abs=0.02)


@pytest.mark.parametrize("kind", ["light", "turtle"])
@pytest.mark.parametrize("height", [0.2, 0.4, 3.2])
def test_low_and_high_stands_are_sound(kind: str, height: float) -> None:
    stand = StandShape(kind=kind)  # type: ignore[arg-type]
    pieces = build_stand((0, 0), height, stand)
    for piece in pieces:
        assert piece.mesh.exact.is_watertight, piece.name
        assert piece.mesh.exact.volume > 0, piece.name
    low, high = bounds(pieces)[:, 2]
    assert low == pytest.approx(0, abs=1e-9)
    assert high == pytest.approx(height, abs=1e-9)


def test_what_lies_on_the_floor_has_no_stand() -> None:
    assert build_stand((0, 0), 0.1, StandShape()) == ()


@pytest.mark.parametrize("angle_deg", [-25.0, 0.0, 20.0, 60.0])
@pytest.mark.parametrize(
    ("leaf", "way"),
    [("top", (0, 1)), ("bottom", (0, -1)), ("left", (1, 0)), ("right", (-1, 0))],
)
def test_a_door_cuts_where_its_end_stands(
    leaf: str, way: tuple[int, int], angle_deg: float
) -> None:
    """From the middle of the lens, light is free up to the leaf's end and stopped beyond it.

    The end lies at 1.34 r + 2.144 r sin a off the axis and 2.144 r cos a before the rim, with the
    other leaves wide open. Left is +X: seen from behind a light that shines along +Z with +Y up.
    """
    r, angle = 0.075, np.radians(angle_deg)
    doors = Leaves(**{f"{leaf}_rad": angle})
    pieces = FresnelHead(lens_diameter_m=2 * r, doors=doors).build().pieces
    out, ahead = 1.34 * r * (1 + 1.6 * np.sin(angle)), 1.34 * r * 1.6 * np.cos(angle) + 0.004
    edge = np.arctan2(out, ahead)
    for share, free in ((0.9, True), (1.1, False)):
        a = share * edge
        direction = np.array([way[0] * np.sin(a), way[1] * np.sin(a), np.cos(a)])
        assert ray_is_free(pieces, np.array([0.0, 0.0, 0.002]), direction) == free


def test_a_rolled_head_turns_clockwise_seen_from_behind() -> None:
    """Looking along +Y from behind, up turned clockwise by a quarter points right, to +X."""
    target = POSITION + np.array([0.0, 3.0, 0.0])
    gear = build_light(PanelHead(), POSITION, target, None, np.pi / 2)
    np.testing.assert_allclose(gear.emitter.pose[:3, 1], (1, 0, 0), atol=1e-12)
    np.testing.assert_allclose(gear.emitter.direction, (0, 1, 0), atol=1e-12)
