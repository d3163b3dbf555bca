import json

import numpy as np
import pytest
import trimesh
from PIL import Image

from previz.geometry import scan
from previz.geometry.piece import bounds
from previz.geometry.scan import load_scan


def block(size=(4.0, 2.5, 3.0), at=(1.0, 1.0, -2.0)):
    """Box in a file's own axes: 4 wide, 2.5 high along y, 3 deep, its lowest point at y = -0.25."""
    mesh = trimesh.creation.box(size)
    mesh.apply_translation(at)
    return mesh


@pytest.fixture
def saved(tmp_path):
    def save(mesh, name):
        path = tmp_path / name
        mesh.export(path)
        return path

    return save


@pytest.mark.parametrize("name", ["room.glb", "room.obj", "room.ply", "room.stl"])
def test_a_y_up_scan_stands_upright_on_the_floor(saved, name):
    pieces = load_scan(saved(block(), name))
    # y up to z up turns the file's -z to +y.
    assert bounds(pieces) == pytest.approx(np.array([[-1.0, 0.5, 0.0], [3.0, 3.5, 2.5]]), abs=1e-6)
    assert [piece.name for piece in pieces] == ["scan_1"]
    assert pieces[0].mesh.exact.volume == pytest.approx(30.0, rel=1e-6)


@pytest.mark.parametrize(
    ("up", "size"), [("x", (2.5, 3.0, 4.0)), ("y", (4.0, 2.5, 3.0)), ("z", (4.0, 3.0, 2.5))]
)
def test_any_axis_can_point_up_without_mirroring(saved, up, size):
    (piece,) = load_scan(saved(block(size), "room.ply"), up_axis=up)
    low, high = bounds([piece])
    assert (high - low)[2] == pytest.approx(2.5)
    assert low[2] == pytest.approx(0.0)
    assert piece.mesh.exact.volume == pytest.approx(30.0)
    assert not piece.closed, "a room bounds no body: it is seen from within"


def test_scale_floor_turn_and_centre_work_together(saved):
    path = saved(block((400.0, 250.0, 300.0), (100.0, 100.0, -200.0)), "room.ply")
    pieces = load_scan(path, 0.01, "y", 0.2, 90.0, centre=True)
    # Lowest point at -0.25 m; 0.2 m becomes the floor. A quarter turn swaps width and depth.
    assert bounds(pieces) == pytest.approx(np.array([[-1.5, -2.0, -0.45], [1.5, 2.0, 2.05]]))
    turned = load_scan(path, 0.01, "y", "lowest", 90.0)
    # East (x -1 to 3) turns to north.
    assert bounds(turned)[:, 1] == pytest.approx([-1.0, 3.0])


def test_a_scene_of_several_meshes_keeps_them_and_their_places(saved):
    parts = trimesh.Scene()
    parts.add_geometry(block((1.0, 1.0, 1.0), (0.0, 0.5, 0.0)), node_name="a")
    shift = trimesh.transformations.translation_matrix((5.0, 0.0, 0.0))
    parts.add_geometry(block((1.0, 2.0, 1.0), (0.0, 1.0, 0.0)), node_name="b", transform=shift)
    pieces = load_scan(saved(parts, "room.glb"))
    assert sorted(round(float(piece.mesh.exact.volume), 6) for piece in pieces) == [1.0, 2.0]
    assert bounds(pieces)[:, 0] == pytest.approx([-0.5, 5.5])


def test_a_mesh_placed_twice_and_mirrored_keeps_its_outside_outside(saved):
    parts = trimesh.Scene()
    parts.add_geometry(block((1.0, 1.0, 2.0), (2.0, 0.5, 0.0)), geom_name="bay", node_name="a")
    mirror = np.diag([-1.0, 1.0, 1.0, 1.0])
    parts.graph.update(frame_to="b", geometry="bay", matrix=mirror)
    pieces = load_scan(saved(parts, "room.glb"))
    assert [float(piece.mesh.exact.volume) for piece in pieces] == pytest.approx([2.0, 2.0])
    assert bounds(pieces)[:, 0] == pytest.approx([-2.5, 2.5])


def test_vertex_colours_of_a_ply_are_decoded_from_srgb(saved):
    mesh = block()
    mesh.visual.vertex_colors = np.tile([255, 128, 0, 255], (8, 1))
    (piece,) = load_scan(saved(mesh, "room.ply"))
    # IEC 61966-2-1: ((128/255 + 0.055) / 1.055) ** 2.4 = 0.21586.
    assert piece.colour == pytest.approx(np.tile([1.0, 0.21586, 0.0], (8, 1)), abs=1e-5)


