"""Clothes, hair, spectacles and skin in every kind that can be asked for."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built

from previz.geometry.people import Body, Figure, Pose
from previz.geometry.people.chart import Complexion
from previz.geometry.people.drape import Hang, hang
from previz.geometry.people.hair.tones import PIGMENTS, absorption
from previz.geometry.people.skin import ITA_CLASSES, reflectance

MATERIALS = {
    "skin",
    "eye_white",
    "iris",
    "cornea",
    "hair",
    "cloth_cotton",
    "cloth_wool",
    "cloth_jacket",
    "cloth_knit",
    "cloth_shirt",
    "leather_black",
    "denim",
    "spectacle_frame",
    "spectacle_glass",
    "teeth",
}


def _checked(figure: Figure, pose: Pose) -> Body:
    body = built(figure, pose)
    for piece in body.pieces:
        assert piece.material in MATERIALS or Complexion.names(piece.material)
        assert np.isfinite(piece.mesh.vertices).all(), piece.name
        assert piece.mesh.faces.max() < len(piece.mesh.vertices)
        if piece.closed:
            assert piece.mesh.exact.is_watertight, piece.name
            assert piece.mesh.exact.volume > 0.0, piece.name
    return body


@pytest.mark.parametrize(
    ("clothes", "sex"),
    [("shirt", "female"), ("jumper", "male"), ("jacket", "female"), ("dress", "female")],
)
def test_garments_are_whole_on_heavy_people(clothes: str, sex: str) -> None:
    figure = Figure(sex=sex, clothes=clothes, build="heavy", hair="bald")  # type: ignore[arg-type]
    body = _checked(figure, Pose())
    assert clothes in {piece.name for piece in body.pieces}


@pytest.mark.parametrize("hair", ["short", "medium", "long_tied", "curly"])
def test_hair_comes_as_strands_and_as_a_mesh(hair: str) -> None:
    body = _checked(Figure(hair=hair), Pose())  # type: ignore[arg-type]
    assert body.strands is not None
    count, points, _ = body.strands.points.shape
    assert 10_000 <= count <= 25_000
    assert 5 <= points <= 17
    assert count * points <= 190_000
    assert body.strands.radius_m.shape == (count, points)
    assert np.isfinite(body.strands.points).all()
    # A curve needs a length between its points.
    steps = np.linalg.norm(np.diff(body.strands.points, axis=1), axis=2)
    assert steps.min() > 1e-5
    assert "hair" in {piece.name for piece in body.pieces}
    assert body.landmarks["hair_top"][2] >= body.landmarks["head_top"][2] - 0.002


@pytest.mark.parametrize("hair", ["bald", "covered"])
def test_no_hair_shows(hair: str) -> None:
    body = _checked(Figure(hair=hair, spectacles=True), Pose())  # type: ignore[arg-type]
    names = {piece.name for piece in body.pieces}
    assert body.strands is None
    assert "hair" not in names
    assert ("headscarf" in names) == (hair == "covered")


def test_spectacles_stand_before_the_eyes() -> None:
    body = _checked(Figure(spectacles=True), Pose())
    glass = next(p for p in body.pieces if p.material == "spectacle_glass").mesh.vertices
    eyes = body.landmarks["eyes"]
    ahead = (glass - eyes) @ body.face_forward
    assert 0.018 < ahead.min() < ahead.max() < 0.040
    cornea = next(p for p in body.pieces if p.name == "eye_left_cornea").mesh.vertices
    assert ((cornea - eyes) @ body.face_forward).max() < ahead.min()


def test_stripes_have_the_period_asked_for_and_leave_no_gap() -> None:
    plain = built(Figure(hair="bald"), Pose(posture="standing"))
    striped = built(Figure(hair="bald", stripe_m=0.006), Pose(posture="standing"))
    whole = next(p for p in plain.pieces if p.name == "jumper").mesh.area
    parts = [p.mesh.area for p in striped.pieces if p.name in ("jumper", "jumper_stripes")]
    assert len(parts) == 2
    assert sum(parts) == pytest.approx(whole, rel=1e-3)
    assert parts[1] / whole == pytest.approx(0.3, abs=0.03)


def test_ita_classes_run_from_light_to_dark() -> None:
    # Weights of luminance in linear BT.709: ITU-R BT.709-6.
    luminance = [reflectance(name) @ np.array([0.2126, 0.7152, 0.0722]) for name in ITA_CLASSES]
    assert np.all(np.diff(luminance) < 0.0)
    # L* of "intermediate": 50 + 17 tan(34.5 deg) = 61.68, hence Y = ((L* + 16) / 116)^3.
    assert luminance[2] == pytest.approx(((61.684 + 16.0) / 116.0) ** 3, rel=2e-3)


@pytest.mark.parametrize("expression", ["neutral", "talking", "smiling"])
def test_face_moves_and_eyes_stay(expression: str) -> None:
    still = built(Figure(hair="bald"), Pose())
    body = _checked(Figure(hair="bald", expression=expression), Pose())  # type: ignore[arg-type]
    assert np.allclose(body.landmarks["eyes"], still.landmarks["eyes"])
    moved = np.linalg.norm(body.landmarks["mouth"] - still.landmarks["mouth"])
    assert (moved > 0.0005) == (expression != "neutral")


def test_seats_of_all_kinds() -> None:
    for seat, height in (("chair", 0.45), ("stool", 0.62), ("sofa", 0.38)):
        pose = Pose(seat=seat, seat_height_m=height)  # type: ignore[arg-type]
        body = _checked(Figure(hair="bald"), pose)
        assert body.landmarks["hip_left"][2] > height


def test_skin_may_be_an_angle_of_its_own() -> None:
    between = reflectance(40.0)
    assert np.all(between < reflectance("light"))
    assert np.all(between > reflectance("intermediate"))
    assert np.allclose(reflectance(34.5), reflectance("intermediate"))


def test_cloth_hangs_from_what_stands_out_and_comes_back_slowly() -> None:
    # A ball of 0.15 m on a post of 0.08 m: cloth leaves the post below the ball's middle.
    random = np.random.default_rng(1)
    z, angle = random.uniform(0.7, 1.3, 40_000), random.uniform(-np.pi, np.pi, 40_000)
    radius = np.maximum(0.08, np.sqrt(np.clip(0.15**2 - (z - 1.15) ** 2, 0.0, None)))
    points = np.stack([radius * np.cos(angle), radius * np.sin(angle), z], axis=1)
    moved = points + hang(points, np.ones(len(z)), 1.2, 0.7, Hang(0.3))
    out = np.linalg.norm(moved[:, :2], axis=1)
    assert np.all(out >= radius - 1e-9)
    front = np.abs(np.abs(angle) - np.pi / 2) < 0.1
    below = front & (np.abs(z - 1.0) < 0.01)
    # 0.15 m under the ball's middle the cloth has come in by 0.3 of that, at the front.
    assert out[below].mean() == pytest.approx(0.15 - 0.3 * 0.15, abs=0.012)
    assert radius[below].mean() < 0.09


@pytest.mark.parametrize("seed", range(1, 7))
def test_a_mouth_at_rest_is_closed_whatever_the_face(seed: int) -> None:
    body = built(Figure(hair="bald", seed=seed), Pose())
    lips = next(p for p in body.pieces if p.name == "skin").mesh
    teeth = next(p for p in body.pieces if p.name == "teeth").mesh.vertices
    # Rays from in front, along the seam, end on lips and not on the teeth behind.
    ahead = np.array([0.0, -0.05, 0.0])
    across = np.linspace(-0.016, 0.016, 9)
    heights = np.linspace(-0.004, 0.004, 33)
    grid = np.array([[x, 0.0, z] for x in across for z in heights])
    starts = body.landmarks["mouth"] + ahead + grid
    hits, rays, _ = lips.exact.ray.intersects_location(
        starts, np.tile(-ahead, (len(starts), 1)), multiple_hits=False
    )
    assert len(set(rays.tolist())) == len(starts)
    assert hits[:, 1].max() < teeth[:, 1].min() + 0.004


def test_hair_colours_run_from_black_to_white() -> None:
    order = ("black", "dark_brown", "brown", "blond", "white")
    shades = [PIGMENTS[name][2][1] for name in order]
    assert np.all(np.diff(shades) > 0.0)
    assert np.all(np.diff([absorption(name).sum() for name in order]) < 0.0)
    # Grey takes every colour of light alike.
    assert np.ptp(absorption("grey")) == 0.0
