"""The plan on paper: to scale, nothing over anything, and enough to set up by."""

from __future__ import annotations

import math
from collections.abc import Iterator
from ctypes import c_float
from itertools import combinations
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import yaml
from oracles.paper import PaperPlan, table
from oracles.rooms import random_scene

from previz import api
from previz.api.opening import OpenScene, open_scene
from previz.api.planning import layout_of
from previz.deliver.paper.figure import Box, Figure
from previz.deliver.paper.svg import svg_of
from previz.deliver.plan.document import plan_pages, table_text
from previz.deliver.plan.elevation import draw_elevations
from previz.deliver.plan.floor_plan import draw_plan
from previz.deliver.plan.view import ScaleError

SCENES = Path(__file__).parents[3] / "scenes"
SHIPPED = ("first_light", "bookbinder", "harbour_pilot", "round_table")
A4_MM = (210.0, 297.0)
MM_PER_PT = 25.4 / 72.0
POINTS = {"camera", "light", "stand"}
pytestmark = pytest.mark.usefixtures("mannequins")


def opened(tmp_path: Path, text: str) -> OpenScene:
    path = tmp_path / "scene.yaml"
    path.write_text(text, encoding="utf-8")
    return open_scene(path)


def free_of_collisions(figure: Figure) -> None:
    page = Box(0.0, 0.0, figure.width_mm, figure.height_mm)
    assert all(page.holds(label) for label in figure.labels)
    assert not [pair for pair in combinations(figure.labels, 2) if pair[0].overlaps(pair[1])]
    over = [label for label in figure.labels for s in figure.symbols if label.overlaps(s)]
    assert not over


def labelled(figure: Figure) -> set[str]:
    return {g.id.removeprefix("label.") for g in figure.groups if g.kind == "label"}


@pytest.mark.parametrize("name", SHIPPED)
def test_positions_read_off_the_drawing_are_the_scenes(name: str) -> None:
    layout = layout_of(open_scene(SCENES / name))
    paper = PaperPlan(svg_of(draw_plan(layout, A4_MM)))
    said = {kind: paper.of_kind(kind) for kind in POINTS}
    assert set(said["camera"]) == {f"cameras.{n}" for n in layout.stage.cameras}
    assert set(said["light"]) == {f"lights.{n}" for n in layout.stage.lights}
    for row in layout.rows:
        if row.kind in POINTS:
            place = said[row.kind][row.name]
            assert place[:2] == pytest.approx(row.at_m, abs=5e-4)
            assert paper.drawn_m(row.name) == pytest.approx(row.at_m, abs=1e-3)
            assert row.height_m is None or place[2] == pytest.approx(row.height_m, abs=5e-4)
    for placed in layout.walls:
        outline = paper.outline_m(f"walls.{placed.wall.number}")
        assert outline == pytest.approx(placed.wall.outline_m, abs=1e-3)


def paths(page: pypdfium2.PdfPage) -> Iterator[np.ndarray]:
    """Points (n, 2) of all lines and shapes of a page, in points."""
    raw = pypdfium2.raw
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        points = []
        for number in range(raw.FPDFPath_CountSegments(item)):
            x, y = c_float(), c_float()
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(item, number), x, y)
            points.append((x.value, y.value))
        matrix = item.get_matrix()
        yield np.array([matrix.on_point(*point) for point in points])


@pytest.mark.parametrize(
    ("paper", "units"), [("a4", "metres"), ("a3", "metres"), ("letter", "feet")]
)
def test_the_pdf_is_to_scale(paper: str, units: str, tmp_path: Path) -> None:
    options = api.PlanOptions(out=tmp_path, paper=paper, units=units)
    made = api.plan_scene(SCENES / "first_light", options)
    document = pypdfium2.PdfDocument(tmp_path / "plan.pdf")
    assert len(document) == made.pages
    page = document[0]
    # The floor, 4.2 by 5.6 m, is a closed line of four corners.
    wanted = np.array([4.2, 5.6]) * 1000.0 / made.scale / MM_PER_PT
    sizes = [
        np.ptp(corners, axis=0) for corners in paths(page) if len(np.unique(corners, axis=0)) == 4
    ]
    assert min(np.abs(size / wanted - 1.0).max() for size in sizes) < 0.002
    words = page.get_textpage().get_text_range()
    assert f"1:{made.scale}" in words and "First light" in words
    document.close()