def test_vertex_colours_of_a_gltf_are_linear_already(saved):
    mesh = block()
    mesh.visual.vertex_colors = np.tile([255, 128, 0, 255], (8, 1))
    (piece,) = load_scan(saved(mesh, "room.glb"))
    assert piece.colour == pytest.approx(np.tile([1.0, 128 / 255, 0.0], (8, 1)))


def test_face_colours_keep_to_their_faces(saved):
    mesh = block()
    colours = np.zeros((12, 4), dtype=np.uint8)
    colours[:, 3] = 255
    colours[:4, 0] = 255
    mesh.visual.face_colors = colours
    (piece,) = load_scan(saved(mesh, "room.ply"))
    assert piece.colour.shape == (len(piece.mesh.vertices), 3)
    of_faces = piece.colour[piece.mesh.faces]
    assert of_faces[:4] == pytest.approx(np.tile([1.0, 0.0, 0.0], (4, 3, 1)))
    assert of_faces[4:] == pytest.approx(np.zeros((8, 3, 3)))
    assert piece.mesh.exact.volume == pytest.approx(30.0)


def test_a_materials_base_colour_colours_the_whole_piece(saved):
    mesh = block()
    material = trimesh.visual.material.PBRMaterial(baseColorFactor=[51, 102, 204, 255])
    mesh.visual = trimesh.visual.TextureVisuals(material=material)
    (piece,) = load_scan(saved(mesh, "room.glb"))
    assert piece.colour == pytest.approx([0.2, 0.4, 0.8], abs=1 / 255)


def test_an_obj_material_is_read_and_a_bare_mesh_has_no_colour(tmp_path):
    triangle = "v 0 0 0\nv 1 0 0\nv 0 1 0\n"
    (tmp_path / "m.mtl").write_text("newmtl red\nKd 1.0 0.0 0.0\n")
    (tmp_path / "red.obj").write_text(f"mtllib m.mtl\n{triangle}usemtl red\nf 1 2 3\n")
    (tmp_path / "bare.obj").write_text(f"{triangle}f 1 2 3\n")
    (red,) = load_scan(tmp_path / "red.obj")
    (bare,) = load_scan(tmp_path / "bare.obj")
    assert red.colour == pytest.approx([1.0, 0.0, 0.0])
    assert bare.colour is None


def test_a_texture_is_taken_at_each_vertex(saved):
    mesh = trimesh.Trimesh([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2]], process=False)
    image = Image.new("RGB", (64, 64), (0, 0, 255))
    image.paste((255, 0, 0), (0, 0, 32, 64))
    material = trimesh.visual.material.PBRMaterial(baseColorTexture=image)
    uv = np.array([[0.2, 0.5], [0.8, 0.5], [0.2, 0.9]])
    mesh.visual = trimesh.visual.TextureVisuals(uv=uv, material=material)
    (piece,) = load_scan(saved(mesh, "room.glb"))
    assert piece.colour == pytest.approx(np.array([[1, 0, 0], [0, 0, 1], [1, 0, 0]]), abs=1e-6)


@pytest.mark.parametrize(
    ("name", "content", "text"),
    [
        ("room.fbx", b"x", r"room.fbx: a scan is one of .glb, .gltf, .obj, .ply, .stl"),
        ("room.glb", b"not a mesh", r"room.glb: cannot be read as a mesh \(.+\)"),
        ("room.glb", b"", r"room.glb: cannot be read as a mesh \(.+\)"),
        ("room.ply", b"ply\nformat ascii 1.0\n", r"room.ply: cannot be read as a mesh \(.+\)"),
        ("room.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", r"room.obj: .+"),
        (
            "room.obj",
            b"v 0 0 0\nv nan 0 0\nv 0 1 0\nf 1 2 3\n",
            r"room.obj: a vertex is not a finite number",
        ),
        ("room.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", r"room.obj: .+"),
        ("room.gltf", json.dumps({"asset": {"version": "2.0"}}).encode(), r"room.gltf: .+"),
    ],
)
def test_an_unusable_file_gets_one_line(tmp_path, name, content, text):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(ValueError, match=rf"\A{text}\Z") as caught:
        load_scan(tmp_path / name)
    assert "\n" not in str(caught.value)


def test_a_missing_file_an_absurd_size_and_too_many_triangles_are_refused(saved, monkeypatch):
    path = saved(block(), "room.ply")
    with pytest.raises(ValueError, match=r"\Agone.ply: there is no such file\Z"):
        load_scan(path.with_name("gone.ply"))
    with pytest.raises(ValueError, match="the scan is 4000 m across after scaling by 1000"):
        load_scan(path, 1000.0)
    monkeypatch.setattr(scan, "MOST_TRIANGLES", 11)
    with pytest.raises(ValueError, match="12 triangles; at most 11"):
        load_scan(path)
    monkeypatch.setattr(scan, "MOST_BYTES", 10)
    with pytest.raises(ValueError, match="larger than"):
        load_scan(path)
