"""Readings with bounces, against Mitsuba's own path tracer looking at a card: 4,096 samples."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from previz.geometry.piece import Piece
from previz.physics.colour import luminance
from previz.render.contract import Ability
from previz.render.metering import GOAL, Receptor, read

SPAN_M = 0.02
CARD_REFLECTANCE = 0.5
"""That of the material `grey`, which all in these stages is made of."""


@pytest.mark.needs(Ability.METER, Ability.BOUNCES, Ability.ONE_PASS)
@pytest.mark.parametrize(
    ("point", "normal"),
    [((0.0, 0.2, -0.6), (0.0, 0.0, 1.0)), ((0.9, -0.3, -0.2), (-1.0, 0.0, 0.0))],
    ids=["lit", "turned from the key"],
)
def test_a_reading_in_a_room_is_what_the_card_shows(back_end, make_stage, kit, point, normal):
    """E = pi L / rho of a matt card; both within 2 %, as the reading's own error promises."""
    import mitsuba as mi

    from previz.render.pathtracer.assemble import assemble, sensor

    room = [
        kit.box("room", (4, 4, 3), (0, 0, 0), inside=True),
        kit.box("cube", (1, 1, 1), (0, 1.2, -1)),
    ]
    key = kit.rectangle_light("key", kit.facing((-1.2, -1, 1.2), (0.8, 1, -0.8)), 900.0, 0.8, 0.8)
    fill = kit.rectangle_light("fill", kit.facing((1.5, -1, 0.5), (-1, 1, -0.2)), 150.0, 0.6, 0.3)
    at, out = np.array(point), np.array(normal)

    stage = make_stage(room, [key, fill], kit.camera((0, -1.8, 0), (0, 0, -0.2)))
    held = {"meter": Receptor(at, out)}
    reading = read(back_end.load(stage), held)["meter"]
    assert reading.error <= GOAL
    assert set(reading.by_light) == {"key", "fill"}

    card = trimesh.creation.box((SPAN_M, SPAN_M, 1e-4))
    card.apply_transform(trimesh.geometry.align_vectors([0, 0, 1], out))
    card.apply_translation(at)
    aside = np.array([0.0, 0.0, 0.12]) if abs(out[2]) < 0.5 else np.array([0.0, -0.12, 0.0])
    eye = tuple(at + 0.4 * out + aside)
    view = kit.camera(eye, point, focal_length_m=1.6, focus_distance_m=0.42, f_number=400.0)
    with_card = make_stage([*room, Piece("card", card, "grey")], [key, fill], view)
    path = mi.load_dict({"type": "path", "max_depth": 14})
    picture = mi.render(
        assemble(with_card).scene("A"),
        sensor=sensor(view, (8, 4)), integrator=path, spp=4096, seed=3,
    )  # fmt: skip
    seen = float(luminance(np.array(picture)[..., :3].mean(axis=(0, 1))))
    lux = float(luminance(reading.total))
    assert lux == pytest.approx(np.pi * seen / CARD_REFLECTANCE, rel=0.02)
