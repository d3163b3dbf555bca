"""What relighting did to which light."""

from __future__ import annotations

import numpy as np

from previz.telling.relight import recombined, relit_json, relit_lines

GAINS = {
    "key": np.full(3, 0.5),
    "fill": np.ones(3),
    "hair": np.zeros(3),
    "lamp": np.array([1.2, 1.0, 0.7]),
}


def test_only_what_changed_is_said() -> None:
    key, hair, lamp, window, moved = relit_lines(GAINS, ("window",), ("rim", "boom"))
    assert (key, hair) == ("key: -1.00 stops", "hair: off")
    assert lamp.startswith("lamp: ") and lamp.endswith(" stops, another colour")
    assert window == "window: rendered anew, it has moved, spreads otherwise or was off"
    assert moved == "the other lights still meet the stand and body of rim and boom where it was"


def test_json_has_every_gain_and_the_times() -> None:
    found = relit_json({"key": np.full(3, 1.0 / 3.0)}, (), ("rim",), 0.01234, 1.23456)
    assert found == {
        "gains": {"key": [0.333333] * 3},
        "rendered": [],
        "moved": ["rim"],
        "recombined_ms": 12.3,
        "seconds": 1.23,
    }
    assert recombined(0.01234) == "12 ms"
