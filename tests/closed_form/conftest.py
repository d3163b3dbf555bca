"""Small stages with known answers, and every back end that can be held to them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import trimesh

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.mesh import Mesh
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.backends import TABLE, open_back_end, working
from previz.render.contract import Ability, BackEnd
from previz.stage.placing import looking
from previz.stage.stage import Emitter, Stage, StageCamera, Thing

PICTURED = {Ability.BOUNCES, Ability.ENVIRONMENT}
"""Who needs one of these looks at pictures."""


def able(*abilities: Ability) -> list[tuple[str, str]]:
    """Every back end of the table, in every variant that works here, that can do all of this.

    Who hands an ability on from another row is not asked again what that row has answered.
    """
    return [
        (name, variant)
        for name, row in TABLE.items()
        if PICTURED.intersection(abilities) or not row.hands_on.intersection(abilities)
        for variant in working(name)
        if row.abilities(variant).issuperset(abilities)
    ]


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "needs(*abilities): who claims all of these is held to it")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Give a test every back end that claims what the test needs: a new row is held to its own."""
    if "back_end" not in metafunc.fixturenames:
        return
    needed = [n for mark in metafunc.definition.iter_markers("needs") for n in mark.args]
    held = able(*needed)
    if not held:  # the test would be left out without a word
        raise RuntimeError(f"nothing that works here has {needed}: run previz doctor")
    metafunc.parametrize("back_end", held, indirect=True, ids="-".join)


@pytest.fixture
def back_end(request: pytest.FixtureRequest) -> BackEnd:
    """Each back end that the test is about: a machine with a card tests the card."""
    name, variant = request.param
    return open_back_end(variant, name=name)


def material(reflectance: float = 0.5, **other: object) -> Material:
    return Material.model_validate(
        {
            "label": "test",
            "kind": "memory",
            "source": "made for a test",
            "reflectance": (reflectance,) * 3,
            "roughness": 1.0,
            "refractive_index": 1.0,
            **other,
        }
    )


def camera(
    position: tuple[float, float, float] = (0.0, 0.0, 0.0),
    target: tuple[float, float, float] = (0.0, 1.0, 0.0),
    **other: float,
) -> StageCamera:
    values: dict[str, float] = {
        "sensor_width_m": 0.036,
        "sensor_height_m": 0.02025,
        "focal_length_m": 0.050,
        "f_number": 8.0,
        "t_number": 8.0,
        "focus_distance_m": 2.0,
        "fps": 25.0,
        "shutter_s": 0.02,
        "iso": 800.0,
        "nd_density": 0.0,
    }
    return StageCamera(name="A", pose=looking(position, target), **{**values, **other})


def facing(
    position: tuple[float, float, float], direction: tuple[float, float, float]
) -> np.ndarray:
    """Pose of an emitter at `position` that shines along `direction`."""
    pose = looking(position, np.add(position, direction))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    return pose


def rectangle_light(
    name: str, pose: np.ndarray, luminance: float, width: float = 1.0, height: float = 1.0, **other
) -> Emitter:
    shape = EmitterShape("rectangle", pose, width_m=width, height_m=height)
    rgb = other.pop("rgb", np.ones(3))
    return Emitter(name, f"lights.{name}", shape, luminance, np.asarray(rgb), **other)


def box_piece(name: str, size: tuple[float, float, float], centre, inside: bool = False) -> Piece:
    mesh = trimesh.creation.box(size)
    mesh.apply_translation(centre)
    if inside:
        mesh.invert()
    # As the product's own meshes are: a turned box of the library keeps the normals it had.
    own = Mesh(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    return Piece(name, own, "grey")


@pytest.fixture
def make_stage() -> Callable[..., Stage]:
    """A stage from pieces and emitters; everything is made of the material `grey`."""

    def make(pieces, emitters, view: StageCamera, reflectance: float = 0.5, **other) -> Stage:
        things = tuple(Thing(piece.name, "furniture", (piece,)) for piece in pieces)
        return Stage(
            title="test",
            digest="test",
            seed=1,
            things=things,
            emitters=tuple(emitters),
            cameras={view.name: view},
            people={},
            materials={"grey": material(reflectance)},
            **other,
        )

    return make


@pytest.fixture
def kit():
    """The builders above, for tests to call."""
    import types

    return types.SimpleNamespace(
        camera=camera, facing=facing, rectangle_light=rectangle_light, box=box_piece
    )
