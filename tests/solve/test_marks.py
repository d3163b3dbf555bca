"""What was pointed at, as typed and as a file has it; one clear line for a slip."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from previz.solve.marks import (
    Height,
    Marks,
    Spot,
    ends_typed,
    height_typed,
    marks_of,
    point_typed,
    spots_typed,
)


def test_as_typed() -> None:
    assert point_typed("window.top_left=120, 80.5") == ("window.top_left", Spot(120.0, 80.5))
    assert point_typed("eye_left=63.4%,47%") == ("eye_left", Spot(63.4, 47.0, in_pct=True))
    assert ends_typed("1,2:3,4") == (Spot(1, 2), Spot(3, 4))
    assert height_typed("1.75:10,20:12,400") == Height(1.75, (Spot(10, 20), Spot(12, 400)))
    np.testing.assert_allclose(Spot(50, 25, in_pct=True).px((1920, 1080)), [960.0, 270.0])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("eye_left", "write NAME=X,Y"),
        ("eye_left=12", "write X,Y in pixels"),
        ("eye_left=12%,40", "write X,Y in pixels"),
        ("=1,2", "is no point"),
    ],
)
def test_a_point_mistyped(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said) as caught:
        point_typed(text)
    assert "\n" not in str(caught.value)


def test_places_and_heights_mistyped() -> None:
    with pytest.raises(ValueError, match="has 3 places, and 2 or 4 are wanted"):
        spots_typed("1,2:3,4:5,6", (2, 4))
    for text in ("x:1,2:3,4", "-1:1,2:3,4", "1000:1,2:3,4"):
        with pytest.raises(ValueError, match=r"metres|height"):
            height_typed(text)


def test_as_a_file_has_them() -> None:
    marks = marks_of(
        {
            "units": "pct",
            "points": {"chin": [40, 50]},
            "verticals": [[[1, 2], [1, 90]]],
            "heights": [{"length_m": 1.0, "ends": [[1, 2], [3, 4]]}],
            "card": [[1, 1], [2, 1], [2, 2], [1, 2]],
            "card_pct": 90,
        }
    )
    assert marks.points == {"chin": Spot(40, 50, in_pct=True)} and marks.card_pct == 90.0
    assert len(marks.verticals) == len(marks.heights) == 1 and len(marks.card) == 4
    more = marks.and_also(Marks(points={"chin": Spot(7, 8)}))
    assert more.points["chin"] == Spot(7, 8) and more.card_pct == 90.0


@pytest.mark.parametrize(
    ("tree", "said"),
    [
        ([1], "holds no group of keys"),
        ({"point": {}}, "knows no key point"),
        ({"units": "mm"}, "px or pct is wanted"),
        ({"points": [1]}, "wants names"),
        ({"points": {"chin": "1,2"}}, "points.chin: found '1,2'"),
        ({"points": {"chin": [1, "x"]}}, "a number is wanted"),
        ({"points": {"chin": [1, float("inf")]}}, "a finite number"),
        ({"verticals": [[1, 2]]}, "verticals"),
        ({"heights": [[1, 2]]}, "length_m and ends"),
        ({"card": [[1, 2]]}, "two corners of a box"),
        ({"levels": 5}, "levels"),
        ({"card": 5}, "two corners of a box"),
    ],
)
def test_a_file_that_is_wrong(tree: Any, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        marks_of(tree)
