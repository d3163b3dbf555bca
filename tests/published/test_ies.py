"""LM-63 files: layout by ANSI/IESNA LM-63-02 section 3; fluxes by integration; all files here are
made up."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import dblquad, quad

from previz.physics.ies import IesError, read_ies

HEADS = {
    1986: "made up\n",
    1991: "IESNA91\n[TEST] made up\n",
    1995: "IESNA:LM-63-1995\n[TEST] made up\n",
    2002: "IESNA:LM-63-2002\n[TEST] made up\n",
    2019: "IES:LM-63-2019\n[TEST] made up\n",
}


def listed(values) -> str:
    return " ".join(f"{value:.9g}" for value in values)


def ies_text(
    vertical, planes, horizontal=(0,), year=2002, tilt="TILT=NONE\n", multiplier=1.0, kind=1,
    factors="1.0 1.0 100",
) -> str:  # fmt: skip
    counts = f"{len(vertical)} {len(horizontal)} {kind} 2 0.1 0.1 0"
    rows = "\n".join(listed(plane) for plane in planes)
    return (
        f"{HEADS[year]}{tilt}1 -1 {multiplier} {counts}\n{factors}\n"
        f"{listed(vertical)}\n{listed(horizontal)}\n{rows}\n"
    )


COARSE = ([0, 30, 60, 90], [[1000, 800, 300, 0]])


def test_coarse_fixture():
    """550 cd at 45 degrees, 2404.72 lm by exact integration of the straight lines."""
    found = read_ies(ies_text(*COARSE))
    assert float(found.intensity_cd(45.0)) == pytest.approx(550.0, abs=1e-9)
    assert found.flux_lm() == pytest.approx(2404.72, abs=0.01)
    by_quadrature = quad(
        lambda a: 2 * math.pi * float(found.intensity_cd(math.degrees(a))) * math.sin(a),
        0, math.pi / 2, points=[math.pi / 6, math.pi / 3],
    )[0]  # fmt: skip
    assert found.flux_lm() == pytest.approx(by_quadrature, rel=1e-9)


def test_even_and_matt_sources():
    """100 cd all round is 4 pi 100 lm; 1000 cos theta is 1000 pi lm."""
    even = read_ies(ies_text([0, 90, 180], [[100, 100, 100]]))
    assert even.flux_lm() == pytest.approx(1256.637, abs=1e-3)
    assert even.flux_lm(90.0) == pytest.approx(628.319, abs=1e-3)
    angles = np.arange(0, 91, 5)
    matt = read_ies(ies_text(angles, [1000 * np.cos(np.radians(angles))]))
    # Straight lines between 5 degree steps lie below the cosine: 0.06 % less.
    assert matt.flux_lm() == pytest.approx(3141.593, rel=1e-3)


@pytest.mark.parametrize("year", HEADS)
def test_every_edition_is_read(year):
    found = read_ies(ies_text(*COARSE, year=year))
    assert found.year == year
    assert found.power_w == 100.0
    assert float(found.intensity_cd(0.0)) == 1000.0


@pytest.mark.parametrize(
    ("year", "expected"),
    [(1986, 2 * 0.9 * 0.5), (1991, 0.9), (1995, 0.9), (2002, 1.8), (2019, 1.8)],
)
def test_multiplier_and_ballast_factors(year, expected):
    """The ballast-lamp factor counts up to 1995 and is of other use since."""
    found = read_ies(ies_text(*COARSE, year=year, multiplier=2.0, factors="0.9 0.5 100"))
    assert float(found.intensity_cd(0.0)) == pytest.approx(1000.0 * expected, rel=1e-12)


def test_tilt_is_kept_and_read_between_its_angles():
    tilt = "TILT=INCLUDE\n1\n3\n0 45 90\n1.0 0.9\n0.7\n"
    found = read_ies(ies_text(*COARSE, tilt=tilt))
    assert found.tilt_factor_at(0.0) == 1.0
    assert found.tilt_factor_at(22.5) == pytest.approx(0.95)
    assert found.tilt_factor_at(120.0) == 0.7
    assert read_ies(ies_text(*COARSE)).tilt_factor_at(30.0) == 1.0


def test_commas_line_ends_and_a_last_control_z_do_no_harm():
    text = ies_text(*COARSE).replace("1000 800", "1000,800").replace("\n", "\r\n") + "\x1a"
    assert float(read_ies(text).intensity_cd(45.0)) == pytest.approx(550.0)


def quarter(horizontal):
    """100 (2 + cos 2 phi): the same in all four quarters."""
    return [[100 * (2 + math.cos(2 * math.radians(h)))] * 2 for h in horizontal]


def half(horizontal):
    """100 (2 + cos phi): the same on both sides of the plane through 0 and 180."""
    return [[100 * (2 + math.cos(math.radians(h)))] * 2 for h in horizontal]


def side(horizontal):
    """100 (2 + sin phi): the same on both sides of the plane through 90 and 270."""
    return [[100 * (2 + math.sin(math.radians(h)))] * 2 for h in horizontal]


@pytest.mark.parametrize(
    ("horizontal", "law"),
    [
        (np.arange(0, 91, 15), quarter),
        (np.arange(0, 181, 15), half),
        (np.arange(90, 271, 15), side),
        (np.arange(0, 361, 15), half),
        (np.arange(0, 361, 15), side),
    ],
)
def test_symmetry_unfolds_to_all_directions(horizontal, law):
    found = read_ies(ies_text([0, 90], law(horizontal), horizontal))
    around = np.arange(0, 360, 15)
    expected = np.array(law(around))[:, 0]
    np.testing.assert_allclose(found.intensity_cd(40.0, around), expected, rtol=1e-7)
    np.testing.assert_allclose(found.intensity_cd(40.0, around - 360.0), expected, rtol=1e-7)
    assert found.horizontal_deg[0] == 0.0
    assert found.horizontal_deg[-1] == 360.0
    # Even over the upper angles: the mean, 200 cd, over the half space.
    assert found.flux_lm() == pytest.approx(2 * math.pi * 200.0, rel=1e-6)


def test_flux_of_a_lopsided_light_is_the_integral_of_what_is_read():
    vertical, horizontal = [0, 20, 60, 90], [0, 45, 180, 360]
    planes = [[900, 700, 200, 0], [900, 500, 300, 20], [900, 800, 100, 0], [900, 700, 200, 0]]
    found = read_ies(ies_text(vertical, planes, horizontal))
    total = 0.0
    for start, end in itertools.pairwise(horizontal):
        for low, high in itertools.pairwise(vertical):
            total += dblquad(
                lambda t, p: (
                    float(found.intensity_cd(math.degrees(t), math.degrees(p))) * math.sin(t)
                ),
                math.radians(start), math.radians(end) - 1e-9,
                math.radians(low), math.radians(high), epsrel=1e-7,
            )[0]  # fmt: skip
    assert found.flux_lm() == pytest.approx(total, rel=1e-6)


GOOD = ies_text(*COARSE)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1: no line TILT"),
        ("IESNA:LM-63-1999\nTILT=NONE\n", "line 1: LM-63 of 1999 is not known"),
        ("IESNA:LM-63 new\nTILT=NONE\n", "line 1: 'IESNA:LM-63 new' is no known edition"),
        (GOOD.replace("TILT=NONE", "TILT=lamp.tlt"), "line 3: TILT names another file"),
        (GOOD.replace("800", "8oo"), "line 8: candela values must be a number, found '8oo'"),
        (GOOD.replace("800", "-1"), "line 8: candela values must be 0 or more"),
        (GOOD.replace(" 300 0", ""), "line 8: the file ends before candela values"),
        (GOOD + "5 6\n", "line 9: 2 numbers more than the counts"),
        (GOOD.replace("0 30 60 90", "0 60 30 90"), "line 6: vertical angles must rise"),
        (GOOD.replace("0 30 60 90", "0 30 60 80"), "line 6: vertical angles of type C run"),
        (GOOD.replace("0 30 60 90\n0\n", "0 30 60 90\n30\n"), "line 7: horizontal angles"),
        (ies_text(*COARSE, kind=2), "line 4: photometry of type B is not read"),
        (ies_text(*COARSE, kind=3), "line 4: photometry of type A is not read"),
        (ies_text(*COARSE, multiplier=0.0), "line 4: the candela multiplier must be above 0"),
        (ies_text([0, 90], [[0, 0]]), "line 8: no candela value is above 0"),
        (GOOD.replace("4 1 1 2", "1e9 1 1 2"), "line 4: the number of vertical angles must be"),
        (GOOD.replace("4 1 1 2", "4.5 1 1 2"), "line 4: the number of vertical angles must be"),
        (GOOD.replace("4 1 1 2", "nan 1 1 2"), "line 4: the number of vertical angles must be a"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text, message):
    with pytest.raises(IesError) as found:
        read_ies(text)
    assert str(found.value).startswith(message)
