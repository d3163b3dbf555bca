"""A picture that is black for a reason says which."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import trimesh

from previz import api
from previz.api import rendering
from previz.api.progress import Silence
from previz.errors import InputError
from previz.geometry.mesh import Mesh
from previz.geometry.people import Figure, Pose, build_person
from previz.measure.report import Report
from previz.measure.rules.darkness import thing_round, winding
from previz.stage.stage import Thing

Measure = Callable[[str], Report]
KEY = "fixture: softbox_90, aim: guest, place: {at_m: [1.5, -1.5], height_m: 2}"


@dataclass(frozen=True)
class OneThing:
    things: tuple[Thing, ...]


def said(report: Report, rule: str) -> list[tuple[str, str]]:
    return [(f.about, f.message) for f in report.findings if f.rule == rule]


def test_a_lens_in_a_table_top_is_a_fault_and_under_it_is_none(measure: Measure) -> None:
    table = "furniture: {table: {piece: trestle_table, at_m: [2, 2]}}\n"
    lit = f"lights: {{key: {{{KEY}}}}}\n"
    stage = measure(table + lit).measured.stage
    top = max(
        (p for t in stage.things if t.name == "furniture.table" for p in t.pieces),
        key=lambda piece: float(piece.mesh.bounds[1, 2]),
    )
    # A little off the middle, where two planks meet.
    inside = top.mesh.triangles.mean(axis=(0, 1)) + np.array([0.06, 0.06, 0.0])
    below = np.array([0.0, 0.0, 0.2])
    assert thing_round(inside, stage, "A") == "furniture.table"
    assert thing_round(inside - below, stage, "A") is None
    assert thing_round(inside + below, stage, "A") is None
    x, y, z = (float(value) for value in inside)
    camera = (
        "  B: {sensor: full_frame, lens: prime_50_f1.8, f_number: 2.8, aim: guest, "
        f"place: {{at_m: [{x}, {y}], height_m: {z}}}}}\n"
    )
    report = measure(camera + table + lit)
    [(about, message)] = said(report, "lens_inside")
    assert about == "cameras.B" and "inside table" in message
    assert report.has_fault


def test_a_scan_is_seen_from_within_whichever_way_its_faces_turn(
    measure: Callable[..., Report], tmp_path: Path
) -> None:
    inward = (Path(__file__).parent / "box_room.obj").read_text().splitlines()
    outward = [f"f {' '.join(x.split()[:0:-1])}" if x.startswith("f") else x for x in inward]
    (tmp_path / "outward.obj").write_text("\n".join(outward))
    for file in ("box_room.obj", "outward.obj"):
        report = measure("", [f"room.scan={{file: {file}, up: z}}"])
        assert report.measured.stage.room.scan is not None
        assert said(report, "lens_inside") == []


@pytest.mark.parametrize("clothes", ["jumper", "jacket", "dress"])
def test_a_body_goes_all_round_although_no_part_of_it_does(clothes: str) -> None:
    body = build_person(Figure(clothes=clothes, seed=1), Pose())
    stage = OneThing((Thing("people.guest", "person", body.pieces, body.strands),))
    marks, ahead = body.landmarks, body.face_forward
    for mark in ("chest", "waist"):
        assert thing_round(marks[mark] - 0.02 * ahead, stage, "A") == "people.guest"
    assert thing_round(marks["eyes"] - 0.05 * ahead, stage, "A") == "people.guest"
    for mark in ("eyes", "chest"):
        assert thing_round(marks[mark] + 0.25 * ahead, stage, "A") is None


def of(mesh: trimesh.Trimesh) -> Mesh:
    return Mesh(mesh.vertices, mesh.faces)


def test_the_winding_of_a_box_is_one_within_and_none_without() -> None:
    box = trimesh.creation.box((1.0, 2.0, 3.0))
    assert winding(of(box), np.array([0.4, -0.9, 1.4])) == pytest.approx(1.0)
    assert winding(of(box), np.array([0.6, 0.0, 0.0])) == pytest.approx(0.0, abs=1e-12)
    # A quarter of the sphere is open where one of six faces of a cube is gone.
    cube = trimesh.creation.box((2.0, 2.0, 2.0))
    cube.update_faces(cube.face_normals[:, 2] < 0.5)
    assert winding(of(cube), np.zeros(3)) == pytest.approx(5.0 / 6.0)


def test_a_render_says_why_it_will_be_black(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mannequins: None, plain: str
) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(plain + f"lights: {{key: {{{KEY}, on: false}}}}\n", encoding="utf-8")
    told: list[str] = []

    class Listening(Silence):
        def say(self, text: str) -> None:
            told.append(text)

    class Stop(Exception):  # noqa: N818 - not an error, the end of the test
        pass

    def no_session(*_: object) -> None:
        raise Stop

    monkeypatch.setattr(rendering, "Session", no_session)
    with pytest.raises(Stop):
        api.render_scene(path, api.RenderOptions(out=tmp_path), Listening())
    assert told[-1].startswith("every picture is black, for key is off")


def test_what_aims_at_itself_is_one_clear_line(
    tmp_path: Path, mannequins: None, plain: str
) -> None:
    scene = plain.replace("height: eye}", "height_m: 1.2}").replace(
        "    aim: guest\n", "    aim_m: [0, -2.5, 1.2]\n    focus_distance_m: 2\n"
    )
    path = tmp_path / "scene.yaml"
    path.write_text(
        scene
        + "lights: {key: {fixture: softbox_90, place: {at_m: [1, 1], height_m: 2}, "
        + "aim_m: [1, 1, 2]}}\n"
        + "meters: {desk: {at_m: [0, 0, 1], facing_m: [0, 0, 1]}}\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        api.open_scene(path)
    lines = str(caught.value).splitlines()
    assert [line.split(": ")[1] for line in lines] == [
        "cameras.A.aim_m", "lights.key.aim_m", "meters.desk.facing_m",
    ]  # fmt: skip
    assert lines[0].startswith(f"{path}:13:5: ") and "looks nowhere" in lines[0]
