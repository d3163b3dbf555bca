"""Two elevations to scale: the set looking north and looking east, with every height.

People and gear are seen as if nothing hid them, and what stands before everybody is left out; walls
are cut, and what is in them shows on the wall that is looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Point
from shapely.geometry.base import BaseGeometry

from previz.deliver.paper.figure import Array, Box, Circle, Figure, Path, Pen, Text, area, line
from previz.deliver.plan import symbols
from previz.deliver.plan.drawing import SMALL_MM, Drawing, at
from previz.deliver.plan.view import View, fitting_scale
from previz.geometry.piece import bounds
from previz.measure.gear.floor import outermost
from previz.measure.setting_out.layout import Layout, PlacedCamera, PlacedLight, PlacedOpening
from previz.stage.stage import StageCamera, StagePerson, Thing
from previz.telling.setting_out import opening_words, shown
from previz.telling.tape import Units, glance, scale_words, slope

LABEL_ROOM_MM = 7.0
HEADING_MM = 3.4
SHORTEST_MM = 2.0
"""An aim that is shorter on paper is not drawn."""
END_ON = 0.4
"""A lens whose axis goes less to the side than this is seen from before or behind."""
BEFORE_M = 1.2
"""Furniture that stands so much nearer than everybody is left out."""
FAR_M = 1000.0
SCAN_HEIGHT_M = 2.8
"""In a scan, whose ceiling is not known, an elevation is drawn so high at least."""
FACES_US = 0.7
"""Of a wall that is looked at: how squarely it faces the reader, as a cosine."""
LIMBS = (
    ("hip_left", "knee_left", 0.075), ("hip_right", "knee_right", 0.075),
    ("knee_left", "ankle_left", 0.055), ("knee_right", "ankle_right", 0.055),
    ("shoulder_left", "elbow_left", 0.045), ("shoulder_right", "elbow_right", 0.045),
    ("elbow_left", "wrist_left", 0.04), ("elbow_right", "wrist_right", 0.04),
    ("neck", "chin", 0.05),
)  # fmt: skip
"""Bones and half their thickness, metres, for a figure in outline: estimates."""


@dataclass(frozen=True)
class Looking:
    """A direction to look in: its word, and unit plan vectors ahead and to the right."""

    word: str
    ahead: tuple[float, float]
    right: tuple[float, float]

    def flat(self, points_m: Array) -> Array:
        """Points (n, 3) as seen: to the right, and up, (n, 2)."""
        points = np.atleast_2d(np.asarray(points_m, float))
        return np.stack([points[:, :2] @ self.right, points[:, 2]], axis=1)


NORTH = Looking("north", (0.0, 1.0), (1.0, 0.0))
EAST = Looking("east", (1.0, 0.0), (0.0, -1.0))


def draw_elevations(
    layout: Layout,
    page_mm: tuple[float, float],
    units: Units = "metres",
    *,
    box: Box | None = None,
    scale: int | None = None,
) -> Figure:
    """Both elevations, one over the other, at one scale. ScaleError when they do not fit."""
    box = box or Box(0.0, 0.0, *page_mm)
    half = Box(box.left, box.top, box.right, box.centre[1])
    other = Box(box.left, box.centre[1], box.right, box.bottom)
    chosen = elevation_scale(layout, box, units, scale)
    drawn = [
        _elevation(layout, looking, where, chosen, units)
        for looking, where in ((NORTH, half), (EAST, other))
    ]
    described = "Two elevations to scale, looking plan north and plan east, with heights."
    figures = [one.figure(page_mm, "", "") for one in drawn]
    views = zip(("north", "east"), drawn, strict=True)
    return Figure(
        *page_mm,
        title=f"{layout.title}: elevations, {scale_words(chosen, units)}",
        description=described,
        groups=tuple(group for figure in figures for group in figure.groups),
        data={
            f"{word}-{key}": value for word, one in views for key, value in one.view.data.items()
        },
        labels=tuple(label for figure in figures for label in figure.labels),
        symbols=tuple(symbol for figure in figures for symbol in figure.symbols),
    )


def elevation_scale(layout: Layout, box: Box, units: Units, scale: int | None) -> int:
    """The scale at which both are drawn in a box. ScaleError when none does, or not the given."""
    sizes = [np.ptp(_extent_m(layout, looking), axis=0) for looking in (NORTH, EAST)]
    wide, high = (float(value) for value in np.max(sizes, axis=0))
    room_mm = (box.width - 2.0 * LABEL_ROOM_MM, box.height / 2.0 - 3.0 * LABEL_ROOM_MM)
    return fitting_scale((wide, high), room_mm, units, scale)


def _extent_m(layout: Layout, looking: Looking) -> Array:
    """Lower left and upper right (2, 2) of what is drawn."""
    across = layout.extent_m
    corners = np.array([(x, y) for x in across[:, 0] for y in across[:, 1]]) @ looking.right
    tops = [row.height_m for row in layout.rows if row.height_m is not None]
    high = max(layout.height_m or SCAN_HEIGHT_M, *tops)
    return np.array([(corners.min(), 0.0), (corners.max(), high)])


def _elevation(layout: Layout, looking: Looking, box: Box, scale: int, units: Units) -> Drawing:
    extent = _extent_m(layout, looking)
    probe = View(scale, (0.0, 0.0))
    middle = probe.length(float(extent[:, 0].mean()))
    tall = probe.length(float(extent[1, 1]))
    base = box.centre[1] + tall / 2.0
    view = View(scale, (box.centre[0] - middle, base))
    drawing = Drawing(view, box)
    above = base - tall - 2.0 * HEADING_MM
    heading = Text((box.left, above), f"Looking {looking.word}", HEADING_MM, "semibold")
    drawing.add(f"{looking.word}.heading", "heading", [heading])
    drawing.symbols.append(Box(box.left, above - HEADING_MM, box.left + 30.0, above + 1.0))
    _Elevation(layout, looking, drawing, units).draw(extent)
    drawing.label()
    return drawing


class _Elevation:
    """Draws a layout as seen from one side."""

    def __init__(self, layout: Layout, looking: Looking, drawing: Drawing, units: Units) -> None:
        self.layout, self.looking, self.drawing, self.units = layout, looking, drawing, units
        self.view = drawing.view

    def draw(self, extent_m: Array) -> None:
        """From the far wall to the near gear."""
        self._shell(extent_m)
        for opening in self.layout.openings:
            if float(opening.wall.inward @ self.looking.ahead) < -FACES_US:
                self._opening(opening)
        for thing in self.layout.stage.things:
            if thing.kind == "furniture" and self._is_seen(thing):
                self._silhouette(thing)
        for person in self.layout.people:
            self._person(person.person)
        for light in self.layout.lights:
            self._light(light)
        for camera in self.layout.cameras:
            self._camera(camera)

    def _on_paper(self, points_m: Array) -> Array:
        return self.view.points(self.looking.flat(points_m))

    def _name(self, name: str) -> str:
        return f"{self.looking.word}.{name}"

    def _shell(self, extent_m: Array) -> None:
        """Floor, ceiling and the walls where they are farthest out."""
        (left, _), (right, high) = self.view.points(extent_m)
        ground = float(self.view.points((0.0, 0.0))[1])
        floor = line((left, ground), (right, ground), pen=symbols.HEAVY)
        self.drawing.add(self._name("floor"), "floor", [floor], ink=2.0)
        if self.layout.height_m is None:
            return
        inner = self.layout.floor_m @ np.asarray(self.looking.right)
        tall = self.layout.height_m
        corners = [(x, z) for x in (inner.min(), inner.max()) for z in (0.0, tall)]
        a, b, c, d = self.view.points(corners)
        room = area([a, b, d, c], symbols.MEDIUM)
        self.drawing.add(self._name("room"), "room", [room], {"height-m": f"{tall:.4f}"}, ink=2.0)
        words = f"ceiling {glance(tall, self.units)}"
        self.drawing.wish(
            self._name("ceiling"), (left + 0.5 * (right - left), high), [(words, "regular")],
            size_mm=SMALL_MM, clear_mm=0.5, toward_mm=(0.0, -6.0), must=False, grey=0.2,
        )  # fmt: skip

    def _opening(self, placed: PlacedOpening) -> None:
        opening = placed.opening
        low, high = opening.sill_m, opening.sill_m + opening.height_m
        ends = placed.hole_m[:2]
        corners = np.array([(*ends[i], z) for i, z in ((0, low), (1, low), (1, high), (0, high))])
        shape = self._on_paper(corners)
        film = opening.gel_nd > 0.0 or bool(opening.gels)
        items = symbols.hatched(shape, 2.2) if film else (area(shape, symbols.THIN),)
        self.drawing.add(self._name(f"openings.{placed.name}"), opening.kind, items, ink=0.3)
        sill = f"sill {glance(low, self.units)}, " if opening.kind == "window" else ""
        words = f"{sill}top {glance(high, self.units)}"
        name = shown(placed.name)
        self.drawing.wish(
            self._name(f"openings.{placed.name}"), shape.mean(axis=0),
            [(name, "semibold"), (opening_words(placed), "regular"), (words, "regular")],
            size_mm=SMALL_MM, clear_mm=0.0, must=False,
        )  # fmt: skip

    def _is_seen(self, thing: Thing) -> bool:
        """Whether a thing is not before everybody, where the reader stands."""
        ahead = np.asarray(self.looking.ahead)
        people = [float(p.person.place[:2, 3] @ ahead) for p in self.layout.people]
        far_m = float(bounds(thing.pieces).mean(axis=0)[:2] @ ahead)
        return not people or far_m > min(people) - BEFORE_M

    def _silhouette(self, thing: Thing) -> None:
        hulls = []
        for piece in thing.pieces:
            flat = self.looking.flat(np.asarray(piece.mesh.vertices))
            hulls.append(MultiPoint(outermost(flat)).convex_hull)
        self.drawing.add(
            self._name(thing.name),
            "furniture",
            self._shape(shapely.union_all(hulls), 0.96),
            ink=0.15,
        )

    def _shape(self, shape: BaseGeometry, fill: float, pen: Pen = symbols.FINE) -> list[Path]:
        found = []
        for part in shapely.get_parts(shape):
            if part.geom_type == "Polygon":
                rings = (part.exterior, *part.interiors)
                points = tuple(self.view.points(np.asarray(ring.coords)[:-1]) for ring in rings)
                found.append(Path(points, closed=True, pen=pen, fill=fill))
        return found

    def _person(self, person: StagePerson) -> None:
        """A figure in outline, by its landmarks."""
        flat = {k: self.looking.flat(p)[0] for k, p in person.landmarks.items()}
        trunk = ("shoulder_left", "shoulder_right", "hip_right", "hip_left")
        parts = [MultiPoint([flat[mark] for mark in trunk]).convex_hull.buffer(0.09)]
        parts += [LineString([flat[a], flat[b]]).buffer(half) for a, b, half in LIMBS]
        top, chin = flat["head_top"], flat["chin"]
        ears = (flat["ear_left"] + flat["ear_right"]) / 2.0
        middle = np.array([(ears[0] + flat["eyes"][0]) / 2.0, (top[1] + chin[1]) / 2.0])
        head = Point(0.0, 0.0).buffer(1.0)
        tall = float(top[1] - chin[1]) / 2.0
        parts.append(shapely.transform(head, lambda xy: xy * (0.78 * tall, tall) + middle))
        self.drawing.add(
            self._name(f"people.{person.name}.body"), "body",
            self._shape(shapely.union_all(parts), 0.86, symbols.THIN), ink=0.6,
        )  # fmt: skip
        eyes = self._on_paper(person.landmarks["eyes"])[0]
        mark = Circle((float(eyes[0]), float(eyes[1])), 0.5, symbols.THIN, 0.0)
        self.drawing.add(
            self._name(f"people.{person.name}"), "person", [mark],
            at(person.landmarks["eyes"]), symbol=True,
        )  # fmt: skip
        words = f"eyes {glance(float(person.landmarks['eyes'][2]), self.units)}"
        self.drawing.wish(
            self._name(f"people.{person.name}"), eyes,
            [(shown(person.name), "semibold"), (words, "regular")],
            clear_mm=3.0, toward_mm=(0.0, -3.0),
        )  # fmt: skip

    def _plumb(self, here: Array) -> Path:
        """From a lens or a lamp to the floor."""
        ground = float(self.view.points((0.0, 0.0))[1])
        return line(here, (float(here[0]), ground), pen=symbols.FINE)

    def _light(self, placed: PlacedLight) -> None:
        light = placed.light
        here, there = self._on_paper(np.array([light.position_m, light.aim_m]))
        aim = here + 0.92 * (there - here)
        drawn = placed.row.tilt_rad is not None and np.hypot(*(aim - here)) > SHORTEST_MM
        ray = symbols.arrow(here, aim, symbols.AIM) if drawn else ()
        self.drawing.add(
            self._name(f"lights.{placed.name}.beam"), "beam", [self._plumb(here), *ray], ink=0.4
        )
        head = Circle((float(here[0]), float(here[1])), 1.5, symbols.MEDIUM, 1.0)
        self.drawing.add(
            self._name(f"lights.{placed.name}"), "light", [head, symbols.dot(here)],
            at(light.position_m), symbol=True, ink=2.0,
        )  # fmt: skip
        row = placed.row
        turn = "" if row.tilt_rad is None or row.pan_rad is None else slope(row.tilt_rad)
        words = [glance(float(light.position_m[2]), self.units), turn]
        self.drawing.wish(
            self._name(f"lights.{placed.name}"), here,
            [(shown(placed.name), "semibold"), (", ".join(w for w in words if w), "regular")],
            clear_mm=2.0,
        )  # fmt: skip

    def _camera(self, placed: PlacedCamera) -> None:
        camera, row = placed.camera, placed.row
        end_on = abs(float(camera.forward[:2] @ self.looking.right)) < END_ON
        axis = self.looking.flat(np.array([camera.position_m, camera.position_m + camera.forward]))
        here, ahead = self.view.points(axis)
        sight = [] if end_on else self._sight(camera)
        self.drawing.add(
            self._name(f"cameras.{placed.name}.view"), "view", [self._plumb(here), *sight], ink=0.5
        )
        body = symbols.camera_end_on(here) if end_on else symbols.camera(here, ahead - here)
        self.drawing.add(
            self._name(f"cameras.{placed.name}"), "camera", body, at(camera.position_m),
            symbol=True, ink=2.0,
        )  # fmt: skip
        assert row.height_m is not None and row.tilt_rad is not None
        words = f"lens {glance(row.height_m, self.units)}, {slope(row.tilt_rad)}"
        self.drawing.wish(
            self._name(f"cameras.{placed.name}"), here,
            [(shown(placed.name), "bold"), (words, "regular")],
            clear_mm=3.0, toward_mm=(0.0, 2.0),
        )  # fmt: skip

    def _sight(self, camera: StageCamera) -> list[Path]:
        """Upper and lower edge of the picture, the axis, the plane of focus, as far as the room."""
        half = camera.sensor_height_m / 2.0 / camera.focal_length_m
        rays = np.array([(0.0, half, -1.0), (0.0, 0.0, -1.0), (0.0, -half, -1.0)])
        ends = camera.position_m + camera.focus_distance_m * rays @ camera.pose[:3, :3].T
        here, top, middle, bottom = self.looking.flat(np.vstack([camera.position_m, ends]))
        drawn = [
            (here, top, symbols.SIGHT), (here, middle, symbols.AXIS),
            (here, bottom, symbols.SIGHT), (top, bottom, symbols.FOCUS),
        ]  # fmt: skip
        tall = self.layout.height_m or SCAN_HEIGHT_M
        room = shapely.box(-FAR_M, 0.0, FAR_M, tall)
        parts = [(LineString([a, b]).intersection(room), pen) for a, b, pen in drawn]
        return [
            line(*self.view.points(np.asarray(part.coords)), pen=pen)
            for part, pen in parts
            if part.length > 0.0
        ]
