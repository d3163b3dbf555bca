"""Where things stand by tape, where cables run, what is kept clear."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import yaml

from previz.api.opening import open_scene
from previz.api.planning import layout_of
from previz.measure.setting_out.layout import Layout
from previz.telling.fitted import FITTED_COLUMNS, fitted_cells, fitted_numbers

pytestmark = pytest.mark.usefixtures("mannequins")


@pytest.fixture
def laid(plain: str, tmp_path: Path):
    """Lay out the plain room, 6 by 8 m round (0, 0), with changes."""

    def out(**changes: object) -> Layout:
        scene = yaml.safe_load(plain) | changes
        path = tmp_path / "scene.yaml"
        path.write_text(yaml.safe_dump(scene, sort_keys=False), encoding="utf-8")
        return layout_of(open_scene(path))

    return out


def row(layout: Layout, name: str):
    return next(row for row in layout.rows if row.name == name)


def read(layout: Layout, name: str) -> dict[str, float]:
    return {tape.reference: round(tape.distance_m, 6) for tape in row(layout, name).tapes}


def test_a_camera_by_its_nearest_square_walls(laid) -> None:
    layout = laid()
    assert read(layout, "cameras.A") == {"south wall": 1.5, "east wall": 3.0}
    camera = row(layout, "cameras.A")
    assert camera.pan_rad % (2 * math.pi) == pytest.approx(0.0, abs=0.05)
    assert camera.setting.focal_length_mm == 70.0
    # A stool at (0, 0) that faces south.
    assert row(layout, "people.guest").pan_rad == pytest.approx(math.pi)


def test_no_tape_is_held_against_a_door(laid) -> None:
    door = {"kind": "door", "wall": "south", "along_m": 2.5, "width_m": 1.0, "height_m": 2.0}
    assert read(laid(openings={"door": door}), "cameras.A").keys() == {"north wall", "east wall"}


def test_from_corners_where_no_wall_serves(laid) -> None:
    """Both walls across are doors where the camera stands: two corners of one wall find it."""
    doors = {
        f"d_{wall}": {"kind": "door", "wall": wall, "along_m": 2.5, "width_m": 1.0, "height_m": 2.0}
        for wall in ("south", "north")
    }
    tapes = row(laid(openings=doors), "cameras.A").tapes
    assert [tape.reference for tape in tapes] == ["corner 2", "corner 1"]
    for tape in tapes:
        assert math.dist(tape.from_m, (0.0, -2.5)) == pytest.approx(tape.distance_m)


def test_a_tape_stays_in_the_room(laid) -> None:
    """In an L the wall straight ahead may lie behind another: what is measured must be seen."""
    corners = [[0, 0], [8, 0], [8, 3], [3, 3], [3, 8], [0, 8]]
    room = {"floor_m": corners, "height_m": 2.8}
    people = {"guest": {"at_m": [1.5, 6.5], "seat": "stool"}}
    place = {"at_m": [7.2, 1.0], "height_m": 1.2}
    camera = {"sensor": "full_frame", "lens": "zoom_24_105_f4", "f_number": 4, "aim": "guest",
              "focal_length_mm": 50, "place": place}  # fmt: skip
    layout = laid(room=room, people=people, cameras={"A": camera})
    assert read(layout, "people.guest") == {"wall 4": 1.5, "wall 5": 1.5}
    assert read(layout, "cameras.A") == {"wall 1": 1.0, "wall 2": 0.8}
    assert not any(row.outside for row in layout.rows)


def panel(x: float, y: float, **more: object) -> dict[str, object]:
    return {"fixture": "panel_60x40", "aim": "guest", "place": {"at_m": [x, y], "height_m": 2.0},
            **more}  # fmt: skip


SOCKET = {"piece": "wall_socket", "wall": "west", "along_m": 4.0, "gap_m": 0.001}


def test_a_cable_runs_to_the_wall_and_along_it(laid) -> None:
    layout = laid(furniture={"plug": SOCKET}, lights={"key": panel(-2.0, 2.0)})
    run = layout.cables[0]
    assert (run.light, run.socket, run.circuit, run.doors) == ("key", "plug", "mains", ())
    start, end = run.path_m[0], run.path_m[-1]
    assert start == pytest.approx(layout.lights[0].column_m)
    assert end == pytest.approx(layout.sockets["plug"][:2])
    floor_m = np.linalg.norm(np.diff(run.path_m, axis=0), axis=1).sum()
    assert run.length_m == pytest.approx(floor_m + 2.0 + layout.sockets["plug"][2])
    # Straight over is the least it can be; along two sides the most that is sensible.
    apart = np.abs(end - start)
    assert np.hypot(*apart) <= floor_m <= apart.sum() + 0.3


def test_a_cable_keeps_off_a_door(laid) -> None:
    """Square to the wall is the door: the way slants past it to the socket."""
    door = {"kind": "door", "wall": "west", "along_m": 4.6, "width_m": 0.9, "height_m": 2.0}
    layout = laid(
        furniture={"plug": SOCKET}, lights={"key": panel(-0.3, 0.9)}, openings={"door": door}
    )
    assert layout.cables[0].doors == ()


def test_a_circuit_names_its_socket(laid) -> None:
    sockets = {"near": SOCKET, "far": {**SOCKET, "wall": "east"}}
    power = {"circuits": {"one": {}, "two": {"where": "far, behind the curtain"}}}
    lights = {"key": panel(-2.0, 2.0), "fill": panel(-2.0, -1.0, circuit="two")}
    layout = laid(furniture=sockets, lights=lights, power=power)
    assert [(c.light, c.socket, c.circuit) for c in layout.cables] == [
        ("key", "near", "one"), ("fill", "far", "two"),
    ]  # fmt: skip


def test_without_a_socket_no_cable_is_made_up(laid) -> None:
    layout = laid(lights={"key": panel(-2.0, 2.0)})
    assert layout.cables == () and layout.fed == ("key",)


def test_beam_edges(laid) -> None:
    """A fresnel at 30 degrees, level: 15 to each side; a panel without a profile of its own: 60."""
    spot = {"fixture": "fresnel_150", "beam_deg": 30, "aim_m": [0, 0, 1.0],
            "place": {"at_m": [2.0, 0.0], "height_m": 1.0}}  # fmt: skip
    globe = {"fixture": "lantern_60", "place": {"at_m": [0, 2], "height_m": 2.4}, "stand": "none"}
    layout = laid(lights={"spot": spot, "globe": globe})
    beam = layout.lights[0].beam
    assert math.degrees(beam.half_rad) == pytest.approx(15.0, abs=0.1)
    turned = [math.degrees(math.atan2(edge[1], -edge[0])) for edge in beam.edges]
    assert sorted(turned) == pytest.approx([-15.0, 15.0], abs=0.1)
    assert layout.lights[1].beam is None


@pytest.mark.parametrize(
    ("turn_deg", "left_deg", "right_deg"), [(0, 12.26, 15.0), (180, 15.0, 12.26), (90, 15.0, 15.0)]
)
def test_a_barn_door_cuts_the_beam_on_its_side(
    turn_deg: int, left_deg: float, right_deg: float, laid
) -> None:
    """Of a lens of 75 mm radius the frame is 100.5 mm and a leaf 160.8 mm: closed by 25 degrees
    over the axis its end is 100.5 - 160.8 sin 25 = 32.5 mm off it, 4 + 160.8 cos 25 before it."""
    light = {
        "fixture": "fresnel_150",
        "beam_deg": 30,
        "aim_m": [0, 0, 1.4],
        "turn_deg": turn_deg,
        "barn_doors": {"left_deg": -25},
        "place": {"at_m": [0, -3.2], "height_m": 1.4},
    }
    [placed] = laid(lights={"spot": light}).lights
    # It looks to plan north: left is west.
    left, right = (math.degrees(math.atan2(-edge[0], edge[1])) for edge in placed.beam.edges)
    assert (left, -right) == pytest.approx((left_deg, right_deg), abs=0.1)


def test_zones(laid) -> None:
    door = {"kind": "door", "wall": "south", "along_m": 0.5, "width_m": 1.0, "height_m": 2.0}
    hot = {"fixture": "fresnel_tungsten_650", "aim": "guest",
           "place": {"at_m": [1.5, 2.0], "height_m": 2.4}}  # fmt: skip
    layout = laid(openings={"door": door}, lights={"hot": hot})
    zone = layout.zones.clear["door"]
    assert np.ptp(zone, axis=0) == pytest.approx((1.0, 0.9))
    assert layout.zones.hot[0].radius_m == layout.stage.lights["hot"].fixture.stand_off_m
    walked = np.concatenate(layout.zones.walk)
    assert np.abs(walked).max(axis=0) == pytest.approx((3.0, 4.0), abs=1e-6)


def test_an_angle_of_view_ends_at_the_walls(laid) -> None:
    layout = laid()
    camera = layout.cameras[0]
    for end in camera.edges_m:
        assert max(abs(end[0]) - 3.0, abs(end[1]) - 4.0) == pytest.approx(0.0, abs=1e-9)
    rays = camera.edges_m - camera.camera.position_m[:2]
    turns = np.arctan2(rays[:, 0], rays[:, 1])
    assert abs(turns[0] - turns[1]) == pytest.approx(camera.camera.horizontal_angle_rad, rel=2e-3)


def test_a_scan_is_set_out_from_two_marks(laid, tmp_path: Path) -> None:
    box = "v -3 0 -4\nv 3 0 -4\nv 3 0 4\nv -3 0 4\nv -3 2.8 -4\nv 3 2.8 4\n"
    (tmp_path / "room.obj").write_text(box + "f 1 2 3\nf 1 3 4\nf 1 2 5\nf 3 4 6\n")
    layout = laid(room={"scan": {"file": "room.obj"}})
    apart_m = pytest.approx(math.hypot(3.0, 1.5))
    assert read(layout, "cameras.A") == {"mark 1": apart_m, "mark 2": apart_m}
    assert layout.cables == () and len(layout.floor_m) == 0


def test_who_shares_a_seat_sits_and_the_table_says_beside_whom(laid) -> None:
    people = {
        "guest": {"at_m": [0, 0], "seat": "sofa", "turn_deg": 0},
        "old_friend": {"at_m": [0.6, 0], "seat_with": "guest"},
    }
    layout = laid(people=people)
    guest, friend = (row(layout, f"people.{name}") for name in people)
    assert guest.kind == friend.kind == "seat"
    said = [fitted_cells(layout, one, "metres") for one in (guest, friend)]
    assert said[0] and said[0][0].startswith("Sofa for two")
    assert said[1] and said[1][0] == "beside guest, on the same seat"
    told = dict(zip(FITTED_COLUMNS, fitted_numbers(layout, friend), strict=True))
    assert (told["item"], told["seat_with"]) == ("", "guest"), "one sofa is brought"
