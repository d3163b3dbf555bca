"""A still against the plan: what differs, and which way to go."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest

from previz.api.opening import OpenScene, open_scene
from previz.api.verifying import planned_of
from previz.solve.marks import Height, Marks, Spot
from previz.solve.pointed import Planned
from previz.solve.resection import Change, changed
from previz.solve.verify import Verified, verify
from previz.telling.verify import step_words, verified_json, verify_lines

pytestmark = pytest.mark.usefixtures("mannequins")
SIZE = (1920, 1080)
MORE = """
openings:
  window: {wall: north, along_m: 2.2, width_m: 0.7, sill_m: 1.1, height_m: 0.4}
  door: {wall: east, kind: door, along_m: 5.0, width_m: 0.9, sill_m: 0, height_m: 2.05}
furniture:
  desk: {piece: desk, at_m: [0.4, 1.2], turn_deg: 20}
"""
HEAD = ("eye_left", "eye_right", "head_top", "chin")
CORNERS = tuple(f"window.{v}_{h}" for v in ("top", "bottom") for h in ("left", "right"))
TOP = tuple(f"desk.top_{d}_{s}" for d in ("near", "far") for s in ("left", "right"))


@pytest.fixture
def planned(tmp_path: Path, plain: str) -> Planned:
    path = tmp_path / "scene.yaml"
    text = plain.replace("focal_length_mm: 70", "focal_length_mm: 35")
    path.write_text(text + MORE, encoding="utf-8")
    opened: OpenScene = open_scene(path)
    return planned_of(opened, "A")


def pointed(planned: Planned, change: Change, names: tuple[str, ...]) -> Marks:
    camera = changed(planned.camera, change)
    points = {}
    for name in names:
        x, y = camera.project(planned.features[name].point_m, *SIZE)[0]
        points[name] = Spot(float(x), float(y))
    return Marks(points=points)


def told(planned: Planned, change: Change, names: tuple[str, ...]) -> Verified:
    return verify(planned, pointed(planned, change, names), SIZE)


def words(found: Verified) -> list[str]:
    return [step_words(step) for step in found.steps]


def test_as_planned_there_is_nothing_to_do(planned: Planned) -> None:
    found = told(planned, Change(), HEAD + CORNERS + TOP)
    assert not found.steps and not found.fit.strange and not found.fit.not_told
    assert all(p.real == pytest.approx(p.planned, abs=0.02) for p in found.numbers.values())
    assert any("as planned" in line for line in verify_lines(found, None))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Change(tilt=math.radians(-1.2)), r"tilt up 1\.2°"),
        (Change(tilt=math.radians(1.2)), r"tilt down 1\.2°"),
        (Change(pan=math.radians(2.0)), r"pan left (1\.9|2\.0)°"),
        (Change(roll=math.radians(0.8)), r"roll 0\.8° .* anticlockwise"),
        (Change(roll=math.radians(-1.5)), r"roll 1\.5° .* clockwise"),
        (Change(up=-0.15), r"raise the camera 1[45] cm"),
        (Change(up=0.15), r"lower the camera 1[45] cm"),
        (Change(right=0.2), r"move (19|20) cm .* to the left"),
        (Change(focal=math.log(37.0 / 35.0)), r"go from 37 to 35 mm"),
        # What the plan is taken to be near of shortens them a little.
        (Change(forward=-0.3), r"come (28|29|30) cm .* nearer"),
        (Change(forward=0.3), r"go (28|29|30) cm .* back"),
    ],
)
def test_one_thing_off_is_one_thing_to_do(planned: Planned, change: Change, said: str) -> None:
    (step,) = words(told(planned, change, HEAD + CORNERS + TOP))
    assert re.match(said, step), step


def test_a_head_alone_offers_the_lens_instead(planned: Planned) -> None:
    away = planned.camera.axis_distance(planned.features["eyes"].point_m)
    found = told(planned, Change(forward=-0.1 * away, tilt=math.radians(-1.0)), HEAD)
    nearer, tilt = words(found)
    assert nearer.startswith(f"come {100 * 0.1 * away:.0f} cm")
    assert nearer.endswith("or go from 35 to 38 mm") or nearer.endswith("or go from 35 to 39 mm")
    assert tilt.startswith("tilt up 1.0°") and tilt.endswith("unless the lens stands too low")
    lines = list(verify_lines(found, None))
    assert any("lens height, place across, focal length" in line for line in lines)
    assert any("points of people alone" in line for line in lines)


def test_size_headroom_and_eyes_are_read_off_the_still(planned: Planned) -> None:
    marks = pointed(planned, Change(tilt=0.02), HEAD)
    numbers = verify(planned, marks, SIZE).numbers
    top, chin = (marks.points[name].y / SIZE[1] * 100.0 for name in ("head_top", "chin"))
    assert numbers["headroom_pct"].real == pytest.approx(top)
    assert numbers["head_height_pct"].real == pytest.approx(chin - top)
    eyes = [marks.points[name].y for name in ("eye_left", "eye_right")]
    assert numbers["eye_height_pct"].real == pytest.approx(np.mean(eyes) / SIZE[1] * 100.0)
    assert numbers["headroom_pct"].source == "points"
    assert planned.framing is not None
    assert numbers["headroom_pct"].planned == planned.framing.headroom_pct


def test_the_head_is_planned_where_the_plan_frames_it(planned: Planned) -> None:
    """The point called head_top is the one that `measure` measures headroom to."""
    assert planned.framing is not None
    at = planned.camera.project(planned.features["head_top"].point_m, 100, 100)[0]
    assert at[1] == pytest.approx(planned.framing.headroom_pct, abs=1e-6)


def test_json_has_all_of_it(planned: Planned) -> None:
    found = told(planned, Change(tilt=-0.03, forward=0.2), HEAD + CORNERS + TOP)
    as_json = verified_json(found, None)
    assert as_json["numbers"]["tilt_deg"]["source"] == "fit"
    assert {step["what"] for step in as_json["steps"]} == {"tilt", "forward"}
    assert as_json["card"] is None and not as_json["as_planned"]


@pytest.mark.parametrize(
    ("points", "said"),
    [
        ({}, "0 named points are too few"),
        ({"chin": Spot(100, 100)}, "1 named points are too few"),
        ({"chin": Spot(100, 100), "eyes": Spot(100, 100)}, "chin and eyes lie at one place"),
        ({"chin": Spot(100, 100), "eyes": Spot(-5, 100)}, "lies outside the still"),
        ({"chin": Spot(100, 100), "eyes": Spot(0, 101, True)}, "lies outside the still"),
        ({"chin": Spot(100, 100), "nosetip": Spot(5, 5)}, "did you mean nose_tip"),
        ({"chin": Spot(100, 100), "qqqq": Spot(5, 5)}, "--names lists"),
        ({"chin": Spot(9, 9), "room.south_west.floor": Spot(5, 5)}, "lies behind camera A"),
        ({"eye_left": Spot(9, 9), "eye_right": Spot(90, 9)}, "guest's own left"),
    ],
)
def test_points_that_mean_nothing(planned: Planned, points: dict[str, Spot], said: str) -> None:
    with pytest.raises(ValueError, match=said) as caught:
        verify(planned, Marks(points=points), SIZE)
    assert "\n" not in str(caught.value)


def test_edges_that_mean_nothing(planned: Planned) -> None:
    points = pointed(planned, Change(), HEAD).points
    short = (Spot(10, 10), Spot(11, 11))
    with pytest.raises(ValueError, match="too short"):
        verify(planned, Marks(points=points, verticals=(short,)), SIZE)
    outside = Height(1.0, (Spot(1, 1), Spot(1, 9e9)))
    with pytest.raises(ValueError, match=r"height 1: .* lies outside"):
        verify(planned, Marks(points=points, heights=(outside,)), SIZE)


def test_a_level_edge_runs_along_the_wall_that_fits(planned: Planned) -> None:
    real = changed(planned.camera, Change(roll=math.radians(2.0)))
    ends = [planned.features[f"window.top_{side}"].point_m for side in ("left", "right")]
    first, second = (Spot(*map(float, at)) for at in real.project(np.array(ends), *SIZE))
    marks = pointed(planned, Change(roll=math.radians(2.0)), HEAD)
    found = verify(planned, Marks(points=marks.points, levels=((first, second),)), SIZE)
    assert found.numbers["roll_deg"].real == pytest.approx(2.0, abs=0.3)
    assert not found.fit.strange
