"""The arithmetic of light layers."""

from __future__ import annotations

import numpy as np
import pytest

from previz.render.relight import LayerStack, change_between, gain_between
from previz.stage.identity import Identity


def stack(names: tuple[str, ...] = ("key", "fill")) -> LayerStack:
    pixels = np.random.default_rng(3).random((5, 7, 3 * len(names))).astype(np.float32)
    flat = np.zeros((5, 7, 3), np.float32)
    return LayerStack(names, pixels, flat, flat)


def test_recombining_is_the_weighted_sum_by_colour():
    one = stack()
    gains = {"key": np.array([0.5, 0.25, 2.0]), "fill": np.array([1.0, 3.0, 0.0])}
    wanted = one.pixels[..., :3] * gains["key"] + one.pixels[..., 3:] * gains["fill"]
    assert one.combined(gains) == pytest.approx(wanted, rel=1e-5)
    camera = np.array([2.0, 1.0, 0.5])
    assert one.combined(gains, camera) == pytest.approx(wanted * camera, rel=1e-5)


def test_a_layer_without_gains_is_dark():
    one = stack()
    assert one.combined({"fill": np.ones(3)}) == pytest.approx(one.pixels[..., 3:], rel=1e-6)
    assert not one.combined({}).any()


def identity(**changes: object) -> Identity:
    parts: dict[str, object] = {
        "furnished": {"room": "r", "materials": "m"},
        "forms": {"key": "k", "fill": "f", "flag": "g"},
        "views": {"A": "a", "B": "b"},
        "power": {"key": (2.0, 2.0, 2.0), "fill": (1.0, 1.0, 1.0)},
    }
    return Identity(**{**parts, **changes})  # type: ignore[arg-type]


def test_power_alone_is_arithmetic():
    after = identity(power={"key": (1.0, 1.0, 4.0), "fill": (1.0, 1.0, 1.0)})
    change = change_between(identity(), after, ("A",))
    assert change.gains["key"] == pytest.approx([0.5, 0.5, 2.0])
    assert not (change.fresh or change.moved or change.hindered)


def test_another_form_is_rendered_and_its_body_remembered():
    after = identity(forms={"key": "elsewhere", "fill": "f", "flag": "g"})
    change = change_between(identity(), after, ("A",))
    assert change.fresh == ("key",) and change.moved == ("key",) and not change.hindered


def test_a_flag_that_moves_spoils_all_layers():
    after = identity(forms={"key": "k", "fill": "f", "flag": "moved"})
    change = change_between(identity(), after, ("A",))
    assert change.hindered == ("lights.flag shades all lights and has changed",)


def test_only_cameras_that_were_rendered_count():
    after = identity(views={"A": "a", "B": "moved"})
    assert not change_between(identity(), after, ("A",)).hindered
    assert change_between(identity(), after, ("A", "B")).hindered


@pytest.mark.parametrize(
    ("before", "after", "gain"),
    [
        ((1.0, 2.0, 4.0), (2.0, 2.0, 2.0), [2.0, 1.0, 0.5]),
        ((1.0, 1.0, 0.0), (2.0, 2.0, 0.0), [2.0, 2.0, 0.0]),
        ((1.0, 1.0, 0.0), (2.0, 2.0, 0.1), None),
        (None, (1.0, 1.0, 1.0), None),
    ],
)
def test_gains_need_light_in_every_colour_that_is_asked_for(before, after, gain):
    found = gain_between(before, after)
    assert found is None if gain is None else found == pytest.approx(gain)
