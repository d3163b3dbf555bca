import numpy as np
import pytest
from shapely.geometry import LineString

from previz.geometry.curtain import curtain, curtains, roller_blind, venetian_blind


def cloth_length(cloth, z):
    """Length of cloth along the row of vertices at height z, and that row (n, 3)."""
    row = cloth.vertices[np.abs(cloth.vertices[:, 2] - z) < 1e-9]
    return np.linalg.norm(np.diff(row, axis=0), axis=1).sum(), row


@pytest.mark.parametrize("fullness", [1.5, 2.0, 3.0])
def test_a_curtain_has_its_size_and_its_cloth_takes_up_the_fullness(fullness):
    cloth, rail = curtain(1.5, 2.4, fullness, 0.1, seed=4)
    low, high = cloth.mesh.bounds
    assert (high - low)[0] == pytest.approx(1.5, abs=0.08)
    assert (low[2], high[2]) == pytest.approx((0.0, 2.4))
    assert 0.08 < (high - low)[1] < 0.16
    for z in (2.4, 0.0):
        length, row = cloth_length(cloth.mesh, z)
        assert row[-1, 0] - row[0, 0] == pytest.approx(1.5)
        assert length / 1.5 == pytest.approx(fullness, rel=0.15)
    assert rail.mesh.exact.is_watertight
    assert rail.mesh.exact.volume > 0
    assert rail.mesh.bounds[0, 2] >= 2.37
    assert (cloth.closed, cloth.smooth) == (False, True)


def test_the_cloth_is_one_sheet_that_never_passes_through_itself():
    for fullness in (1.5, 2.0, 3.5, 6.0):
        cloth, _ = curtain(1.2, 2.4, fullness, seed=7)
        assert cloth.mesh.exact.is_winding_consistent
        assert cloth.mesh.exact.body_count == 1
        # Front side towards the room: on the whole the sheet's area faces +y.
        assert (cloth.mesh.face_normals * cloth.mesh.area_faces[:, None]).sum(axis=0)[1] > 0
        for z in np.unique(cloth.mesh.vertices[:, 2].round(9))[[0, 13, -1]]:
            assert not crosses_itself(
                cloth.mesh.vertices[np.abs(cloth.mesh.vertices[:, 2] - z) < 1e-6]
            )


def crosses_itself(row):
    return not LineString(row[:, :2]).is_simple


def test_the_same_seed_gives_the_same_folds_and_another_gives_others():
    first, again, other = (curtain(1.5, 2.4, seed=seed)[0].mesh.vertices for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert first.shape == other.shape
    assert np.abs(first - other).max() > 0.01


def test_folds_are_irregular_below_an_even_heading():
    cloth, _ = curtain(2.0, 2.4, seed=3)

    def spread(z):
        _, row = cloth_length(cloth.mesh, z)
        crests = row[1:-1, 0][(row[1:-1, 1] > row[:-2, 1]) & (row[1:-1, 1] > row[2:, 1])]
        return np.std(np.diff(crests)) / np.mean(np.diff(crests))

    # Crests are found to a twelfth of a fold, which alone spreads them by 0.1.
    assert spread(2.4) < 0.15
    assert spread(0.0) > 1.5 * spread(2.4)


def test_a_pair_hangs_from_the_ends_and_opens_by_its_fraction():
    for fraction, covered in ((0.0, 1.0), (0.4, 0.6), (1.0, 2.0 / 9.0)):
        left, right, rail = curtains(3.0, 2.5, fraction, seed=1)
        for cloth, end in ((left, -1.5), (right, 1.5)):
            _, row = cloth_length(cloth.mesh, 2.5)
            ends = sorted((end, end - np.sign(end) * 1.5 * covered))
            assert sorted(row[[0, -1], 0]) == pytest.approx(ends)
        assert rail.mesh.bounds[1, 0] > 1.5
    with pytest.raises(ValueError, match=r"open by a fraction from 0 to 1, not 1.2"):
        curtains(3.0, 2.5, 1.2)


@pytest.mark.parametrize("wrong", [(0.0, 2.0, 2.0), (1.0, -1.0, 2.0), (1.0, 2.0, 0.9)])
def test_a_curtain_without_size_is_refused(wrong):
    with pytest.raises(ValueError, match="a curtain needs a width, height and depth over 0"):
        curtain(*wrong)


def test_a_roller_blind_is_drawn_down_by_its_fraction():
    cloth, tube, bar = roller_blind(1.2, 1.6, 0.75)
    assert bar.mesh.bounds[0, 2] == pytest.approx(0.4)
    assert cloth.mesh.bounds[:, 0] == pytest.approx([-0.6, 0.6])
    assert cloth.mesh.bounds[1, 2] == pytest.approx(1.6)
    for solid in (tube, bar):
        assert solid.mesh.exact.is_watertight
        assert solid.mesh.exact.volume > 0
    with pytest.raises(ValueError, match=r"drawn down by a fraction from 0 to 1, not -0.1"):
        roller_blind(1.2, 1.6, -0.1)


@pytest.mark.parametrize(("angle", "gap"), [(0.0, 0.8), (45.0, 0.05), (75.0, 0.0), (-75.0, 0.0)])
def test_slats_close_as_they_tip(angle, gap):
    slats, rails, cords = venetian_blind(1.2, 1.5, angle)
    for part in (slats, rails, cords):
        assert part.mesh.exact.is_watertight
        assert part.mesh.exact.volume > 0
    assert slats.mesh.bounds[:, 0] == pytest.approx([-0.6, 0.6])
    assert rails.mesh.bounds[1, 2] == pytest.approx(1.5)
    assert slats.mesh.bounds[0, 2] > 0
    # Seen level from the room, the share of height that no slat covers.
    spans = [body.bounds[:, 2] for body in split(slats.mesh)]
    covered = np.zeros(20000, dtype=bool)
    heights = np.linspace(spans[-1].mean(), spans[0].mean(), covered.size)
    for low, high in spans:
        covered |= (heights >= low) & (heights <= high)
    open_share = 1 - covered.mean()
    assert open_share == pytest.approx(gap, abs=0.12) if gap else open_share == 0.0


def split(mesh):
    per_slat = 14 * 2
    count = len(mesh.vertices) // per_slat
    return [Bounded(mesh.vertices[i * per_slat : (i + 1) * per_slat]) for i in range(count)]


class Bounded:
    def __init__(self, vertices):
        self.bounds = np.array([vertices.min(axis=0), vertices.max(axis=0)])


def test_a_positive_angle_tips_the_rooms_edge_down():
    slats, _, _ = venetian_blind(1.2, 1.5, 40.0)
    first = slats.mesh.vertices[:28]
    assert first[np.argmax(first[:, 1]), 2] < first[np.argmin(first[:, 1]), 2]
