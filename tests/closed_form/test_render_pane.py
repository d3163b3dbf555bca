"""Panes of clear glass against Fresnel's equations: what they mirror, let through, and never block.

Fresnel's equations for two faces: Born and Wolf, "Principles of Optics", 7th edition, 1999 (from
memory). A pane of index 1.52 mirrors 8.2 % head-on and 17 % at 60 degrees.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.mesh import Mesh
from previz.geometry.piece import Piece
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.contract import Ability, RenderSettings

LAMP_CD_M2 = 1000.0
AT = np.array([0.0, 1.0, 0.0])
ANGLES = [(0.0, 0.082), (45.0, 0.100), (60.0, 0.169), (75.0, 0.41)]
GLASS = "glass_clear"
SIZE = (16, 8)
NARROW = {"focal_length_m": 1.0, "f_number": 1000.0, "focus_distance_m": 1.0}
"""Within a degree: what a pane mirrors hangs on the angle."""


def share_of(degrees: float, index: float) -> float:
    """What two faces mirror together, with all that goes to and fro between them."""
    outside = math.radians(degrees)
    inside = math.asin(math.sin(outside) / index)
    across = (math.cos(outside) - index * math.cos(inside)) / (
        math.cos(outside) + index * math.cos(inside)
    )
    within = (index * math.cos(outside) - math.cos(inside)) / (
        index * math.cos(outside) + math.cos(inside)
    )
    once = (across**2 + within**2) / 2.0
    return 2.0 * once / (1.0 + once)


def pane(normal: np.ndarray, side_m: float = 0.8) -> Piece:
    """A sheet round `AT`, as it stands in windows."""
    along = np.array([0.0, 0.0, 1.0])
    across = np.cross(along, normal)
    corners = [AT + side_m / 2 * (x * across + z * along) for x, z in
               ((-1, -1), (1, -1), (1, 1), (-1, 1))]  # fmt: skip
    mesh = Mesh(np.array(corners), np.array([[0, 1, 2], [0, 2, 3]]))
    return Piece("pane", mesh, GLASS, closed=False)


def glazed(stage):
    return replace(stage, materials={**stage.materials, GLASS: Catalog.load().material(GLASS)})


def seen(back_end, stage, samples: int = 64) -> float:
    """Mean luminance of the frame, cd/m2."""
    exposing = back_end.load(stage).expose("A", RenderSettings(*SIZE, samples))
    exposing.advance(samples)
    return float((exposing.light().beauty @ LUMINANCE_WEIGHTS).mean())


def normal_at(degrees: float) -> np.ndarray:
    """Facing the lens, turned by an angle round the upright."""
    turn = math.radians(degrees)
    return np.array([math.sin(turn), -math.cos(turn), 0.0])


@pytest.mark.parametrize(("degrees", "share"), ANGLES)
def test_the_oracle_is_what_tables_say(degrees: float, share: float):
    assert share_of(degrees, 1.52) == pytest.approx(share, rel=0.03)
    # Brewster's angle of a pane: only light across the plane of incidence is left.
    brewster = math.degrees(math.atan(1.52))
    across = ((1.0 - 1.52**2) / (1.0 + 1.52**2)) ** 2 / 2.0
    assert share_of(brewster, 1.52) == pytest.approx(2 * across / (1 + across), rel=1e-9)


@pytest.mark.needs(Ability.BOUNCES, Ability.THIN_LENS)
@pytest.mark.parametrize("degrees", [angle for angle, _ in ANGLES])
def test_a_pane_mirrors_a_lamp_by_fresnel(back_end, make_stage, kit, degrees: float):
    way = np.array([0.0, 1.0, 0.0])
    normal = normal_at(degrees)
    away = way - 2.0 * (way @ normal) * normal
    lamp = kit.rectangle_light("lamp", kit.facing(tuple(AT + 1.5 * away), tuple(-away)),
                               LAMP_CD_M2, 1.2, 1.2)  # fmt: skip
    view = kit.camera((0, 0, 0), tuple(AT), **NARROW)
    # Glass by chance needs more paths than glass that is looked into on purpose.
    samples = 64 if Ability.ONE_PASS in back_end.abilities else 2048
    found = seen(back_end, glazed(make_stage([pane(normal)], [lamp], view)), samples)
    index = Catalog.load().material(GLASS).refractive_index
    rel = 0.01 if Ability.ONE_PASS in back_end.abilities else 0.06
    assert found / LAMP_CD_M2 == pytest.approx(share_of(degrees, index), rel=rel)


@pytest.mark.needs(Ability.BOUNCES)
@pytest.mark.parametrize("degrees", [0.0, 60.0])
def test_what_is_seen_through_a_pane_lacks_what_it_mirrors(
    back_end, make_stage, kit, degrees: float
):
    """Of drawn pictures too, whose glass has the index 1.5."""
    behind = kit.rectangle_light("behind", kit.facing((0, 2, 0), (0, -1, 0)), LAMP_CD_M2, 1.0, 1.0)
    view = kit.camera((0, 0, 0), tuple(AT), **NARROW)
    found = seen(back_end, glazed(make_stage([pane(normal_at(degrees))], [behind], view)), 1024)
    drawn = Ability.NOISELESS in back_end.abilities
    index = 1.5 if drawn else Catalog.load().material(GLASS).refractive_index
    wanted = 1.0 - share_of(degrees, index)
    # A path goes on by chance: four standard errors of 131,072 at most.
    rel = 0.001 if drawn else 0.006
    assert found / LAMP_CD_M2 == pytest.approx(wanted, rel=rel)


@pytest.mark.needs(Ability.BOUNCES, Ability.CLEAR_GLASS)
def test_a_pane_neither_darkens_nor_blocks_what_a_lamp_lights(back_end, make_stage, kit):
    """A matt wall behind a pane, lit through it, beside the lamp's own line: traced or baked."""
    wall = kit.box("wall", (2.0, 0.1, 2.0), (0.0, 2.0, 0.0))
    lamp = kit.rectangle_light("lamp", kit.facing((0, 0.2, 0), (0, 1, 0)), LAMP_CD_M2, 0.3, 0.3)
    # From the side, so that the wall is not seen through the pane.
    view = kit.camera((0.9, 1.5, 0.0), (0.0, 1.95, 0.0), focal_length_m=0.035, f_number=22.0)
    lit = {
        glass: seen(back_end, glazed(make_stage([wall, *panes], [lamp], view)), 512)
        for glass, panes in (("open", []), ("glazed", [pane(normal_at(0.0))]))
    }
    assert lit["open"] > 1.0
    assert lit["glazed"] == pytest.approx(lit["open"], rel=0.01)
