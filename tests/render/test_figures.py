"""All patterns in one texture, and pieces merged into few meshes."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from pydantic import ValidationError

from previz.catalog import Catalog
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.backends import open_back_end
from previz.render.merge import Merger
from previz.render.patterns import figure_of, tile_of
from previz.render.shading import smooth_normals
from previz.stage.stage import Thing

CATALOG = Catalog.load()
MATERIALS = {name: CATALOG.material(name) for name in CATALOG.names("materials")}


def slab(name: str, material: str, colour: np.ndarray | None = None) -> Piece:
    return Piece(name, trimesh.creation.box((2.0, 1.0, 0.1)), material, colour=colour)


def merged(*pieces: Piece, apart: bool = False):
    things = [Thing(piece.name, "furniture", (piece,)) for piece in pieces]
    ids = {thing.name: number for number, thing in enumerate(things, start=1)}
    return Merger(MATERIALS, apart).merge(things, ids)


def test_unlike_patterns_share_a_mesh_and_keep_their_numbers():
    found = merged(slab("a", "oak"), slab("b", "walnut"), slab("c", "brick_red"))
    oak, brick = MATERIALS["oak"], MATERIALS["brick_red"]
    assert len(found.meshes) <= 2
    drawn = [(m.pattern, m.pattern_size_m, m.relief_mm) for m in found.patterns]
    assert drawn.count((oak.pattern, oak.pattern_size_m, oak.relief_mm)) == 1
    assert brick in found.patterns
    apart = merged(slab("a", "oak"), slab("b", "walnut"), apart=True)
    assert len(apart.meshes) == 2


def test_faces_know_their_thing():
    found = merged(slab("a", "oak"), slab("b", "oak"))
    (mesh,) = found.meshes
    assert list(np.unique(mesh.face_objects)) == [1, 2]
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    np.testing.assert_allclose([low, high], [[-1.0, -0.5, -0.05], [1.0, 0.5, 0.05]], atol=1e-6)


def test_the_mesh_that_stands_in_for_strands_is_left_out():
    from previz.geometry.people.figure import Strands

    strands = Strands(np.zeros((1, 3, 3)), np.ones((1, 3)), 1.0, 0.0, np.ones(3), np.zeros(3))
    cap = slab("hair", "hair")
    person = Thing("people.guest", "person", (cap, slab("skin", "skin")), strands)
    with_strands = Merger(MATERIALS, False).merge([person], {"people.guest": 1})
    bald = Thing("people.guest", "person", person.pieces)
    without = Merger(MATERIALS, False).merge([bald], {"people.guest": 1})
    count = [sum(len(mesh.faces) for mesh in found.meshes) for found in (with_strands, without)]
    assert count == [12, 24]


def looked_at(found, mesh, uv):
    """The rows of a stage, and hits of its second thing at places (n, 2) of its pattern, metres."""
    import drjit as dr
    import mitsuba as mi

    from previz.render.pathtracer.rows import Rows

    shape = mi.Mesh("m", vertex_count=3, face_count=len(mesh.faces), has_vertex_texcoords=True)
    parameters = mi.traverse(shape)
    parameters["vertex_positions"] = np.array([0, 0, 0, 1, 0, 0, 0, 1, 0], np.float32)
    parameters["faces"] = np.tile(np.array([0, 1, 2], np.uint32), len(mesh.faces))
    parameters.update()
    rows = Rows(found.looks)
    rows.place([(mesh, shape)], [])
    si = dr.zeros(mi.SurfaceInteraction3f, len(uv))
    si.shape = mi.ShapePtr(shape)
    si.prim_index = mi.UInt32(int(np.flatnonzero(mesh.face_objects == 2)[0]))
    si.p = mi.Point3f(0.2, 0.2, 0.0)
    si.t = mi.Float(1.0)
    si.uv = mi.Point2f(*uv.T.astype(np.float32))
    return rows, si


@pytest.mark.parametrize("name", ["oak_boards", "brick_red", "lime_plaster", "cloth_wool"])
def test_one_texture_draws_what_each_tile_is(name):
    """Against the tile of the same material, looked up by numpy at the same places."""
    open_back_end("llvm_ad_rgb")
    import mitsuba as mi

    from previz.render.pathtracer.figures import look_textures

    found = merged(slab("other", "oak"), slab("this", name))
    mesh = next(m for m in found.meshes if 2 in m.face_objects)
    tile = tile_of(MATERIALS[name])
    side = tile.colour.shape[0]
    places = np.random.default_rng(3).integers(0, side, (400, 2))
    uv = (places + 0.5 + 0.0) / side * tile.size_m + 3 * tile.size_m

    rows, si = looked_at(found, mesh, uv)
    texture = look_textures(rows, found.patterns).colour
    drawn = np.array(texture.eval(si, mi.Bool(True))).T
    # Half a texel apart at most: the texture's texels sit at whole numbers of the tile.
    around = [
        tile.colour[(places[:, 1] + dy) % side, (places[:, 0] + dx) % side]
        for dx in (0, 1)
        for dy in (0, 1)
    ]
    expected = np.mean(around, axis=0)
    np.testing.assert_allclose(drawn, expected, atol=0.012)
    assert drawn.std() > 0.0


@pytest.mark.parametrize("name", ["brass", "oak_boards", "glass_black"])
def test_roughness_varies_with_the_pattern_as_far_as_it_wears(name):
    open_back_end("llvm_ad_rgb")
    import mitsuba as mi

    from previz.render.pathtracer.figures import look_textures

    material = MATERIALS[name]
    found = merged(slab("other", "pine"), slab("this", name))
    mesh = next(m for m in found.meshes if 2 in m.face_objects)
    figure = figure_of(material)
    side = len(figure.second)
    places = np.random.default_rng(5).integers(0, side, (400, 2))
    rows, si = looked_at(found, mesh, (places + 0.5) / side * figure.size_m)
    texture = look_textures(rows, found.patterns).roughness
    drawn = np.array(texture.eval_1(si, mi.Bool(True)))
    np.testing.assert_array_equal(drawn, np.array(texture.eval_1(si, mi.Bool(True))))
    around = np.array(
        [
            figure.second[(places[:, 1] + dy) % side, (places[:, 0] + dx) % side]
            for dx in (0, 1)
            for dy in (0, 1)
        ]
    )
    worn = material.roughness * (1.0 + material.wear * (2.0 * around - 1.0))
    assert (drawn >= worn.min(axis=0) - 1e-4).all() and (drawn <= worn.max(axis=0) + 1e-4).all()
    assert drawn.std() > 0.03 * material.roughness


def test_what_hands_leave_is_mirrored_and_hardly_seen_in_the_colour():
    tile = tile_of(MATERIALS["brass"]).colour
    assert 0.001 < (tile.std(axis=(0, 1)) / tile.mean(axis=(0, 1))).max() < 0.01
    with pytest.raises(ValidationError, match="wear follows a pattern"):
        Material.model_validate(MATERIALS["brass"].model_dump() | {"pattern": "none"})


def test_a_needles_look_is_its_row_and_painted_needles_are_left_out():
    """A skirting's bevel is 8 m long and 5 mm high: interpolation over it gave any number."""
    found = merged(slab("a", "oak"), slab("b", "brick_red"))
    for mesh in found.meshes:
        assert mesh.rows.shape == (len(mesh.faces),)
        assert mesh.rows.min() >= 1 and mesh.rows.max() < len(found.looks.pattern)
    vertices = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0.5, 1e-6, 0]], float)
    sheet = trimesh.Trimesh(vertices, [[0, 1, 2], [0, 1, 3]], process=False)
    painted = Piece("skin", sheet, "skin", smooth=True, colour=np.full((4, 3), 0.4))
    plain = Piece("lid", sheet, "leather_black", smooth=True)
    (mesh,) = merged(painted).meshes
    assert mesh.paint is not None and mesh.faces.tolist() == [[0, 1, 2]]
    (mesh,) = merged(plain).meshes
    assert mesh.paint is None and len(mesh.faces) == 2


def test_smooth_normals_point_out_of_a_ball():
    ball = trimesh.creation.icosphere(3, 0.2)
    normals = smooth_normals(np.asarray(ball.vertices), np.asarray(ball.faces))
    assert np.einsum("ij,ij->i", normals, ball.vertices / 0.2).min() > 0.999


def test_grain_runs_along_a_turned_table_top_not_across_its_corners():
    top = trimesh.creation.box((1.6, 0.8, 0.04))
    turn = np.radians(25.0)
    top.apply_transform(trimesh.transformations.rotation_matrix(turn, [0, 0, 1]))
    (mesh,) = merged(Piece("top", top, "oak")).meshes
    upper = np.abs(mesh.normals[:, 2] - 1.0) < 1e-6
    extent = np.ptp(mesh.uv[upper], axis=0)
    np.testing.assert_allclose(extent, [1.6, 0.8], atol=1e-5)
