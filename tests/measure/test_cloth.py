"""Fine stripes and the pixels that have to draw them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from previz.catalog import Catalog
from previz.measure.measured import measure
from previz.measure.rules.cloth import cloth_findings
from previz.measure.rules.findings import Finding
from previz.scenefile import read_scene
from previz.stage.build import build_stage

pytestmark = pytest.mark.usefixtures("mannequins")

CATALOG = Catalog.load()
SCENE = """\
previz: 1
title: Plain room
room: {{width_m: 6, depth_m: 8, height_m: 3}}
people:
  guest:
    at_m: [0, 1]
    seat: stool
    turn_deg: 0
    clothes: {{top: shirt, stripe: {stripe}}}
cameras:
  A:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: {focal}
    f_number: 4
    place: {{at_m: [0, -3.6], height: eye}}
    aim: guest
picture: {{size: hd}}
"""


@dataclass(frozen=True)
class Shot:
    stripe: bool = True
    focal: float = 24.0


def found(shot: Shot, folder: Path) -> list[Finding]:
    path = folder / "scene.yaml"
    text = SCENE.format(stripe=str(shot.stripe).lower(), focal=shot.focal)
    path.write_text(text, encoding="utf-8")
    draft = read_scene(path, CATALOG)
    assert draft.scene is not None and not draft.problems, draft.problems
    stage, problems = build_stage(draft.scene, CATALOG, folder, "", draft.places)
    assert not problems
    return list(cloth_findings(measure(stage, draft.scene.rules, draft.scene.targets)))


def test_a_stripe_on_too_few_pixels_is_a_warning(tmp_path: Path) -> None:
    (finding,) = found(Shot(), tmp_path)
    assert (finding.rule, finding.severity, finding.about) == ("moire", "warning", "cameras.A")
    # 6 mm at about 4.6 m through 24 mm is 31 um; a pixel is 36 mm / 1920, 18.75 um.
    assert finding.value == pytest.approx(1.67, abs=0.08)
    assert finding.limit == 2.0
    assert "guest" in finding.message


@pytest.mark.parametrize("shot", [Shot(stripe=False), Shot(focal=70.0)])
def test_plain_cloth_or_a_longer_lens_is_none(shot: Shot, tmp_path: Path) -> None:
    assert found(shot, tmp_path) == []
