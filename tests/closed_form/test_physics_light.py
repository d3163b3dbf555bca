"""Form factors, emitters and beams against numerical integration with scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from oracles import photometry as oracles
from scipy.integrate import dblquad, quad

from previz.physics import beam, emitters, exposure, photometry


def facing_down(width, height, distance, x=0.0, y=0.0):
    """Corners of a rectangle at z = `distance`, shining towards -Z."""
    left, right, low, high = x - width / 2, x + width / 2, y - height / 2, y + height / 2
    return [
        (left, low, distance),
        (left, high, distance),
        (right, high, distance),
        (right, low, distance),
    ]


@pytest.mark.parametrize(
    ("width", "height", "distance", "x", "y"),
    [
        (1, 1, 1, 0, 0),
        (0.3, 1.2, 0.5, 0.4, -0.2),
        (2, 0.05, 1.5, 0.1, 0.9),
        (0.1, 0.1, 20, 3, 1),
    ],
)
def test_parallel_rectangle(width, height, distance, x, y):
    def share(v, u):
        return distance**2 / (u * u + v * v + distance**2) ** 2 / math.pi

    integral, _ = dblquad(
        share,
        x - width / 2,
        x + width / 2,
        y - height / 2,
        y + height / 2,
        epsabs=1e-13,
        epsrel=1e-11,
    )
    closed = oracles.form_factor_rectangle(width, height, distance, -x, -y)
    polygon = photometry.form_factor_polygon(
        facing_down(width, height, distance, x, y), (0, 0, 0), (0, 0, 1)
    )
    assert closed == pytest.approx(integral, rel=1e-9)
    assert polygon == pytest.approx(integral, rel=1e-9)


@pytest.mark.parametrize("tilt_deg", [20, 60, 85, 100, 125])
def test_polygon_cut_by_the_horizon(tilt_deg):
    """A tilted receiver under a panel, part of which lies behind it."""
    tilt = math.radians(tilt_deg)
    normal = np.array([math.sin(tilt), 0.0, math.cos(tilt)])

    def share(y, x):
        ray = np.array([x, y, 1.0])
        return max(0.0, ray @ normal) / (ray @ ray) ** 2 / math.pi

    edge = min(max(-math.cos(tilt) / math.sin(tilt), -1.5), 0.7)
    integral, _ = dblquad(share, edge, 0.7, -0.4, 0.6, epsabs=1e-12, epsrel=1e-9)
    corners = [(-1.5, -0.4, 1), (-1.5, 0.6, 1), (0.7, 0.6, 1), (0.7, -0.4, 1)]
    assert photometry.form_factor_polygon(corners, (0, 0, 0), normal) == pytest.approx(
        integral, rel=1e-7
    )


def test_l_shaped_polygon_is_the_sum_of_its_rectangles():
    corners = [(0, 0, 1), (0, 2, 1), (1, 2, 1), (1, 1, 1), (2, 1, 1), (2, 0, 1)]
    parts = [
        [(0, 0, 1), (0, 2, 1), (1, 2, 1), (1, 0, 1)],
        [(1, 0, 1), (1, 1, 1), (2, 1, 1), (2, 0, 1)],
    ]
    receiver, normal = (0.3, 0.2, 0.0), (0.5, 0.2, 0.6)
    whole = photometry.form_factor_polygon(corners, receiver, normal)
    assert whole == pytest.approx(
        sum(photometry.form_factor_polygon(part, receiver, normal) for part in parts), rel=1e-12
    )


def test_closed_box_fills_the_hemisphere():
    """Whatever the receiver, the walls it sees add up to 1."""
    box = [
        [(0, 0, 0), (2, 0, 0), (2, 3, 0), (0, 3, 0)],
        [(0, 0, 2.5), (0, 3, 2.5), (2, 3, 2.5), (2, 0, 2.5)],
        [(0, 0, 0), (0, 0, 2.5), (2, 0, 2.5), (2, 0, 0)],
        [(0, 3, 0), (2, 3, 0), (2, 3, 2.5), (0, 3, 2.5)],
        [(0, 0, 0), (0, 3, 0), (0, 3, 2.5), (0, 0, 2.5)],
        [(2, 0, 0), (2, 0, 2.5), (2, 3, 2.5), (2, 3, 0)],
    ]
    for normal in ((0, 0, 1), (1, 0, 0), (0.3, -0.7, 0.2)):
        seen = [photometry.form_factor_polygon(wall, (0.4, 1.1, 0.9), normal) for wall in box]
        assert sum(seen) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("radius", "height", "offset"),
    [
        (1, 1, 0),
        (0.5, 1, 1),
        (2, 0.3, 1.5),
        (0.2, 5, 3),
        (1e-3, 100, 50),
    ],
)
def test_disc_off_axis(radius, height, offset):
    def share(r, turn):
        square = r * r + offset**2 - 2 * r * offset * math.cos(turn) + height**2
        return r * height**2 / square**2 / math.pi

    integral, _ = dblquad(share, 0, 2 * math.pi, 0, radius, epsabs=0, epsrel=1e-10)
    assert oracles.form_factor_disc(radius, height, offset) == pytest.approx(integral, rel=1e-8)


@pytest.mark.parametrize("tilt_deg", [0, 40, 65, 80, 90, 100, 115])
def test_sphere_partly_below_the_horizon(tilt_deg):
    """Half a metre of sphere, one metre away: its disc reaches 30 degrees round its centre."""
    tilt = math.radians(tilt_deg)

    def share(turn, angle):
        cosine = math.cos(angle) * math.cos(tilt) + math.sin(angle) * math.sin(tilt) * math.cos(
            turn
        )
        return max(0.0, cosine) * math.sin(angle) / math.pi

    turn = np.linspace(0, math.pi, 2001)
    angle = np.linspace(0, math.radians(30), 2001)
    cosine = np.cos(angle)[:, None] * math.cos(tilt) + np.sin(angle)[:, None] * math.sin(
        tilt
    ) * np.cos(turn)
    seen = np.maximum(cosine, 0) * np.sin(angle)[:, None]
    expected = 2 * np.trapezoid(np.trapezoid(seen, turn, axis=1), angle) / math.pi
    assert oracles.form_factor_sphere(0.5, 1.0, tilt) == pytest.approx(expected, abs=2e-7)


@pytest.mark.parametrize("distance", [0.3, 1.0, 7.0])
def test_emitters_on_their_axis_are_the_closed_forms(distance):
    """E = pi L F for an even surface; F by Howell, "A catalog of radiation configuration factors",
    1982 (from memory).
    """
    for shape, factor in (
        (emitters.Rectangle(0.8, 0.5), oracles.form_factor_rectangle(0.8, 0.5, distance)),
        (emitters.Disc(0.6), oracles.form_factor_disc(0.3, distance)),
        (emitters.Sphere(0.5), oracles.form_factor_sphere(0.25, distance)),
    ):
        lux = emitters.axis_illuminance_lx(shape, 700.0, distance)
        assert lux == pytest.approx(math.pi * 700.0 * factor, rel=1e-6)


PROFILES = {
    "lambertian": beam.lambertian(),
    "cos^12": beam.cosine_power(12.0),
    "soft spot": beam.gaussian_like(25, 45),
    "hard spot": beam.gaussian_like(30, 36),
}


@pytest.mark.parametrize("name", PROFILES)
def test_flux_factor_is_the_integral_over_the_hemisphere(name):
    profile = PROFILES[name]
    integral, _ = quad(
        lambda a: float(profile(a)) * math.sin(a),
        0,
        math.pi / 2,
        epsabs=1e-13,
        epsrel=1e-10,
        limit=400,
    )
    assert beam.flux_factor(profile) == pytest.approx(2 * math.pi * integral, rel=1e-7)


@pytest.mark.parametrize("name", PROFILES)
@pytest.mark.parametrize("distance", [0.4, 1.0, 4.0])
def test_rectangle_with_a_beam_on_its_axis(name, distance):
    profile = PROFILES[name]
    width, height = 0.6, 0.3

    def share(y, x):
        square = x * x + y * y + distance**2
        cosine = distance / math.sqrt(square)
        return float(profile(math.acos(cosine))) * cosine / square

    integral, _ = dblquad(share, 0, width / 2, 0, height / 2, epsabs=1e-10, epsrel=1e-8)
    lux = emitters.axis_illuminance_lx(emitters.Rectangle(width, height), 1.0, distance, profile)
    assert lux == pytest.approx(4 * integral, rel=2e-5)
    anywhere = oracles.illuminance_from_panel_lx(
        (-width / 2, -height / 2, 0),
        (width, 0, 0),
        (0, height, 0),
        1.0,
        receiver_m=(0, 0, distance),
        normal=(0, 0, -3),
        profile=profile,
    )
    assert anywhere == pytest.approx(lux, rel=1e-4)


@pytest.mark.parametrize("angle_deg", [0, 10, 25, 30, 33, 40])
def test_grid_passes_the_mean_of_what_its_cells_show(angle_deg):
    """Cells twice as deep as wide: walls shade all but 1 - 2 tan from one side on."""
    t = 2.0 * math.tan(math.radians(angle_deg))

    def share(turn):
        return max(0.0, 1 - t * math.cos(turn)) * max(0.0, 1 - t * math.sin(turn))

    integral, _ = quad(share, 0, math.pi / 2, epsabs=1e-12, limit=200)
    bare = beam.cosine_power(3.0)
    gridded = beam.through_grid(bare, 2.0)
    angle = math.radians(angle_deg)
    assert float(gridded(angle)) == pytest.approx(
        float(bare(angle)) * integral * 2 / math.pi, abs=1e-9
    )
    assert beam.flux_factor(gridded) < 0.3 * beam.flux_factor(bare)


def test_tube_from_its_side():
    """Against the lit side's integral done the other way: over the directions a receiver sees."""
    radius, length, distance = 0.05, 1.2, 0.8
    tube = emitters.Cylinder(2 * radius, length)

    def share(turn):
        # Along one vertical plane the tube spans z = +-length/2 at the near surface's distance.
        reach = distance * math.cos(turn) - math.sqrt(radius**2 - (distance * math.sin(turn)) ** 2)
        steep = math.atan(length / 2 / reach)
        return math.cos(turn) * (steep + math.sin(steep) * math.cos(steep))

    limit = math.asin(radius / distance)
    integral, _ = quad(lambda s: share(limit * math.sin(s)) * limit * math.cos(s), 0, math.pi / 2)
    lux = emitters.axis_illuminance_lx(tube, 1000.0, distance)
    assert lux == pytest.approx(1000.0 * 2 * integral, rel=1e-7)


