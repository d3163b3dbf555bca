"""How clothes are made and worn: shoulders, seams, hems, a scarf and a skirt where they belong."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built
from scipy.spatial import KDTree

from previz.geometry.people import ANSUR_II_MM, Body, Figure, Pose
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.cloth import ClothSheet
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.meshing import Net, split
from previz.geometry.people.posture import pose_arms, pose_trunk
from previz.geometry.people.seams import PLAIN, Seam, along_edge, armholes, stitched
from previz.geometry.people.shape import rest_body
from previz.geometry.people.skeleton import skin

STANDING = Pose(posture="standing")


def _worn(sex: str, clothes: str, hair: str = "bald") -> Body:
    return built(Figure(sex=sex, clothes=clothes, hair=hair), Pose())  # type: ignore[arg-type]


def _points(body: Body, name: str) -> np.ndarray:
    return np.asarray(next(p for p in body.pieces if p.name == name).mesh.vertices)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_shoulders_of_who_stands_are_as_high_as_the_survey_says(sex: str) -> None:
    data = load_archive(default_archive())
    rest = rest_body(data, Figure(sex=sex))  # type: ignore[arg-type]
    posed = pose_arms(rest, pose_trunk(rest, Figure(sex=sex), STANDING), STANDING)  # type: ignore[arg-type]
    moved = skin(rest.vertices, data.weight_joints, data.weights, posed.transforms)
    high_mm = 1000.0 * moved[list(find_landmarks(data).acromion), 2]
    # 5 mm of sole are under the foot that the survey measures bare.
    assert high_mm == pytest.approx(ANSUR_II_MM[sex]["acromialheight"][1] + 5, abs=10)


@pytest.mark.parametrize(("sex", "clothes"), [("male", "shirt"), ("female", "jumper")])
def test_clothed_shoulders_are_little_broader_than_bare_ones(sex: str, clothes: str) -> None:
    body = _worn(sex, clothes)
    cloth = _points(body, clothes)
    top = body.landmarks["shoulder_left"][2]
    over = cloth[(cloth[:, 2] < top) & (cloth[:, 2] > top - 0.14)]
    breadth_mm = 1000.0 * np.ptp(over[:, 0])
    bare_mm = ANSUR_II_MM[sex]["bideltoidbreadth"][1]
    assert bare_mm - 12 < breadth_mm < bare_mm + 30


def test_a_jacket_carries_its_shoulders_further_out_and_up_than_a_shirt() -> None:
    def high_at(name: str, clothes: str, out_m: float) -> float:
        p = _points(_worn("male", clothes), name)
        return float(p[np.abs(np.abs(p[:, 0]) - out_m) < 0.006, 2].max())

    for out_m in (0.19, 0.21):
        assert high_at("jacket", "jacket", out_m) > high_at("shirt", "shirt", out_m) + 0.004
    # A pad runs nearly straight, where a bare shoulder falls away.
    falls = high_at("jacket", "jacket", 0.17) - high_at("jacket", "jacket", 0.21)
    assert falls < 0.024


def _square(count: int = 21) -> ClothSheet:
    x, y = (a.reshape(-1) for a in np.meshgrid(*[np.linspace(-0.05, 0.05, count)] * 2))
    index = np.arange(count**2).reshape(count, count)
    a, b, c, d = index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]
    quads = np.stack([a, b, c, d], axis=-1).reshape(-1, 4)
    faces = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    points = np.stack([x, y, 0.0 * x], axis=1)
    return ClothSheet(points, faces, points)


def test_a_split_keeps_all_of_a_mesh_and_leaves_no_gap() -> None:
    flat = _square()
    field = flat.rest[:, 0] + 0.3 * flat.rest[:, 1] - 0.0013
    above, below, (points, more) = split(flat.faces, field, flat.vertices, field[:, None])
    assert more[above].min() > -1e-12
    assert more[below].max() < 1e-12
    both = np.concatenate([above, below])
    corner = points[both]
    sides = np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])[:, 2]
    assert 0.5 * sides.sum() == pytest.approx(0.01)
    assert (sides > -1e-15).all()
    rim = Net(both, len(points)).open.sum()
    # The line meets the square's own edge twice.
    assert rim == Net(flat.faces, len(flat.vertices)).open.sum() + 2


def test_a_seam_is_a_groove_between_two_raised_edges_and_ends_where_it_is_told() -> None:
    sewn = stitched(_square(), (Seam(lambda p: p[:, 0] - 0.0021, PLAIN, lambda p: p[:, 1]),))
    across, high = sewn.rest[:, 0] - 0.0021, sewn.vertices[:, 2]
    inside = sewn.rest[:, 1] > 0.02
    assert high[inside & (np.abs(across) < 1e-9)] == pytest.approx(-0.0005)
    assert high[inside].max() == pytest.approx(0.0015)
    assert np.abs(high[sewn.rest[:, 1] < 0.0]).max() < 1e-12
    assert np.abs(high[np.abs(across) > 0.006]).max() < 1e-12


def test_an_armhole_closes_round_the_arm_and_a_cuff_round_the_wrist() -> None:
    rest = rest_body(load_archive(default_archive()), Figure())
    cuts = Cuts(rest)
    suit = rest.vertices[rest.data.part("suit")]
    along, on = cuts.along_arm(suit)
    hole = armholes(cuts, 0.01).line(suit)
    assert (hole[(on > 0.99) & (along > 0.09)] > 0.0).all()
    trunk = (on < 0.01) & (suit[:, 2] < cuts.joint("spine02")[2])
    assert (hole[trunk] < 0.0).all()
    cuff = along_edge(lambda p: -cuts.past_wrist(p, 0.01), 0.06).line(suit)
    assert (cuff[on < 0.5] > 0.0).all()


def test_a_headscarf_lies_on_what_is_worn_under_it() -> None:
    body = _worn("female", "dress", "covered")
    scarf, dress = _points(body, "headscarf"), _points(body, "dress")
    low = scarf[scarf[:, 2] < np.quantile(scarf[:, 2], 0.15)]
    off = KDTree(dress).query(low)[0]
    assert np.quantile(off, 0.9) < 0.030
    # It reaches the chest in front and no further than the ends of the shoulders.
    assert scarf[:, 2].min() < body.landmarks["chin"][2] - 0.10
    assert np.ptp(low[:, 0]) < 0.40


def test_a_skirt_does_not_flare_over_knees_that_sit() -> None:
    body = _worn("female", "dress", "covered")
    skirt = _points(body, "skirt")
    knee = body.landmarks["knee_left"]
    over = skirt[skirt[:, 1] < knee[1] + 0.05]
    beside = 2.0 * (np.abs(over[:, 0]).max() - abs(knee[0]))
    assert beside < 0.20
    assert over[:, 2].max() < knee[2] + 0.11
