"""Random scenes for tests: rectangles and L-shapes, with people, cameras, lights and furniture."""

from __future__ import annotations

from typing import Any

import numpy as np
import yaml
from shapely.geometry import Point, Polygon

FIXTURES = ("softbox_90", "panel_60x40", "fresnel_150", "lantern_60", "tube_120",
            "bounce_board_120", "fresnel_tungsten_300", "strip_30x120")  # fmt: skip
PIECES = ("shelves", "plant_tall", "table", "sofa", "cabinet", "radiator", "carton")


def random_scene(seed: int) -> str:
    """A scene as YAML: whatever stands in it may be badly placed, but is within the room."""
    rng = np.random.default_rng(seed)
    wide, deep = rng.uniform(3.2, 9.0), rng.uniform(4.0, 11.0)
    corners = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)]
    ell = rng.random() < 0.5
    if ell:
        x, y = wide * rng.uniform(0.45, 0.7), deep * rng.uniform(0.4, 0.7)
        corners = [(0.0, 0.0), (wide, 0.0), (wide, y), (x, y), (x, deep), (0.0, deep)]
    if rng.random() < 0.5:
        corners = [(a + 0.15 * b, b) for a, b in corners]  # oblique walls
    floor = Polygon(corners)

    def spot(margin: float) -> list[float]:
        left, low, right, high = floor.bounds
        inner = floor.buffer(-margin)
        while True:
            at = rng.uniform((left, low), (right, high))
            if inner.contains(Point(at)):
                return [round(float(v), 3) for v in at]

    people: dict[str, Any] = {}
    for name in ("guest", "interviewer", "friend")[: rng.integers(1, 4)]:
        at = spot(0.6)
        while any(np.hypot(*np.subtract(at, p["at_m"])) < 0.8 for p in people.values()):
            at = spot(0.6)
        people[name] = {"at_m": at, "seat": "stool", "turn_deg": float(rng.integers(-180, 180))}
    if "interviewer" in people:
        people["guest"]["gaze"] = "interviewer"
    cameras = {
        name: {
            "sensor": "super35_3perf", "lens": "zoom_24_70_f2.8",
            "focal_length_mm": float(rng.integers(24, 71)), "f_number": 4.0,
            "place": {"at_m": spot(0.5), "height_m": round(float(rng.uniform(0.8, 1.8)), 3)},
            "aim": str(rng.choice(list(people))),
        }
        for name in "ABCD"[: rng.integers(1, 5)]
    }  # fmt: skip
    lights = {
        f"light_{n}": {
            "fixture": str(rng.choice(FIXTURES)), "aim": "guest",
            "place": {"at_m": spot(0.6), "height_m": round(float(rng.uniform(1.3, 2.2)), 3)},
        }
        for n in range(rng.integers(1, 8))
    }  # fmt: skip
    furniture: dict[str, Any] = {
        f"{piece}_{n}": {
            "piece": str(piece),
            "at_m": spot(1.1),
            "turn_deg": float(rng.integers(360)),
        }
        for n, piece in enumerate(rng.choice(PIECES, rng.integers(0, 7)))
    }
    if rng.random() < 0.7:
        furniture["socket"] = {"piece": "wall_socket", "wall": 1, "along_m": 0.6, "gap_m": 0.001}
    last = len(corners)
    openings = {
        "window": {"wall": last, "along_m": 0.8, "width_m": 1.4, "sill_m": 0.9, "height_m": 1.3,
                   "gel_nd": 0.6},
        "door": {"kind": "door", "wall": 1, "along_m": 1.2, "width_m": 0.9, "height_m": 2.0},
    }  # fmt: skip
    return yaml.safe_dump(
        {
            "previz": 1, "title": f"Random room {seed}",
            "room": {"floor_m": [[round(a, 3), round(b, 3)] for a, b in corners], "height_m": 2.9},
            "openings": openings, "people": people, "furniture": furniture, "cameras": cameras,
            "lights": lights,
        }
    )  # fmt: skip