def test_the_same_scene_gives_the_same_bytes(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        made = api.plan_scene(SCENES / "first_light", api.PlanOptions(out=tmp_path / folder))
    for file in made.files:
        assert file.read_bytes() == (tmp_path / "one" / file.name).read_bytes()


@pytest.mark.parametrize("name", SHIPPED)
def test_nothing_overlaps_on_shipped_scenes(name: str) -> None:
    layout = layout_of(open_scene(SCENES / name))
    for units in ("metres", "feet"):
        for page in plan_pages(layout, "a4", units).pages[:2]:
            free_of_collisions(page)


@pytest.mark.parametrize("seed", range(50))
def test_random_rooms(seed: int, tmp_path: Path) -> None:
    """Nothing overlaps, whatever must be named is, and tapes lead to where things stand."""
    layout = layout_of(opened(tmp_path, random_scene(seed)))
    figure = draw_plan(layout, A4_MM)
    free_of_collisions(figure)
    if seed % 5 == 0:
        free_of_collisions(draw_elevations(layout, A4_MM))
    named = {f"cameras.{c.name}" for c in layout.cameras}
    named |= {f"lights.{light.name}" for light in layout.lights}
    assert labelled(figure) >= named | {f"people.{p.name}" for p in layout.people}
    paper = PaperPlan(svg_of(figure))
    file = tmp_path / "setting_out.csv"
    file.write_text(table_text(layout), encoding="utf-8")
    rows = table(file)
    for row in layout.rows:
        if not row.outside:
            apart = abs(rows_sine(paper, rows[row.name]))
            # A tape is written to the millimetre, so half of one is its error.
            assert math.dist(paper.found(rows[row.name]), row.at_m) < 1e-3 / apart + 1e-4


def rows_sine(paper: PaperPlan, row: dict[str, str]) -> float:
    """Sine between the directions of two tapes: how well they fix a point."""
    one, other = (tape_direction(paper, row, n) for n in (1, 2))
    return float(one[0] * other[1] - one[1] * other[0])


def tape_direction(paper: PaperPlan, row: dict[str, str], number: int) -> np.ndarray:
    name = row[f"from_{number}"]
    if name in paper.walls:
        left, right = paper.walls[name]
        return (right - left) / math.dist(left, right)
    toward = paper.found(row) - paper.marks[name]
    return toward / np.hypot(*toward)


def test_whoever_holds_a_camera_is_drawn_behind_it(plain: str, tmp_path: Path) -> None:
    """0.55 m behind the lens, which looks north from y = -2.5; a camera that stands has nobody."""
    tripod = opened(tmp_path, plain)
    held = open_scene(
        tmp_path, ("A.support=shoulder_rig", "A.place={at_m: [0, -2.5], height_m: 1.5}")
    )
    assert PaperPlan(svg_of(draw_plan(layout_of(tripod), A4_MM))).of_kind("operator") == {}
    figure = draw_plan(layout_of(held), A4_MM)
    [(name, place)] = PaperPlan(svg_of(figure)).of_kind("operator").items()
    assert name == "cameras.A.operator"
    assert place[:2] == pytest.approx((0.0, -3.05), abs=1e-3)
    body = PaperPlan(svg_of(figure)).outline_m("cameras.A.operator.body")
    assert np.ptp(body, axis=0) == pytest.approx([0.6, 0.6], abs=0.01)
    free_of_collisions(figure)


def test_a_scale_that_does_not_fit_says_what_would(plain: str, tmp_path: Path) -> None:
    layout = layout_of(opened(tmp_path, plain))
    with pytest.raises(ScaleError, match=r"at 1:20 .* 1:50 fits"):
        plan_pages(layout, "a4", "metres", 20)
    assert plan_pages(layout, "a4", "metres", 100).scale == 100


def test_a_plan_is_drawn_into_any_page(plain: str, tmp_path: Path) -> None:
    """As a pitch takes it: on a page of its own size, in a box of that."""
    layout = layout_of(opened(tmp_path, plain))
    box = Box(20.0, 30.0, 150.0, 160.0)
    figure = draw_plan(layout, (254.0, 190.0), box=box)
    assert (figure.width_mm, figure.height_mm) == (254.0, 190.0)
    assert all(box.holds(label) for label in figure.labels)
    free_of_collisions(figure)


def test_a_scanned_room_is_drawn_round_its_marks(plain: str, tmp_path: Path) -> None:
    corners = "v -3 0 -4\nv 3 0 -4\nv 3 0 4\nv -3 0 4\nv -3 2.8 -4\nv 3 2.8 4\n"
    (tmp_path / "room.obj").write_text(f"{corners}f 1 2 3\nf 1 3 4\nf 1 2 5\nf 3 4 6\n")
    scene = yaml.safe_load(plain) | {"room": {"scan": {"file": "room.obj"}}}
    scene["furniture"] = {"plug": {"piece": "wall_socket", "at_m": [2.0, 3.0]}}
    layout = layout_of(opened(tmp_path, yaml.safe_dump(scene)))
    plan, sides = plan_pages(layout).pages[:2]
    free_of_collisions(plan)
    free_of_collisions(sides)
    paper = PaperPlan(svg_of(plan))
    file = tmp_path / "setting_out.csv"
    file.write_text(table_text(layout), encoding="utf-8")
    rows = table(file)
    assert set(paper.marks) == {"mark 1", "mark 2"}
    for row in layout.rows:
        assert paper.found(rows[row.name]) == pytest.approx(row.at_m, abs=2e-3)


def test_a_long_table_goes_on_over_pages(plain: str, tmp_path: Path) -> None:
    scene = yaml.safe_load(plain)
    place = {"side": "camera_left", "elevation_deg": 30, "distance_m": 2.0}
    scene["lights"] = {
        f"lamp_{n}": {
            "fixture": "panel_40",
            "aim": "guest",
            "place": {**place, "azimuth_deg": 9 * n},
        }
        for n in range(20)
    }
    layout = layout_of(opened(tmp_path, yaml.safe_dump(scene)))
    pages = plan_pages(layout).pages
    assert len(pages) >= 4
    for page in pages[2:]:
        foot = page.height_mm - 25.0
        texts = [i for g in page.groups if g.kind == "table" for i in g.items if hasattr(i, "text")]
        assert texts and all(text.at_mm[1] <= foot for text in texts)
    free_of_collisions(pages[0])
