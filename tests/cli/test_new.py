"""`previz new`: what it writes is sound for every answer, and nothing is overwritten."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from click.testing import Result

from previz.catalog import Catalog
from previz.cli.new import scene_path
from previz.cli.new_layout import Answers, Layout, TooSmallError
from previz.cli.new_text import COMMENTS_FROM, NEW_RULES, scene_text
from previz.measure.report import Report, measure_set
from previz.scenefile import read_scene
from previz.stage.build import build_stage
from previz.telling.cautions import CLOSING, printed

Run = Callable[..., Result]
ROOMS = list(itertools.product((3.2, 5.0, 20.0), (4.0, 7.0, 20.0), (2.3, 2.7, 8.0)))
ANSWERS = [
    Answers("A", *room, people, cameras)
    for room in ROOMS
    for people in (1, 2, 3)
    for cameras in (1, 2, 3)
]
HELD = [answers for answers in ANSWERS if Layout(answers).holds]
CHECKED = [
    Answers(),
    Answers(width_m=3.2, depth_m=4.0, height_m=2.3, cameras=1),
    Answers(width_m=3.2, depth_m=4.0),
    Answers(width_m=3.2, depth_m=7.0),
    Answers(width_m=3.5, depth_m=4.0, cameras=3),
    Answers(width_m=4.0, depth_m=5.0, height_m=2.3, cameras=3),
    Answers(cameras=3),
    Answers(b="profile"),
    Answers(cameras=3, b="profile"),
    Answers(width_m=20.0, depth_m=20.0, height_m=8.0, cameras=3),
    Answers(width_m=5.0, depth_m=5.0, people=2),
    Answers(width_m=6.0, depth_m=6.0, height_m=2.3, people=2, cameras=3),
    Answers(width_m=8.0, depth_m=8.0, people=2, cameras=3),
    Answers(width_m=6.5, depth_m=6.5, height_m=2.4, people=3, cameras=1),
    Answers(width_m=7.0, depth_m=8.0, people=3, cameras=3),
    Answers(width_m=20.0, depth_m=20.0, height_m=8.0, people=3, cameras=3),
]


def checked(answers: Answers, folder: Path) -> Report:
    """What `previz check` finds in the scene for some answers."""
    path = folder / "scene.yaml"
    path.write_text(scene_text(answers, "scene.yaml"), encoding="utf-8")
    catalog = Catalog.load()
    draft = read_scene(path, catalog)
    assert draft.scene is not None and not draft.problems, draft.problems
    stage, problems = build_stage(draft.scene, catalog, folder, "", draft.places)
    assert not problems
    return measure_set(stage, draft.scene.rules, draft.scene.targets)


def assert_safe(report: Report) -> None:
    """No fault, no warning, nothing over anybody, and a way past the A camera."""
    wrong = [f.message for f in report.findings if f.severity != "note" or f.rule == "overhead"]
    assert wrong == []
    aisle_m = report.measured.cameras["A"].aisle_m
    assert aisle_m is not None and aisle_m >= 0.6


def told(answers: Answers) -> str:
    room = f"{answers.width_m:g}x{answers.depth_m:g}x{answers.height_m:g}"
    return f"{room}-{answers.people}-{answers.cameras}"


@pytest.mark.parametrize("answers", CHECKED, ids=told)
@pytest.mark.usefixtures("mannequins")
def test_the_first_scene_is_a_safe_one(tmp_path: Path, answers: Answers) -> None:
    assert_safe(checked(answers, tmp_path))


@pytest.mark.parametrize("answers", [Answers(), Answers(width_m=8, depth_m=8, people=3)], ids=told)
def test_safe_with_whole_people_too(tmp_path: Path, answers: Answers) -> None:
    """Hair, hands and feet reach farther than a mannequin's."""
    assert_safe(checked(answers, tmp_path))


def test_a_room_that_holds_it_not_is_told_one_that_does() -> None:
    refused = [answers for answers in ANSWERS if not Layout(answers).holds]
    assert refused and HELD
    for answers in refused[::7]:
        with pytest.raises(TooSmallError) as caught:
            scene_text(answers, "scene.yaml")
        width, depth = re.findall(r"([\d.]+) x ([\d.]+) m would do", str(caught.value))[0]
        larger = replace(answers, width_m=float(width), depth_m=float(depth))
        assert Layout(larger).holds


def test_camera_b_shows_the_profile_when_asked(run: Run, tmp_path: Path) -> None:
    """From the guest it stands at least 70 degrees round from A, and C shows the other side."""
    asked = run("new", str(tmp_path / "one"), "--b", "profile", "--cameras", "3")
    assert asked.exit_code == 0
    scene = yaml.safe_load((tmp_path / "one" / "scene.yaml").read_text())
    at = {name: camera["place"]["at_m"] for name, camera in scene["cameras"].items()}
    round_deg = {n: math.degrees(math.atan2(-x, -y)) for n, (x, y) in at.items()}
    assert round_deg["A"] == pytest.approx(0.0)
    assert round_deg["B"] > 70.0 and 30.0 < round_deg["C"] < 62.0
    several = run("new", str(tmp_path / "two"), "--b", "profile", "--people", "2")
    assert several.exit_code == 2 and "take --b three-quarter" in several.output


