"""Nobody is seated or dressed twice to open one scene."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from previz import api
from previz.stage import people

pytestmark = pytest.mark.usefixtures("mannequins")

SCENE = """\
previz: 1
title: Cameras placed by their frames
room: {width_m: 7.0, depth_m: 9.0, height_m: 3.0}
people:
  guest: {at_m: [0, 0], seat: stool, faces: host, stature_cm: 165, gaze: GAZE}
  host: {at_m: [0.6, -1.7], seat: stool, faces: guest, stature_cm: 170}
cameras:
  A: {sensor: full_frame, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 4.0, aim: guest,
      place: {frame: medium_close_up, from_deg: 25}}
  B: {sensor: full_frame, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 4.0, aim: guest,
      place: {frame: medium_close_up, from_deg: -30}}
"""


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often each was seated, had their eyes found and was built, by stature."""
    calls: Counter[str] = Counter()

    def spy(name: str, whose) -> None:
        real = getattr(people, name)

        def called(*args):
            calls[f"{name} {whose(*args)}"] += 1
            return real(*args)

        monkeypatch.setattr(people, name, called)

    spy("build_person", lambda figure, _: figure.stature_m)
    spy("eye_point", lambda figure, _: figure.stature_m)
    spy("_sitter", lambda name, *_: name)
    return calls


def opened(folder: Path, gaze: str) -> api.OpenScene:
    path = folder / "scene.yaml"
    path.write_text(SCENE.replace("GAZE", gaze), encoding="utf-8")
    return api.open_scene(path)


def test_each_is_seated_and_built_once(tmp_path: Path, counted: Counter[str]) -> None:
    opened(tmp_path, "host")
    assert counted == {
        f"{call} {who}": 1
        for call, names in (
            ("_sitter", ("guest", "host")),
            ("eye_point", (1.65, 1.7)),
            ("build_person", (1.65, 1.7)),
        )
        for who in names
    }


def test_only_who_looks_into_a_placed_lens_turns_to_where_it_came_to_stand(
    tmp_path: Path, counted: Counter[str]
) -> None:
    scene = opened(tmp_path, "A")
    assert counted["build_person 1.7"] == counted["_sitter guest"] == 1
    assert counted["build_person 1.65"] > 1
    guest, camera = scene.stage.people["guest"], scene.stage.cameras["A"]
    to_lens = camera.position_m - guest.landmarks["eyes"]
    assert guest.gaze @ to_lens / (to_lens @ to_lens) ** 0.5 == pytest.approx(1.0, abs=1e-3)