@pytest.mark.parametrize(
    "shape",
    [
        emitters.Rectangle(0.5, 0.4),
        emitters.Disc(0.3),
        emitters.Sphere(0.4),
        emitters.Cylinder(0.03, 1.2),
    ],
)
def test_flux_gathers_on_a_far_sphere(shape):
    """Far away, I0 = E d^2 and the shape's own flux factor give its flux back."""
    luminance = emitters.luminance_from_flux_cd_m2(shape, 1000.0)
    intensity = emitters.axis_illuminance_lx(shape, luminance, 300.0) * 300.0**2
    factor = {"Sphere": 4 * math.pi, "Cylinder": math.pi**2}.get(type(shape).__name__, math.pi)
    assert intensity * factor == pytest.approx(1000.0, rel=1e-3)


@pytest.mark.parametrize(
    ("exponent", "half_deg", "tenth_deg"),
    [(1, 120.0, 168.522), (2, 90.0, 143.130), (10, 42.175, 74.816), (50, 19.037, 34.511)],
)
def test_a_power_of_the_cosine_has_its_beam_and_field_angle(exponent, half_deg, tenth_deg):
    """Full angles 2 acos(p^(1/n)) at half and at a tenth of the axis."""
    profile = beam.cosine_power(exponent)
    assert float(profile(math.radians(half_deg / 2))) == pytest.approx(0.5, abs=2e-5)
    assert float(profile(math.radians(tenth_deg / 2))) == pytest.approx(0.1, abs=2e-5)


