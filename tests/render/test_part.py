"""Part of a frame: which pixels it is. `closed_form` holds back ends to them."""

from __future__ import annotations

import pytest

from previz.render.part import Part, part_of

SIZE = (64, 36)


@pytest.mark.parametrize(
    ("region", "size", "part"),
    [
        ((0, 0, 100, 100), (1280, 720), Part(0, 0, 1280, 720)),
        ((25, 50, 50, 25), (1280, 720), Part(320, 360, 640, 180)),
        # Every pixel that is touched; 10 % of 1280 is 128 however it is rounded.
        ((10, 10, 20.01, 0.01), (1280, 720), Part(128, 72, 257, 1)),
        ((33.3, 99.9, 66.7, 0.1), (64, 36), Part(21, 35, 43, 1)),
    ],
)
def test_a_region_is_all_pixels_it_touches(region, size, part) -> None:
    assert part_of(region, size) == part


@pytest.mark.parametrize(
    ("region", "said"),
    [
        ((90, 0, 20, 20), "90,0,20,20 reaches past the frame"),
        ((-1, 0, 20, 20), "-1,0,20,20 reaches past the frame"),
        ((0, 0, 0, 20), "0,0,0,20 holds nothing"),
        ((0, 0, float("nan"), 20), "0,0,nan,20 holds nothing"),
    ],
)
def test_a_region_outside_or_of_no_size_is_refused(region, said) -> None:
    with pytest.raises(ValueError, match=said):
        part_of(region, SIZE)
