"""Moves measured: what is met, by which part and when, who is meant to be sharp, how fast."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from previz.api import open_scene
from previz.measure.gear.floor import Outlines
from previz.measure.moving.numbers import MoveNumbers, measure_move
from previz.measure.moving.sharpness import subject_at
from previz.memory import Memory

pytestmark = pytest.mark.usefixtures("mannequins")
HOST = "people.host={at_m: [0.4, 1.6], seat: stool, stature_cm: 170}"
TABLE = "furniture.desk={piece: trestle_table, at_m: [1.5, -2.5]}"
Numbers = Callable[..., MoveNumbers]


@pytest.fixture
def numbers(tmp_path: Path, plain: str) -> Numbers:
    """The numbers of a move of four seconds in the plain room with a host and a table."""

    def measured(kind: str, keys: str, *settings: str, more: str = "") -> MoveNumbers:
        path = tmp_path / "scene.yaml"
        path.write_text(plain, encoding="utf-8")
        text = f"moves.m={{camera: A, kind: {kind}, duration_s: 4, {more} keys: [{keys}]}}"
        stage = open_scene(path, (HOST, TABLE, text, *settings)).stage
        return measure_move(stage, Outlines(stage), stage.moves["m"])

    return measured


def met(found: MoveNumbers) -> dict[str, str]:
    return {passing.other: passing.part for passing in found.passings if passing.gap_m <= 0.0}


def test_whoever_carries_the_camera_runs_into_the_guest_and_the_camera_does_not(
    numbers: Numbers,
) -> None:
    """Past their shoulder, with the eyes on the host; walking away from them is no trouble."""
    keys = "{at_s: 0, at_m: [0.45, -1.5], aim: host, focus: eye}, {at_s: 4, at_m: [0.45, 0.7]}"
    found = met(numbers("gimbal_walk", keys))
    assert found["people.guest"] == "operator" and "camera" not in found.values()
    away = numbers("gimbal_walk", "{at_s: 4, at_m: [0, -3]}")
    assert met(away) == {}


def test_a_push_meets_the_guest_with_the_camera_at_the_second_it_gets_there(
    numbers: Numbers,
) -> None:
    keys = "{at_s: 0, at_m: [0, -2]}, {at_s: 4, at_m: [0, 0]}"
    found = numbers("dolly", keys, more="ease: linear,")
    first = {p.other: p for p in found.passings}
    guest = first["people.guest"]
    # Half a metre a second: the lens is at the guest's front, about 0.1 to 0.2 m before the middle.
    assert guest.gap_m < 0.0 and guest.to_s == pytest.approx(4.0)
    assert 2.5 <= guest.from_s <= guest.at_s <= 4.0


def test_a_dolly_meets_a_table_that_the_camera_passes_over(numbers: Numbers) -> None:
    over = "{at_s: 4, at_m: [1.5, -2.5]}"
    assert met(numbers("dolly", over)) == {"furniture.desk": "dolly"}
    assert met(numbers("slider", over, more="length_m: 2,"))["furniture.desk"] in ("rail", "tripod")
    low = ("A.place.height=null", "A.place.height_m=0.75")
    assert met(numbers("dolly", over, *low))["furniture.desk"] in ("camera", "dolly")


def test_what_stays_on_its_tripod_meets_nothing(numbers: Numbers) -> None:
    wall = "A.place.at_m=[0, -3.9]"
    for kind, keys in (("pan_and_tilt", "{at_s: 4, pan_deg: 90}"), ("focus_pull", "{at_s: 4}")):
        assert numbers(kind, keys, wall).passings == ()


def test_its_own_tripod_is_not_in_its_way(numbers: Numbers) -> None:
    """That stands where the camera stood, and it goes when the camera is on its dolly."""
    there_and_back = "{at_s: 2, at_m: [0, -2]}, {at_s: 4, at_m: [0, -2.5]}"
    assert numbers("dolly", there_and_back).passings == ()


def test_another_cameras_tripod_is_in_its_way(numbers: Numbers) -> None:
    other = (
        "cameras.B={sensor: full_frame, lens: prime_50_f1.8, f_number: 4, aim: guest, "
        "place: {at_m: [1, -1.8], height: eye}}"
    )
    found = numbers("dolly", "{at_s: 4, at_m: [0.8, -1.7]}", other)
    assert "cameras.B" in met(found)


RACK = "{at_s: 1, focus: guest}, {at_s: 3, focus: host}"


def test_nobody_is_meant_to_be_sharp_while_focus_goes_from_one_to_another(
    numbers: Numbers,
) -> None:
    rack = numbers("focus_pull", RACK)
    assert [subject_at(rack.move, t) for t in (0.0, 1.0, 2.0, 3.0, 4.0)] == [
        "guest", "guest", None, "host", "host",
    ]  # fmt: skip
    assert rack.soft == ()


def test_a_pull_to_a_distance_means_that_distance(numbers: Numbers) -> None:
    assert numbers("focus_pull", "{at_s: 3, focus_distance_m: 5}").soft == ()


def test_a_push_without_a_pull_goes_soft_and_stays_so(numbers: Numbers) -> None:
    push = "{at_s: 0, focus_distance_m: 2.38}, {at_s: 4, at_m: [0, -1.5]}"
    [soft] = numbers("dolly", push).soft
    assert soft.subject == "guest"
    assert 0.2 < soft.from_s < 2.0 and soft.to_s == soft.at_s == 4.0
    assert soft.off_m == pytest.approx(soft.near_m - soft.distance_m)
    followed = push.replace("focus_distance_m: 2.38", "focus: eye")
    assert numbers("dolly", followed).soft == ()


def test_the_focus_that_a_camera_has_is_not_chosen_for_whom_it_pans_to(numbers: Numbers) -> None:
    [soft] = numbers("pan_and_tilt", "{at_s: 3, aim: host}").soft
    assert (soft.subject, soft.from_s, soft.to_s) == ("host", 3.0, 4.0)


def test_speed_is_that_along_the_way(numbers: Numbers) -> None:
    found = numbers("dolly", "{at_s: 4, at_m: [0, -1.5]}")
    # Eased at both ends a metre in four seconds is 1.5 / 4 m/s at its fastest, half way.
    assert found.fastest.value == pytest.approx(0.375, rel=0.01)
    assert found.fastest.at_s == pytest.approx(2.0, abs=0.1)
    assert found.crossing is None, "it follows the guest"


def test_a_move_is_measured_anew_only_when_something_it_rests_on_is_another(
    numbers: Numbers,
) -> None:
    memory, keys = Memory(), "{at_s: 4, at_m: [0, -1.9]}"
    with memory.round():
        first = numbers("dolly", keys)
        assert numbers("dolly", keys, "title=Another") is first
        assert numbers("dolly", keys, "rules.aisle_min_m=1") is first
        for setting in ("desk.at_m=[1.4, -2.5]", "A.f_number=5.6", "guest.at_m=[0, 0.1]",
                        "room.width_m=5", "moves.m.duration_s=5"):  # fmt: skip
            other = numbers("dolly", keys, setting)
            assert other is not first, setting
    assert numbers("dolly", keys) is not first, "nothing is kept without a memory"
