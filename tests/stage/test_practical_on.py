"""A lamp of the room stands on a piece of furniture, which gives its height."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz.api.opening import OpenScene, open_scene

SCENE = """\
furniture: {{table: {{piece: table_side, at_m: [1, 2], base_m: {base_m}}}}}
lights: {{lamp: {{fixture: practical_table_lamp, place: {place}}}}}
"""
pytestmark = pytest.mark.usefixtures("mannequins")


def opened(folder: Path, plain: str, place: str, base_m: float = 0.0) -> OpenScene:
    path = folder / "scene.yaml"
    path.write_text(plain + SCENE.format(place=place, base_m=base_m), encoding="utf-8")
    return open_scene(path)


@pytest.mark.parametrize("base_m", [0.0, 0.15])
def test_its_foot_is_on_the_top(plain: str, tmp_path: Path, base_m: float) -> None:
    """The side table is 0.48 m high."""
    stage = opened(tmp_path, plain, "{on: table}", base_m).stage
    lamp = next(thing for thing in stage.things if thing.name == "lights.lamp")
    foot = min(float(piece.mesh.bounds[0, 2]) for piece in lamp.pieces)
    assert foot == pytest.approx(0.48 + base_m, abs=1e-3)
    assert stage.lights["lamp"].position_m[:2] == pytest.approx([1.0, 2.0])


def test_at_m_moves_it_about_the_top(plain: str, tmp_path: Path) -> None:
    middle = opened(tmp_path, plain, "{on: table}").stage.lights["lamp"].position_m
    moved = opened(tmp_path, plain, "{on: table, at_m: [1.1, 1.9]}").stage.lights["lamp"].position_m
    assert moved == pytest.approx([1.1, 1.9, float(middle[2])])
