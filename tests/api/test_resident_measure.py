"""What a resident scene measures is what a check of the file measures, without doing all anew."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from previz import api
from previz.api.resident import Resident
from previz.errors import InputError
from previz.measure.camera.sight import Sight
from previz.measure.report import Report

pytestmark = pytest.mark.usefixtures("mannequins")
LOOKS = (
    ("A.f_number=4",),
    ("key.dimmer_pct=20",),
    ("A.focal_length_mm=45",),
    ("A.place.at_m=[0.15, -1.9]",),
    ("A.place.at_m=[0.5, 0.9]",),
    ("hair.place.distance_m=1.1", "hair.place.elevation_deg=10"),
    ("guest.at_m=[0.1, 0.1]",),
    ("rules.joint_gap_pct=4",),
    ("exposure.iso=1600",),
    (),
)


def told(report: Report) -> dict[str, str]:
    """All that was measured and found, to the last digit."""
    measured = report.measured
    found = {name: repr(value) for name, value in vars(measured).items() if name != "stage"}
    return {**found, "findings": repr(report.findings), "veils": repr(report.spectacles)}


def test_measuring_a_look_gives_what_a_check_gives(scene: Path) -> None:
    resident = Resident(scene)
    assert told(resident.measure()) == told(api.check_scene(scene))
    for settings in LOOKS:
        look = told(resident.measure(resident.look(settings)))
        assert look == told(api.check_scene(scene, settings)), settings


def test_only_a_camera_that_sees_otherwise_is_measured_anew(
    scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted: Counter[str] = Counter()
    real = Sight.background

    def spy(self: Sight, subject: str | None, distance_m: float):
        counted[self.camera.name] += 1
        return real(self, subject, distance_m)

    monkeypatch.setattr(Sight, "background", spy)
    other = "B={sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 35, f_number: 4, "
    other += "place: {at_m: [-1.5, -1.0], height_m: 1.3}, aim: guest, support: none}"
    resident = Resident(scene, (f"cameras.{other}",))
    resident.measure()
    assert counted == {"A": 1, "B": 1}
    for unseen in ("A.f_number=5.6", "key.dimmer_pct=3", "exposure.iso=400"):
        resident.measure(resident.look((unseen,)))
    assert counted == {"A": 1, "B": 1}
    resident.measure(resident.look(("B.focal_length_mm=50",)))
    assert counted == {"A": 1, "B": 2}


def test_a_scene_that_never_was_good_has_nothing_to_measure(tmp_path: Path) -> None:
    (tmp_path / "scene.yaml").write_text("previz: 2\n")
    with pytest.raises(InputError, match=r"scene\.yaml"):
        Resident(tmp_path).measure()
