"""What paper says of sound: the room by hand, the microphones' places, the boom in the light."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from previz.api import open_scene
from previz.measure.report import Report
from previz.measure.sound.microphones import measure_sound
from previz.physics.rays import between_segments


def sound_of(report: Report) -> Any:
    return report.measured.sound


def test_an_empty_room_rings_as_sabine_says(measure: Any) -> None:
    """6 x 8 x 3 m, by hand at 500 Hz: boards 48 x 0.10, ceiling 48 x 0.06, walls 84 x 0.02, one
    person 0.46; the stool's wood, 0.04 of its own surface, is what is left."""
    room = sound_of(measure("")).room
    by_hand = 48 * 0.10 + 48 * 0.06 + 84 * 0.02 + 0.46
    assert room.volume_m3 == pytest.approx(144.0)
    stool = room.absorption_m2[2] - by_hand
    assert 0.0 < stool < 0.06
    assert room.reverberation_s[500] == pytest.approx(0.161 * 144.0 / (by_hand + stool))
    assert room.reverberation_s[500] == pytest.approx(2.36, abs=0.02)


@pytest.mark.parametrize(
    ("kind", "coefficient"),
    [("kind: window, sill_m: 0.9", 0.18), ("kind: opening", 1.0), ("kind: door", 0.05),
     ("kind: door, open_deg: 80", 1.0)],
    ids=["window", "hole", "door", "open door"],
)  # fmt: skip
def test_what_is_in_a_wall_swallows_in_its_place(
    measure: Any, kind: str, coefficient: float
) -> None:
    hole = f"openings.hole={{{kind}, wall: west, along_m: 2, width_m: 1.5, height_m: 2}}"
    bare, now = (sound_of(measure("", settings)).room for settings in ([], [hole]))
    change = now.absorption_m2[2] - bare.absorption_m2[2]
    assert change == pytest.approx(3.0 * (coefficient - 0.02), abs=1e-6)


def test_what_is_soft_makes_a_room_drier(measure: Any) -> None:
    rug = "furniture.rug={piece: rug_flat, at_m: [0, 0]}"
    bare, soft = (sound_of(measure("", s)).room for s in ([], [rug]))
    assert soft.speech_s < bare.speech_s
    thing = measure("", [rug]).measured.stage
    low, high = next(t for t in thing.things if t.name == "furniture.rug").pieces[0].mesh.bounds
    top_m2 = float((high - low)[:2].prod())
    swallowed = soft.absorption_m2[3] - bare.absorption_m2[3]
    assert swallowed == pytest.approx(0.37 * top_m2, rel=0.1)


def test_the_microphones_are_where_they_hang_and_hear_the_room(measure: Any) -> None:
    sound = sound_of(
        measure("", ["sound={boom: {over: guest, stand_at_m: [1.5, 0.4], ahead_m: 0.0911, "
                     "above_head_m: 0.4}, lavalier: guest}"])
    )  # fmt: skip
    boom, clip, room = sound.boom, sound.clip, sound.room
    assert boom.microphone.distance_m == pytest.approx(0.5822, abs=1e-3)
    critical_m = 0.057 * np.sqrt(2 * 4 * 144.0 / room.speech_s)
    assert boom.microphone.critical_distance_m == pytest.approx(critical_m)
    over_db = 20 * np.log10(critical_m / boom.microphone.distance_m)
    assert boom.microphone.direct_to_reverberant_db == pytest.approx(over_db)
    louder = 20 * np.log10(boom.microphone.distance_m / clip.distance_m)
    assert boom.under_clip_db == pytest.approx(louder)
    assert clip.critical_distance_m == pytest.approx(critical_m / 2.0)


