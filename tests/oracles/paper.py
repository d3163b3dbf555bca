"""A reader of a plan on paper: it has the SVG and the table, and knows nothing of the product.

Positions are found as a crew finds them: from two walls at right angles, or from two marks.
"""

from __future__ import annotations

import csv
import math
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from pathlib import Path

import numpy as np

SVG = "{http://www.w3.org/2000/svg}"
Point = np.ndarray


class PaperPlan:
    """Walls, marks and drawn points of a plan's SVG, all in metres."""

    def __init__(self, svg: str) -> None:
        root = ET.fromstring(svg)
        self.scale = int(root.attrib["data-scale"])
        self.origin_mm = np.array([float(root.attrib[f"data-origin-{a}-mm"]) for a in "xy"])
        self.groups = {g.get("id"): g for g in root.iter(f"{SVG}g") if g.get("id")}
        walls = self._kind("wall")
        self.walls = {w.get("data-name"): (_ends(w, "left"), _ends(w, "right")) for w in walls}
        self.marks = {m.get("data-name"): _place(m)[:2] for m in self._kind("mark")}
        corners = np.array([end for ends in self.walls.values() for end in ends])
        self.middle = corners.mean(axis=0) if len(corners) else None

    def of_kind(self, kind: str) -> dict[str, Point]:
        """Places that the data of groups of a kind say, by name."""
        return {str(g.get("id")): _place(g) for g in self._kind(kind)}

    def _kind(self, kind: str) -> list[ET.Element]:
        return [g for g in self.groups.values() if g.get("data-kind") == kind]

    def drawn_m(self, name: str) -> Point:
        """Where the last circle of a group, the point that is set out, is drawn."""
        circle = list(self.groups[name].iter(f"{SVG}circle"))[-1]
        return self.on_set(np.array([float(circle.attrib["cx"]), float(circle.attrib["cy"])]))

    def outline_m(self, name: str) -> np.ndarray:
        """Corners (n, 2) of a group's first path."""
        path = next(self.groups[name].iter(f"{SVG}path")).attrib["d"]
        points = path.replace("M", " ").replace("Z", " ").split()
        return np.array([self.on_set(np.array([float(v) for v in p.split(",")])) for p in points])

    def on_set(self, at_mm: Point) -> Point:
        """A point of the paper on the set."""
        return (at_mm - self.origin_mm) * self.scale / 1000.0 * (1, -1)

    def found(self, row: Mapping[str, str]) -> Point:
        """The point (2,) that the two tapes of a row of the table lead to."""
        names = row["from_1"], row["from_2"]
        reach = float(row["distance_1_m"]), float(row["distance_2_m"])
        if names[0] in self.walls:
            return self._from_walls(names, reach)
        return self._from_marks(names, reach)

    def _from_walls(self, names: tuple[str, str], reach: tuple[float, float]) -> Point:
        inward, offset = [], []
        for name, distance in zip(names, reach, strict=True):
            left, right = self.walls[name]
            along = (right - left) / math.dist(left, right)
            # Seen from inside, the room is before a wall: turned left from left end to right end
            # would lead out of it.
            normal = np.array([along[1], -along[0]])
            inward.append(normal)
            offset.append(normal @ left + distance)
        return np.linalg.solve(np.array(inward), np.array(offset))

    def _from_marks(self, names: tuple[str, str], reach: tuple[float, float]) -> Point:
        """Where two tapes meet, on the side of the room; north of the marks of a scan."""
        one, other = (self.marks[name] for name in names)
        apart = math.dist(one, other)
        along = (other - one) / apart
        x = (reach[0] ** 2 - reach[1] ** 2 + apart**2) / (2.0 * apart)
        y = math.sqrt(max(reach[0] ** 2 - x**2, 0.0))
        aside = np.array([-along[1], along[0]])
        inside = aside @ self._room_side(one, other) > 0.0
        return one + x * along + (y if inside else -y) * aside

    def _room_side(self, one: Point, other: Point) -> Point:
        for left, right in self.walls.values():
            ends = {tuple(np.round(p, 3)) for p in (left, right)}
            if ends == {tuple(np.round(p, 3)) for p in (one, other)}:
                along = right - left
                return np.array([along[1], -along[0]])
        return np.array([0.0, 1.0])


def table(path: Path) -> dict[str, dict[str, str]]:
    """Rows of the table file by name."""
    with path.open(encoding="utf-8", newline="") as file:
        return {row["name"]: row for row in csv.DictReader(file)}


def aim_from(at_m: Point, pan_deg: float, tilt_deg: float, far_m: float = 5.0) -> list[float]:
    """A point that is looked at from a place with this bearing and tilt."""
    pan, tilt = math.radians(pan_deg), math.radians(tilt_deg)
    level = math.cos(tilt)
    ahead = np.array([level * math.sin(pan), level * math.cos(pan), math.sin(tilt)])
    return [float(v) for v in np.asarray(at_m, float) + far_m * ahead]


def _place(group: ET.Element) -> Point:
    return np.array([float(v) for a in "xyz" if (v := group.get(f"data-{a}-m")) is not None])


def _ends(group: ET.Element, side: str) -> Point:
    return np.array([float(group.attrib[f"data-{side}-{a}-m"]) for a in "xy"])