def test_a_field_1_823_times_the_beam_is_a_true_gaussian():
    """Field over beam sqrt(ln 10 / ln 2); a quarter of the axis lies sqrt 2 beams wide."""
    profile = beam.gaussian_like(20, 20 * math.sqrt(math.log(10) / math.log(2)))
    angle = np.radians([10 * math.sqrt(2), 5])
    assert profile(angle) == pytest.approx([0.25, 2**-0.25], rel=1e-12)


@pytest.mark.parametrize("name", PROFILES)
def test_luminance_table_carries_the_profiles_flux(name):
    """A renderer that reads the table gets the flux: cosine-weighted luminance sums to it."""
    profile = PROFILES[name]
    relative = beam.relative_luminance(profile, 4001)
    cosine = np.cos(beam.profile_angles_rad(4001))
    flux = -2 * math.pi * np.trapezoid(relative * cosine, cosine)
    assert flux == pytest.approx(beam.flux_factor(profile), rel=5e-4)
    assert relative[0] == 1.0
    assert np.all(np.isfinite(relative))


def test_panel_at_an_angle_agrees_with_the_polygon():
    corner, u, v = (1.0, -0.5, 0.8), (0.0, 0.9, 0.1), (-0.3, 0.0, 0.6)
    corners = np.array([corner, np.add(corner, u), np.add(np.add(corner, u), v), np.add(corner, v)])
    receiver, normal = (-0.6, 0.2, 0.1), (0.8, 0.1, 0.5)
    if np.cross(u, v) @ (np.array(receiver) - corner) < 0:
        u, v = v, u
        corners = corners[[0, 3, 2, 1]]
    panel = oracles.illuminance_from_panel_lx(
        corner, u, v, 700.0, receiver_m=receiver, normal=normal
    )
    polygon = photometry.illuminance_from_polygon_lx(corners, 700.0, receiver, normal)
    assert polygon > 10.0
    assert panel == pytest.approx(polygon, rel=1e-6)


def test_worked_example_panel_to_stop():
    """5000 lm out of a 60 x 60 cm Lambertian panel, 1.5 m from a face, ISO 800, 1/50 s.

    By hand: L = 5000 / (pi 0.36) = 4420.97 cd/m2. F = 4 F_c with A = B = 0.2:
    F_c = 2 x 0.1961161 x atan 0.1961161 / 2 pi = 0.1961161 x 0.1936582 / pi = 0.01208925, so
    F = 0.0483570 and E = pi L F = 671.63 lx (inverse square says 707.4).
    N^2 = E S t / C = 671.63 x 16 / 250 = 42.984, N = 6.556.
    """
    luminance = emitters.luminance_from_flux_cd_m2(emitters.Rectangle(0.6, 0.6), 5000.0)
    assert luminance == pytest.approx(4420.97, abs=0.01)
    lux = emitters.axis_illuminance_lx(emitters.Rectangle(0.6, 0.6), luminance, 1.5)
    assert lux == pytest.approx(671.63, abs=0.01)
    assert exposure.stop_for_illuminance(lux, 1 / 50, 800) == pytest.approx(6.556, abs=0.001)
