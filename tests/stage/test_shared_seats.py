"""Several people on one seat: one sofa, under all of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.piece import bounds
from previz.scenefile import read_scene
from previz.stage.build import build_stage
from previz.stage.stage import Stage

SHARED = "people.host={at_m: [0.9, 0.3], turn_deg: 20, seat_with: guest}"


def built(folder: Path, plain: str, *settings: str) -> Stage:
    path = folder / "scene.yaml"
    path.write_text(plain, encoding="utf-8")
    catalog = Catalog.load()
    draft = read_scene(path, catalog, settings)
    assert draft.scene is not None and not draft.problems, draft.problems
    return build_stage(draft.scene, catalog, folder, "", draft.places)[0]


@pytest.mark.usefixtures("mannequins")
def test_two_people_sit_on_one_sofa_that_stands_between_them(tmp_path: Path, plain: str) -> None:
    stage = built(tmp_path, plain, "guest.seat=sofa", SHARED)
    seats = [thing for thing in stage.things if thing.name.endswith(".seat")]
    assert [seat.name for seat in seats] == ["people.guest.seat"]
    corners = np.concatenate([piece.mesh.vertices for piece in seats[0].pieces])[:, :2]
    along = np.array([0.9, 0.3]) / np.hypot(0.9, 0.3)
    reach = (corners - [0.45, 0.15]) @ along
    assert (reach.min(), reach.max()) == pytest.approx((-0.8, 0.8), abs=0.01)
    # Its back is behind them: the guest faces south.
    across = np.array([-along[1], along[0]])
    tall = np.concatenate([piece.mesh.vertices for piece in seats[0].pieces])
    back = tall[tall[:, 2] > 0.7]
    assert ((back[:, :2] - [0.45, 0.15]) @ across).min() > 0.1


@pytest.mark.usefixtures("mannequins")
def test_whoever_shares_a_seat_sits_as_high_as_its_owner(tmp_path: Path, plain: str) -> None:
    stage = built(tmp_path, plain, "guest.seat=sofa", SHARED, "host.stature_cm=165")
    eyes = [stage.people[name].landmarks["eyes"][2] for name in ("guest", "host")]
    assert eyes[0] == pytest.approx(eyes[1])


@pytest.mark.usefixtures("mannequins")
def test_a_seat_of_ones_own_is_under_its_sitter(tmp_path: Path, plain: str) -> None:
    stage = built(tmp_path, plain, "guest.seat=sofa")
    [seat] = [thing for thing in stage.things if thing.name.endswith(".seat")]
    assert bounds(seat.pieces).mean(axis=0)[0] == pytest.approx(0.0, abs=1e-6)