def test_a_room_too_small_is_one_line_and_no_file(run: Run, tmp_path: Path) -> None:
    small = ("--width-m", "3.2", "--depth-m", "4", "--people", "3", "--cameras", "3")
    result = run("new", tmp_path / "x", *small)
    assert result.exit_code == 2
    said = "a room of 3.2 x 4 m does not hold 3 people, 3 cameras and the lights with a way past"
    assert said in result.stderr and list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("answers", HELD, ids=told)
def test_sound_for_every_answer(tmp_path: Path, answers: Answers) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(scene_text(answers, "scene.yaml"))
    assert [str(problem) for problem in read_scene(path, Catalog.load()).problems] == []


def test_cautions_stand_in_the_scene_and_beside_it(run: Run, tmp_path: Path) -> None:
    result = run("new", tmp_path / "x")
    written = (tmp_path / "x" / "scene.yaml").read_text()
    one_line = " ".join(written.replace("\n#", " ").split())
    for sentence in printed(NEW_RULES):
        assert sentence in result.output and sentence in one_line
    assert written.rstrip().endswith(CLOSING)


@pytest.mark.parametrize("title", ['Say "no"', "a: b # c", "[x", "- y", "Prüfung", "no", "'", "\\"])
def test_any_title_survives(tmp_path: Path, title: str) -> None:
    path = tmp_path / "scene.yaml"
    path.write_text(scene_text(Answers(title), "scene.yaml"), encoding="utf-8")
    draft = read_scene(path, Catalog.load())
    assert draft.problems == [] and draft.scene is not None
    assert draft.scene.title == title


def test_every_value_has_its_reason() -> None:
    many = Answers(width_m=8, depth_m=8, people=3, cameras=3)
    for line in scene_text(many, "scene.yaml").splitlines():
        is_value = re.match(r" *\w+: .", line)
        assert not is_value or re.search(r" # \S.*\S", line), line
        assert len(line) <= 100
        if is_value and len(line.split(" # ")[0].rstrip()) < COMMENTS_FROM:
            assert line.index("# ", COMMENTS_FROM - 1) == COMMENTS_FROM


@pytest.mark.parametrize("answers", [a for a in HELD if a.cameras > 1], ids=told)
def test_comments_follow_the_numbers(answers: Answers) -> None:
    """`longer` only where it is; `soft` only of a key as wide as half its distance, about."""
    lines = scene_text(answers, "scene.yaml").splitlines()
    focals = [line for line in lines if "focal_length_mm" in line]
    lengths = [float(line.split()[1]) for line in focals]
    for line, length in zip(focals[1:], lengths[1:], strict=True):
        assert ("longer" in line) == (length > lengths[0])
        assert ("shorter" in line) == (length < lengths[0])
    start = lines.index("  key:")
    fixture = lines[start + 1]
    distance_m = next(float(x.split()[1]) for x in lines[start:] if "distance_m" in x)
    width_m = {"softbox_90": 0.9, "softbox_60": 0.6, "panel_60x40": 0.6}[fixture.split()[1]]
    assert ("close: soft" in fixture) == (width_m / distance_m > 0.43)
    assert ("rather hard" in fixture) == (width_m / distance_m < 0.3)


@pytest.mark.parametrize("answers", [a for a in HELD if a.cameras > 1], ids=told)
def test_set_up_as_the_trade_does(answers: Answers) -> None:
    """Common practice: key away from B, cameras on one side of the line, 30 degrees apart."""
    layout, width_m = Layout(answers), answers.width_m
    scene = yaml.safe_load(scene_text(layout.answers, "scene.yaml"))
    assert scene["lights"]["key"]["place"]["side"] == "camera_right"
    if layout.fill():
        assert scene["lights"]["fill"]["place"]["side"] == "camera_left"
    if layout.hair():
        assert 110 < scene["lights"]["hair"]["place"]["azimuth_deg"] <= 180
    assert "window" in scene["openings"]
    ask_x, ask_y = layout.interviewer()
    for shot in layout.shots:
        guest_x, guest_y = layout.guests()[shot.guest]
        x, y = shot.at_m
        # Sign of the cross product: which side of the line guest to interviewer.
        side = (ask_x - guest_x) * (y - guest_y) - (ask_y - guest_y) * (x - guest_x)
        assert side < 0
        assert -width_m / 2 + 0.35 < x < width_m / 2 - 0.35
        assert y > layout.south_m + 0.35
    b = layout.shots[1]
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


def test_a_length_out_of_range_is_told_why(run: Run, tmp_path: Path) -> None:
    """What takes the least length, and what to do with a room that has less."""
    low = run("new", tmp_path / "x", "--height-m", "2.15").stderr
    assert "2.15 m is too little: stands, the heads on them and a hair light" in low
    assert "take 2.3 m; give that, and set room.height_m in the file" in low
    assert "the key and a way past" in run("new", tmp_path / "x", "--width-m", "3").stderr
    assert "more than the 20 m" in run("new", tmp_path / "x", "--depth-m", "inf").stderr
    assert run("new", tmp_path / "y", "--height-m", "2.3", "--cameras", "1").exit_code == 0


def test_where_the_scene_goes(tmp_path: Path) -> None:
    assert scene_path(Path("a/b.yaml")) == Path("a/b.yaml")
    assert scene_path(Path("a/b.yml")) == Path("a/b.yml")
    assert scene_path(Path("a/v1.2")) == Path("a/v1.2/scene.yaml")
    assert scene_path(tmp_path) == tmp_path / "scene.yaml"
    assert scene_path(Path()) == Path("scene.yaml")