def test_a_camera_that_looks_elsewhere_has_no_clearance(measure: Any) -> None:
    settings = ["sound={boom: {over: guest, stand_at_m: [1.5, 0.4]}}"]
    assert set(sound_of(measure("", settings)).boom.clearance) == {"A"}
    away = [*settings, "A.aim=null", "A.aim_m=[-6, -2.5, 1.2]", "A.focus_distance_m=2",
            "A.place.height=null", "A.place.height_m=1.2"]  # fmt: skip
    assert sound_of(measure("", away)).boom.clearance == {}


def test_a_soft_light_loses_less_than_a_hard_one(measure: Any) -> None:
    boom = "sound={boom: {over: guest, stand_at_m: [0, 1.2], above_head_m: 0.4, ahead_m: 0.4}}"
    shadow = {}
    for fixture in ("fresnel_150", "softbox_120"):
        key = f"{{fixture: {fixture}, aim: guest, place: {{at_m: [0, -1.4], height_m: 2.85}}}}"
        shadow[fixture] = sound_of(measure("", [boom, f"lights.key={key}"])).boom.shadow_pct["key"]
    assert shadow["fresnel_150"] > 80.0
    assert 0.0 < shadow["softbox_120"] < 25.0


def test_without_microphones_there_is_a_room_and_no_finding(measure: Any) -> None:
    report = measure("")
    assert not sound_of(report).recorded
    rules = {f.rule for f in report.findings}
    assert rules.isdisjoint({"room_rings", "noise", "boom_far", "boom_shadow"})


@pytest.mark.parametrize(
    ("end", "other", "apart_m"),
    [
        ((2, 0, 0), ((1, 1, -1), (1, 1, 1)), 1.0),
        ((2, 0, 0), ((3, 0, 0), (4, 0, 0)), 1.0),
        ((2, 0, 0), ((1, 0, -1), (1, 0, 1)), 0.0),
        ((2, 0, 0), ((0, 0.5, 0), (2, 0.5, 0)), 0.5),
        ((2, 0, 0), ((5, 4, 0), (9, 4, 0)), 5.0),
        ((2, 0, 0), ((-3, 4, 0), (-3, 9, 0)), 5.0),
    ],
)
def test_how_far_two_segments_are_apart(end: Any, other: Any, apart_m: float) -> None:
    start = np.zeros((1, 3))
    one, two = (np.asarray(point, float) for point in other)
    found = between_segments(start, np.asarray([end], float), one, two)
    assert found == pytest.approx([apart_m], abs=1e-9)


def test_segments_against_a_search() -> None:
    """Against the nearest of many places on each, within their spacing."""
    rng = np.random.default_rng(4)
    share = np.linspace(0.0, 1.0, 201)
    for starts, ends, one, two in rng.normal(size=(40, 4, 3)):
        first = starts + share[:, None] * (ends - starts)
        second = one + share[:, None] * (two - one)
        least = np.linalg.norm(first[:, None] - second[None], axis=2).min()
        found = float(between_segments(starts[None], ends[None], one, two)[0])
        assert found <= least + 1e-9 and found == pytest.approx(least, abs=0.02)


@pytest.mark.usefixtures("mannequins")
def test_a_scanned_room_is_not_guessed(tmp_path: Path) -> None:
    (tmp_path / "room.obj").write_text("v 0 0 0\nv 4 0 0\nv 0 0 4\nv 4 3 4\nf 1 2 3\nf 2 3 4\n")
    (tmp_path / "scene.yaml").write_text(
        "previz: 1\ntitle: Scan\nroom: {scan: {file: room.obj}}\n"
        "people: {guest: {at_m: [1, -1], seat: stool}}\n"
        "cameras: {A: {sensor: full_frame, lens: prime_50_f1.8, f_number: 2.8, aim: guest,\n"
        "  place: {at_m: [1, -3], height: eye}}}\nsound: {lavalier: guest}\n"
    )
    sound = measure_sound(open_scene(tmp_path).stage)
    assert sound.room is None and sound.clip is not None
    assert sound.clip.direct_to_reverberant_db is None
