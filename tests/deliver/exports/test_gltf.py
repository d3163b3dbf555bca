"""The GLB as trimesh reads it, and as its JSON says: shapes, cameras and lights are the stage's."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import trimesh

from previz.deliver.exports.gltf import write_gltf
from previz.deliver.exports.gltf_looks import cone_rad
from previz.deliver.exports.scenery import items, unique
from previz.geometry.piece import bounds

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709
Z_UP = np.array([[1, 0, 0, 0], [0, 0, -1, 0], [0, 1, 0, 0], [0, 0, 0, 1.0]])


@pytest.fixture(scope="module")
def read(made) -> trimesh.Scene:
    return trimesh.load(made.folder / "scene.glb")


def corners(read: trimesh.Scene, names: list[str]) -> np.ndarray:
    """Bounds (2, 3), Z up, of the meshes of these nodes."""
    boxes = []
    for name in names:
        matrix, geometry = read.graph[name]
        points = trimesh.transform_points(read.geometry[geometry].vertices, Z_UP @ matrix)
        boxes.append([points.min(axis=0), points.max(axis=0)])
    return np.array([np.min(boxes, axis=0)[0], np.max(boxes, axis=0)[1]])


def test_every_thing_is_a_node_of_its_name_and_as_large_as_on_the_stage(made, read) -> None:
    nodes = {node["name"]: node for node in made.glb["nodes"]}
    for thing in made.stage.things:
        assert nodes[thing.name]["extras"]["kind"] == thing.kind
        drawn = [p for p in thing.pieces if not (thing.strands is not None and p.name == "hair")]
        if drawn:
            children = [made.glb["nodes"][n]["name"] for n in nodes[thing.name]["children"]]
            found = corners(read, [name for name in children if not name.endswith(".hair")])
            np.testing.assert_allclose(found, bounds(drawn), atol=1e-4, err_msg=thing.name)


def test_hair_is_there_as_ribbons_where_the_strands_are(made, read) -> None:
    thing = next(t for t in made.stage.things if t.strands is not None)
    geometry = read.geometry["people.guest.hair"]
    assert len(geometry.faces) > 10_000
    points = geometry.vertices @ Z_UP[:3, :3].T
    strands = thing.strands.points.reshape(-1, 3)
    # One strand that flies away, and is not among those that are written, moves the bounds.
    for share in (0.001, 0.5, 0.999):
        found, wanted = (np.quantile(of, share, axis=0) for of in (points, strands))
        np.testing.assert_allclose(found, wanted, atol=0.006)


def test_a_camera_stands_looks_and_sees_as_on_the_stage(made, read) -> None:
    cameras = {camera["name"]: camera["perspective"] for camera in made.glb["cameras"]}
    for name, camera in made.stage.cameras.items():
        matrix = Z_UP @ read.graph.get(f"cameras.{name}.lens")[0]
        np.testing.assert_allclose(matrix[:3, 3], camera.position_m, atol=1e-6)
        np.testing.assert_allclose(-matrix[:3, 2], camera.forward, atol=1e-6)
        np.testing.assert_allclose(matrix[:3, 1], camera.pose[:3, 1], atol=1e-6)
        lens = cameras[f"cameras.{name}.lens"]
        # A point off the axis falls on the same place of the picture.
        point = made.stage.people["guest"].landmarks["shoulder_left"]
        local = np.linalg.inv(matrix) @ [*point, 1.0]
        up = local[1] / -local[2] / math.tan(lens["yfov"] / 2.0)
        right = local[0] / -local[2] / math.tan(lens["yfov"] / 2.0) / lens["aspectRatio"]
        found = [50.0 * (1.0 + right), 50.0 * (1.0 - up)]
        np.testing.assert_allclose(found, camera.project(point, 100, 100)[0], atol=1e-6)


def test_a_camera_begins_to_see_behind_its_own_gear_and_before_its_subject(made) -> None:
    near = {c["name"]: c["perspective"]["znear"] for c in made.glb["cameras"]}
    for name, camera in made.stage.cameras.items():
        own = next(t for t in made.stage.things if t.owner == name)
        pose = np.linalg.inv(camera.pose)
        local = np.concatenate([p.mesh.vertices for p in own.pieces]) @ pose[:3, :3].T + pose[:3, 3]
        seen = camera.project(np.concatenate([p.mesh.vertices for p in own.pieces]), 1, 1)
        inside = ((seen >= 0.0) & (seen <= 1.0)).all(axis=1)
        assert -local[inside, 2].min(initial=0.0) < near[f"cameras.{name}.lens"] < 0.6


def test_lamps_shine_from_the_middle_of_their_faces_the_way_they_face(made) -> None:
    for thing, kind in (
        ("lights.key", "spot"), ("lights.hair", "spot"), ("openings.window", "spot"),
        ("lights.ball", "point"), ("lights.stick", "point"),
    ):  # fmt: skip
        emitter, pose = made.emitter(thing), made.pose(f"{thing}.light")
        np.testing.assert_allclose(pose[:3, 3], emitter.shape.position_m, atol=1e-6)
        np.testing.assert_allclose(-pose[:3, 2], emitter.shape.direction, atol=1e-6)
        assert np.linalg.det(pose[:3, :3]) == pytest.approx(1.0)
        assert made.light(f"{thing}.light")["type"] == kind


def test_intensities_are_those_of_faces_of_that_luminance(made) -> None:
    def candela(thing: str) -> float:
        light = made.light(f"{thing}.light")
        assert max(light["color"]) == pytest.approx(1.0) and min(light["color"]) >= 0.0
        return float(LUMINANCE @ light["color"]) * light["intensity"]

    key, ball, stick = (made.emitter(f"lights.{n}") for n in ("key", "ball", "stick"))
    assert candela("lights.key") == pytest.approx(key.luminance_cd_m2 * 0.9 * 0.9, rel=1e-4)
    housed = math.pi * ball.shape.radius_m**2 * (1.0 - ball.shape.shaded)
    assert candela("lights.ball") == pytest.approx(ball.luminance_cd_m2 * housed, rel=1e-4)
    side = 2.0 * stick.shape.radius_m * stick.shape.length_m * (1.0 - stick.shape.shaded)
    assert candela("lights.stick") == pytest.approx(stick.luminance_cd_m2 * side, rel=1e-4)
    window = made.emitter("openings.window")
    mean = made.stage.environment.mean_through(window.shape.direction)
    wanted = float(LUMINANCE @ (window.power * mean)) * window.shape.area_m2
    assert candela("openings.window") == pytest.approx(wanted, rel=1e-4)


def fall(light: dict, angle_rad: float) -> float:
    """Share of the light at an angle, as KHR_lights_punctual proposes."""
    inner, outer = (math.cos(light["spot"][k]) for k in ("innerConeAngle", "outerConeAngle"))
    return min(max((math.cos(angle_rad) - outer) / max(inner - outer, 1e-3), 0.0), 1.0) ** 2


def test_a_cone_has_half_the_light_where_the_beam_has(made) -> None:
    hair = made.light("lights.hair.light")
    assert hair["extras"]["beam_deg"] == pytest.approx(30.0, abs=0.2)
    assert fall(hair, math.radians(15.0)) == pytest.approx(0.5, abs=0.02)
    key = made.light("lights.key.light")
    assert key["extras"]["beam_deg"] == pytest.approx(120.0, abs=0.5)
    assert fall(key, math.radians(60.0)) == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize("beam", [2, 10, 25, 60, 90, 119])
@pytest.mark.parametrize("ratio", [1.05, 1.4, 1.9])
def test_every_cone_is_one_that_the_format_allows(beam: float, ratio: float) -> None:
    half, tenth = math.radians(beam / 2), min(math.radians(beam / 2 * ratio), math.radians(89))
    inner, outer = cone_rad(half, tenth)
    assert 0.0 <= inner < outer <= math.pi / 2
    light = {"spot": {"innerConeAngle": inner, "outerConeAngle": outer}}
    share = (math.cos(half) - math.cos(outer)) / (math.cos(inner) - math.cos(outer))
    assert share**2 == pytest.approx(0.5, abs=1e-6)
    assert fall(light, tenth) < 0.5


def test_the_sun_shines_in_behind_the_glass(made) -> None:
    sun, window = made.stage.environment.sun, made.emitter("openings.window")
    np.testing.assert_allclose(made.pose("sun")[:3, 2], sun.direction, atol=1e-6)
    light = made.light("sun")
    np.testing.assert_allclose(
        np.array(light["color"]) * light["intensity"], sun.light * window.power, rtol=1e-5
    )


def test_faces_glow_as_bright_as_they_are_and_stay_dark_where_they_are_off(made) -> None:
    materials = {material["name"]: material for material in made.glb["materials"]}
    for thing in ("lights.key", "lights.ball", "lights.stick"):
        look = materials[f"{thing}.face"]
        strength = look["extensions"]["KHR_materials_emissive_strength"]["emissiveStrength"]
        glow = float(LUMINANCE @ look["emissiveFactor"]) * strength
        assert glow == pytest.approx(made.emitter(thing).luminance_cd_m2, rel=1e-3)
    assert "emissiveFactor" not in materials["lights.spare.face"]
    assert "lights.spare.light" not in [node["name"] for node in made.glb["nodes"]]
    # Seen from where the light goes, a face turns anticlockwise.
    face = trimesh.load(made.folder / "scene.glb").geometry["lights.key.face"]
    np.testing.assert_allclose(
        face.face_normals @ Z_UP[:3, :3].T,
        np.broadcast_to(made.emitter("lights.key").shape.direction, (2, 3)),
        atol=1e-5,
    )


def test_looks_are_the_catalogues(made) -> None:
    materials = {material["name"]: material for material in made.glb["materials"]}
    clear = [m for m in materials.values() if "KHR_materials_transmission" in str(m)]
    assert clear and all(m["alphaMode"] == "BLEND" for m in clear)
    boards = next(m for m in made.stage.materials if made.stage.materials[m].pattern == "boards")
    look, record = materials[boards], made.stage.materials[boards]
    assert look["extras"]["pattern"] == "boards"
    np.testing.assert_allclose(
        look["pbrMetallicRoughness"]["baseColorFactor"], [*record.reflectance, 1.0]
    )
    assert look["pbrMetallicRoughness"]["roughnessFactor"] == record.roughness
    sheets = [m for m in materials.values() if m.get("doubleSided")]
    ribbons = made.glb["meshes"][made.node("people.guest.hair")["mesh"]]["primitives"][0]
    assert made.glb["materials"][ribbons["material"]] in sheets and len(sheets) > 1


# --- the format's own rules that need no network -------------------------------------------------


def numbers(made, index: int) -> np.ndarray:
    accessor = made.glb["accessors"][index]
    view = made.glb["bufferViews"][accessor["bufferView"]]
    kind = {5123: "<u2", 5125: "<u4", 5126: "<f4"}[accessor["componentType"]]
    wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    found = np.frombuffer(made.block, kind, accessor["count"] * wide, view["byteOffset"])
    assert found.nbytes == view["byteLength"]
    return found.reshape(-1, wide) if wide > 1 else found


def test_numbers_lie_where_the_format_wants_them_and_are_what_it_allows(made) -> None:
    assert made.glb["buffers"][0]["byteLength"] == len(made.block)
    assert all(view["byteOffset"] % 4 == 0 for view in made.glb["bufferViews"])
    ends = [view["byteOffset"] + view["byteLength"] for view in made.glb["bufferViews"]]
    assert max(ends) <= len(made.block)
    for mesh in made.glb["meshes"]:
        (primitive,) = mesh["primitives"]
        place, facing = (numbers(made, primitive["attributes"][k]) for k in ("POSITION", "NORMAL"))
        stated = made.glb["accessors"][primitive["attributes"]["POSITION"]]
        np.testing.assert_array_equal(stated["min"], place.min(axis=0))
        np.testing.assert_array_equal(stated["max"], place.max(axis=0))
        assert np.isfinite(place).all()
        np.testing.assert_allclose(np.linalg.norm(facing, axis=1), 1.0, atol=1e-4)
        faces = numbers(made, primitive["indices"]).reshape(-1, 3)
        assert faces.max() < len(place) and set(np.unique(faces)) == set(range(len(place)))
        assert (faces[:, 0] != faces[:, 1]).all() and (faces[:, 1] != faces[:, 2]).all()
        if "COLOR_0" in primitive["attributes"]:
            paint = numbers(made, primitive["attributes"]["COLOR_0"])
            assert paint.min() >= 0.0 and paint.max() <= 1.0 and len(paint) == len(place)


def test_names_are_unique_and_every_extension_that_is_used_is_said(made) -> None:
    for kind in ("nodes", "meshes", "materials", "cameras"):
        names = [each["name"] for each in made.glb[kind]]
        assert len(set(names)) == len(names)
    said = str({key: value for key, value in made.glb.items() if key != "extensionsUsed"})
    assert made.glb["extensionsUsed"] == sorted(made.glb["extensionsUsed"])
    assert all(f"'{name}'" in said for name in made.glb["extensionsUsed"])
    assert unique(["leg", "leg.2", "leg", "arm"]) == ["leg", "leg.2", "leg.3", "arm"]


def test_the_same_stage_gives_the_same_bytes(made, tmp_path: Path) -> None:
    first = (made.folder / "scene.glb").read_bytes()
    again = tmp_path / "again.glb"
    write_gltf(again, made.stage, tuple(items(made.stage)), made.glb["asset"]["generator"])
    assert again.read_bytes() == first
