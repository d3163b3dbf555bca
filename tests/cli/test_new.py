"""`previz new`: what it writes is sound for every answer, and nothing is overwritten."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from click.testing import Result

from previz.catalog import Catalog
from previz.cli.new import scene_path
from previz.cli.new_layout import Answers, Layout
from previz.cli.new_text import COMMENTS_FROM, scene_text
from previz.scenefile import read_scene

Run = Callable[..., Result]
ROOMS = list(itertools.product((3.5, 5.0, 20.0), (4.0, 6.0, 20.0), (2.3, 2.7, 8.0)))


@pytest.mark.parametrize(("width_m", "depth_m", "height_m"), ROOMS)
@pytest.mark.parametrize("people", [1, 2, 3])
def test_sound_for_every_answer(
    tmp_path: Path, width_m: float, depth_m: float, height_m: float, people: int
) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(scene_text(Answers("A", width_m, depth_m, height_m, people, 3), "scene.yaml"))
    assert [str(problem) for problem in read_scene(path, Catalog.load()).problems] == []


@pytest.mark.parametrize("title", ['Say "no"', "a: b # c", "[x", "- y", "Prüfung", "no", "'", "\\"])
def test_any_title_survives(tmp_path: Path, title: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(scene_text(Answers(title), "scene.yaml"), encoding="utf-8")
    draft = read_scene(path, Catalog.load())
    assert draft.problems == [] and draft.scene is not None
    assert draft.scene.title == title


def test_every_value_has_its_reason() -> None:
    for line in scene_text(Answers(people=3, cameras=3), "scene.yaml").splitlines():
        is_value = re.match(r" *\w+: .", line)
        assert not is_value or re.search(r" # \S.*\S", line), line
        assert len(line) <= 100
        if is_value and len(line.split(" # ")[0].rstrip()) < COMMENTS_FROM:
            assert line.index("# ", COMMENTS_FROM - 1) == COMMENTS_FROM


@pytest.mark.parametrize("people", [1, 2, 3])
@pytest.mark.parametrize(("width_m", "depth_m", "height_m"), ROOMS)
def test_set_up_as_the_trade_does(
    width_m: float, depth_m: float, height_m: float, people: int
) -> None:
    """Common practice: key away from B, cameras on one side of the line, 30 degrees apart."""
    layout = Layout(Answers("A", width_m, depth_m, height_m, people, 3))
    scene = yaml.safe_load(scene_text(layout.answers, "scene.yaml"))
    assert scene["lights"]["key"]["place"]["side"] == "camera_right"
    assert scene["lights"]["fill"]["place"]["side"] == "camera_left"
    assert 110 < scene["lights"]["hair"]["place"]["azimuth_deg"] <= 180
    assert "window" in scene["openings"]
    ask_x, ask_y = layout.interviewer()
    for shot in layout.shots():
        guest_x, guest_y = layout.guests()[shot.guest]
        x, y = shot.at_m
        # Sign of the cross product: which side of the line guest to interviewer.
        side = (ask_x - guest_x) * (y - guest_y) - (ask_y - guest_y) * (x - guest_x)
        assert side < 0
        assert -width_m / 2 + 0.35 < x < width_m / 2 - 0.35
        assert y > layout.south_m + 0.35
    b = layout.shots()[1]
    east, north = (layout.guests()[b.guest][k] - b.at_m[k] for k in (0, 1))
    assert math.degrees(math.atan2(east, north)) >= 30


def test_writes_and_says_how_to_go_on(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "my scene"
    result = run("new", folder, "--title", "Test", "--people", "2", "--width-m", "6.5")
    assert result.exit_code == 0
    assert f"previz render '{folder}' --quality draft" in result.output
    scene = yaml.safe_load((folder / "scene.yaml").read_text())
    assert (scene["title"], scene["room"]["width_m"]) == ("Test", 6.5)
    assert list(scene["people"]) == ["guest", "guest_2", "interviewer"]
    assert list(scene["cameras"]) == ["A", "B"]


def test_refuses_to_overwrite(run: Run, scene_file: Path) -> None:
    before = scene_file.read_text()
    result = run("new", scene_file, "--title", "Other")
    assert result.exit_code == 2
    assert result.stderr == f"{scene_file} exists and is left as it is; give another name\n"
    assert scene_file.read_text() == before
    assert [path.name for path in scene_file.parent.iterdir()] == ["scene.yaml"]


def test_asks_on_a_terminal(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("previz.cli.new._on_terminal", lambda: True)
    target = tmp_path / "asked.yaml"
    result = run("new", "--depth-m", "9", input=f"{target}\nBy hand\n7\n3.1\n2\n9\n3\n")
    assert result.exit_code == 0, result.output
    assert "9 is not in the range 1<=x<=3" in result.output
    assert "Depth" not in result.output
    scene = yaml.safe_load(target.read_text())
    room = scene["room"]
    assert (room["width_m"], room["depth_m"], room["height_m"]) == (7, 9, 3.1)
    assert (scene["title"], len(scene["people"]), len(scene["cameras"])) == ("By hand", 3, 3)


@pytest.mark.parametrize(
    "words", [["--width-m", "1"], ["--people", "4"], ["--cameras", "two"], ["--height-m", "nan"]]
)
def test_answers_out_of_range(run: Run, tmp_path: Path, words: list[str]) -> None:
    assert run("new", tmp_path / "x", *words).exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_where_the_scene_goes(tmp_path: Path) -> None:
    assert scene_path(Path("a/b.yaml")) == Path("a/b.yaml")
    assert scene_path(Path("a/b.yml")) == Path("a/b.yml")
    assert scene_path(Path("a/v1.2")) == Path("a/v1.2/scene.yaml")
    assert scene_path(tmp_path) == tmp_path / "scene.yaml"
    assert scene_path(Path()) == Path("scene.yaml")
