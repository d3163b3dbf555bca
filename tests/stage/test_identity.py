"""What earlier light rests on: the things on the set and what they are made of, nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz.api import open_scene
from previz.render.relight import change_between
from previz.stage.identity import Identity, identity_of

pytestmark = pytest.mark.usefixtures("mannequins")
SCENE = """\
previz: 1
title: Plain room
room: {width_m: 6, depth_m: 8, height_m: 3, walls: house_wall}
people: {guest: {at_m: [0, 0], seat: stool}}
cameras:
  A: {sensor: full_frame, lens: prime_50_f1.8, f_number: 2.8, aim: guest,
      place: {at_m: [0, -2.5], height: eye}}
lights:
  key: {fixture: softbox_90, aim: guest, place: {at_m: [1, -1], height_m: 2}}
  board: {fixture: bounce_board_120, aim: guest, place: {at_m: [-1, -1], height_m: 1.2}}
"""
WALL = """\
house_wall: {label: Our wall, kind: memory, source: "%s", reflectance: [%s, 0.5, 0.5]}
"""
NEW = "other_paint: {label: New, kind: memory, source: from memory, reflectance: [0.1, 0.2, 0.3]}\n"


@pytest.fixture
def identity(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The identity of the scene with a user's own catalogue."""
    catalog = tmp_path / "catalog"
    catalog.mkdir()
    monkeypatch.setenv("PREVIZ_CATALOG", str(catalog))
    (tmp_path / "scene.yaml").write_text(SCENE, encoding="utf-8")

    def of(materials: str, *settings: str) -> Identity:
        (catalog / "materials.yaml").write_text(materials, encoding="utf-8")
        return identity_of(open_scene(tmp_path, settings).stage)

    return of


def hindrance(before: Identity, after: Identity) -> tuple[str, ...]:
    return change_between(before, after, ("A",)).hindered


def test_a_new_record_in_the_users_catalogue_leaves_earlier_light_alone(identity) -> None:
    before = identity(WALL % ("from memory", 0.5))
    after = identity(WALL % ("from memory", 0.5) + NEW)
    assert after == before and hindrance(before, after) == ()


def test_words_of_a_record_are_no_light_and_its_numbers_are(identity) -> None:
    before = identity(WALL % ("from memory", 0.5))
    assert identity(WALL % ("measured at home", 0.5)) == before
    [why] = hindrance(before, identity(WALL % ("from memory", 0.6)))
    assert why.startswith("room ")


def test_another_fixture_of_other_stuff_needs_only_its_own_layer(identity) -> None:
    """Its materials belong to the light, so the rest of the set is as it was."""
    before = identity(WALL % ("from memory", 0.5))
    after = identity(WALL % ("from memory", 0.5), "key.fixture=fresnel_150")
    change = change_between(before, after, ("A",))
    assert change.hindered == () and change.fresh == ("key",)
    assert set(after.furnished) == set(before.furnished)
