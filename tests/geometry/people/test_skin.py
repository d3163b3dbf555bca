"""What shows on a face besides its colour, and that the colour stays what was measured."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built

from previz.geometry.people import Figure, Pose
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.chart import SIDE_M, Complexion, head_points
from previz.geometry.people.eyes import IRISES, usual_colour
from previz.geometry.people.skin import reflectance, roughness
from previz.render.patterns import figure_of
from previz.render.patterns.face import SIDE_PX
from previz.stage.complexions import material_of


def _figure(age_years: int, stubble_pct: int = 0, ita_deg: int = 47, seed: int = 3):
    from previz.catalog import Catalog

    name = Complexion(age_years, stubble_pct, ita_deg, seed).name
    return figure_of(material_of(name, Catalog.load()))


def test_the_square_holds_every_head_without_laying_two_places_on_one() -> None:
    _, at = head_points(load_archive(default_archive()))
    assert at.min() >= -0.06
    assert at[:, 0].max() <= SIDE_M
    # A hundred thousandth of a square metre a point: none is far denser than the rest of the face.
    cells = np.unique(np.round(at / 0.0005).astype(int), axis=0)
    assert len(cells) > 0.75 * len(at)


def test_old_skin_is_deeper_lined_than_young() -> None:
    young, old = _figure(25), _figure(75)
    assert young.height is not None
    assert old.height is not None
    assert np.abs(old.height).max() > 2.5 * np.percentile(np.abs(young.height), 99.9)
    # And spotted: more of it is much darker than the rest.
    assert (old.tone < 0.75).sum() > (young.tone < 0.75).sum()


def test_a_cheek_keeps_the_reflectance_of_its_class() -> None:
    # What a figure does to colour is undone over the whole square; here, over both cheeks.
    for ita_deg in (58, 19, -45):
        figure = _figure(40, ita_deg=ita_deg)
        step = SIDE_M / SIDE_PX
        for u in (0.5 * SIDE_M - 0.045, 0.5 * SIDE_M + 0.045):
            rows = slice(int(0.145 / step), int(0.175 / step))
            columns = slice(int((u - 0.012) / step), int((u + 0.012) / step))
            assert figure.tone[rows, columns].mean() == pytest.approx(figure.tone.mean(), rel=0.04)
            share = figure.second[rows, columns].mean()
            assert share == pytest.approx(figure.second.mean(), abs=0.10)


def test_painted_cheeks_are_as_light_as_measured() -> None:
    body = built(Figure(skin="light", hair="bald"), Pose())
    skin = next(p for p in body.pieces if p.name == "skin")
    assert skin.colour is not None
    near = np.zeros(len(skin.mesh.vertices), bool)
    for side in ("left", "right"):
        cheek = body.landmarks[f"eye_{side}"] + np.array([0.0, -0.012, -0.045])
        near |= np.linalg.norm(skin.mesh.vertices - cheek, axis=1) < 0.018
    near &= skin.colour[:, 1] > 0.1  # the mouth's inside is red and dark
    assert near.sum() > 40
    weights = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709-6
    measured = reflectance("light") @ weights
    assert (skin.colour[near] @ weights).mean() == pytest.approx(measured, rel=0.15)
    assert skin.uv is not None
    assert len(skin.uv) == len(skin.mesh.vertices)


def test_no_skin_is_lacquer() -> None:
    data = load_archive(default_archive())
    n = data.ranges["body"][1]
    shine = roughness(data, data.base[:n], data.base, 4)
    # Widths of slopes by region, 0.2 to 0.4, and as much again for what differs between people.
    # Source: Weyrich and others, "Analysis of human faces using a measurement-based skin
    # reflectance model", 2006.
    assert 0.2 < shine.min() ** 2 < shine.max() ** 2 < 0.55


def test_eyes_go_with_the_skin_unless_a_colour_is_asked_for() -> None:
    assert {usual_colour(-45.0, seed) for seed in range(9)} == {"dark_brown"}
    assert len({usual_colour(58.0, seed) for seed in range(30)}) >= 4
    bright = []
    for name in ("dark_brown", "blue"):
        body = built(Figure(hair="bald", eyes=name), Pose())  # type: ignore[arg-type]
        iris = next(p for p in body.pieces if p.name == "eye_left_iris")
        assert iris.colour is not None
        bright.append(iris.colour.mean(axis=0))
    assert bright[1][2] > 3.0 * bright[0][2]
    assert set(IRISES) >= {"dark_brown", "brown", "hazel", "green", "blue", "grey"}
