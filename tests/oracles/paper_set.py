"""A scene file written from paper alone: the plan's SVG, the setting-out table and the kit list.

Besides paper only the shipped catalogue is read, for the names of what the paper calls by label.
"""

from __future__ import annotations

import csv
import math
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import yaml

from oracles.paper import PaperPlan, aim_from, table

SHARED = Path(__file__).parents[2] / "shared"
TALLEST_WOMAN_CM = 186.0
Row = Mapping[str, str]
Entry = dict[str, Any]


def names_of(kind: str) -> dict[str, str]:
    """Names of the catalogue's records by their labels."""
    records = yaml.safe_load((SHARED / f"{kind}.yaml").read_text(encoding="utf-8"))
    found = {record["label"]: name for name, record in records.items()}
    assert len(found) == len(records)
    return found


class PaperSet:
    """What lies on the table of whoever sets up: drawing, table, kit list."""

    def __init__(self, plan: Path, setting_out: Path, kit: Path) -> None:
        self.plan = PaperPlan(plan.read_text(encoding="utf-8"))
        self.rows = table(setting_out)
        with kit.open(encoding="utf-8", newline="") as file:
            self.kit = {row["item"]: int(row["count"]) for row in csv.DictReader(file)}

    def lacking(self) -> Counter[str]:
        """What stands in the table and not, or not as often, in the kit list."""
        wanted: Counter[str] = Counter()
        for row in self.rows.values():
            if row["kind"] == "camera":
                items = (f"Camera: {row['item']}", row["lens"], row["adapter"])
                wanted.update(item for item in items if item)
            elif row["kind"] == "light":
                wanted[row["item"]] += 1
        return wanted - Counter(self.kit)

    def scene(self, statures_cm: Mapping[str, float]) -> str:
        """The scene file; how tall people are is for whoever seats them, by the eyes' height."""
        return yaml.safe_dump(
            {
                "previz": 1,
                "title": "From paper",
                "room": self._room(),
                "openings": dict(self._openings()),
                "people": {n: self._person(n, r, statures_cm) for n, r in self.rows_of("people")},
                "furniture": dict(self._furniture()),
                "cameras": {n: self._camera(r) for n, r in self.rows_of("cameras")},
                "lights": {n: self._light(r) for n, r in self.rows_of("lights")},
            }
        )

    def rows_of(self, room: str) -> Iterator[tuple[str, Row]]:
        """Rows of what stands there by name: `people`, `cameras`, `lights`."""
        for name, row in self.rows.items():
            if name.startswith(f"{room}.") and row["kind"] != "stand":
                yield name.partition(".")[2], row

    def _groups(self, prefix: str) -> Iterator[tuple[str, ET.Element]]:
        for name, group in self.plan.groups.items():
            if name.startswith(prefix):
                yield name.removeprefix(prefix), group

    def _room(self) -> Entry:
        walls = [group for _, group in sorted(self._groups("walls."), key=lambda w: int(w[0]))]
        ends = [(_point(wall, "left"), _point(wall, "right")) for wall in walls]
        # Wall 1 joins corners 1 and 2: which of its ends is which tells the wall after it.
        first = 1 if math.dist(ends[0][0], ends[1][1]) < 1e-6 else 0
        return {
            "floor_m": [list(pair[first]) for pair in ends],
            "height_m": _number(self.plan.groups["floor"], "height-m"),
            "wall_thickness_m": max(_number(wall, "thickness-m") for wall in walls),
        }

    def _openings(self) -> Iterator[tuple[str, Entry]]:
        for name, group in self._groups("openings."):
            sizes = {
                f"{k}_m": _number(group, f"{k}-m") for k in ("along", "width", "sill", "height")
            }
            yield (
                name,
                {
                    "kind": group.attrib["data-kind"],
                    "wall": int(group.attrib["data-wall"]),
                    "gel_nd": _number(group, "gel-nd"),
                    **sizes,
                },
            )

    def _furniture(self) -> Iterator[tuple[str, Entry]]:
        names = names_of("furniture")
        for name, group in self._groups("furniture."):
            x, y, z = (_number(group, f"{axis}-m") for axis in "xyz")
            yield (
                name,
                {
                    "piece": names[group.attrib["data-item"]],
                    "at_m": [x, y],
                    "base_m": z,
                    "turn_deg": _number(group, "turn-deg"),
                },
            )

    def _person(self, name: str, row: Row, statures_cm: Mapping[str, float]) -> Entry:
        tall = statures_cm[name]
        person: Entry = {
            "at_m": self._at(row),
            "turn_deg": _turn_deg(row),
            "stature_cm": tall,
            "sex": "male" if tall > TALLEST_WOMAN_CM else "female",
        }
        if row["item"]:
            person["seat"] = names_of("furniture")[row["item"]]
        if row["seat_with"]:
            person["seat_with"] = row["seat_with"]
        if row["on"]:
            person["gaze"] = row["on"]
        return person

    def _camera(self, row: Row) -> Entry:
        camera: Entry = {
            "sensor": names_of("sensors")[row["item"]],
            "mode": row["mode"],
            "lens": names_of("lenses")[row["lens"]],
            "place": self._place(row),
            "aim_m": self._aim(row),
            "aim_from_left_pct": 50,
            "aim_from_top_pct": 50,
            "support": row["stand"],
        }
        if row["adapter"]:
            camera["adapter"] = names_of("adapters")[row["adapter"]]
        if row["on"]:
            camera["focus"] = row["on"]
        else:
            camera["focus_distance_m"] = float(row["focus_distance_m"])
        keys = ("focal_length_mm", "f_number", "iso", "fps", "shutter_deg", "nd_density")
        return camera | {key: float(row[key]) for key in keys}

    def _light(self, row: Row) -> Entry:
        light: Entry = {
            "fixture": names_of("fixtures")[row["item"]],
            "place": self._place(row),
            "stand": row["stand"],
            "turn_deg": float(row["roll_deg"]),
        }
        if row["gels"]:
            light["gels"] = row["gels"].split()
        if row["tilt_deg"]:
            light["aim_m"] = self._aim(row)
        for key in ("dimmer_pct", "cct_k", "beam_deg", "grid_deg"):
            if row[key]:
                light[key] = float(row[key])
        sides = ("top", "bottom", "left", "right")
        if row["door_top_deg"]:
            light["barn_doors"] = {f"{s}_deg": float(row[f"door_{s}_deg"]) for s in sides}
        return light

    def _at(self, row: Row) -> list[float]:
        return [float(value) for value in self.plan.found(row)]

    def _place(self, row: Row) -> Entry:
        return {"at_m": self._at(row), "height_m": float(row["height_m"])}

    def _aim(self, row: Row) -> list[float]:
        here = np.array([*self._at(row), float(row["height_m"])])
        return aim_from(here, float(row["pan_deg"] or 0.0), float(row["tilt_deg"]), 2.0)


def _turn_deg(row: Row) -> float:
    """From a bearing clockwise from plan north to a turn from plan south towards the east."""
    return (180.0 - float(row["pan_deg"]) + 180.0) % 360.0 - 180.0


def _number(group: ET.Element, key: str) -> float:
    return float(group.attrib[f"data-{key}"])


def _point(group: ET.Element, side: str) -> tuple[float, float]:
    return _number(group, f"{side}-x-m"), _number(group, f"{side}-y-m")
