"""The floor plan to scale: what stands where, who looks where, what is lit, kept clear, plugged in.

`draw_plan` gives the drawing for any box of any page; pages with frame and legend are made in
`package`.
"""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from previz.deliver.paper.figure import (
    Array,
    Box,
    Circle,
    Figure,
    Pen,
    area,
    line,
)
from previz.deliver.plan import symbols
from previz.deliver.plan.drawing import SMALL_MM, Drawing, at
from previz.deliver.plan.fixtures import light_symbol
from previz.deliver.plan.told import of_opening, of_piece, of_wall
from previz.deliver.plan.view import centred, fitting_scale
from previz.geometry.walls import Wall
from previz.measure.setting_out.layout import (
    Layout,
    PlacedCamera,
    PlacedLight,
    PlacedOpening,
    PlacedPerson,
    PlacedPiece,
)
from previz.measure.setting_out.marks import Mark
from previz.stage.supports import SUPPORTS
from previz.telling.setting_out import opening_words, shown
from previz.telling.tape import Units, focal, glance, scale_words, slope, tape
from previz.units import m_to_mm

LABEL_ROOM_MM = 11.0
"""Room for labels round the walls, on each side."""
NAMED_M2 = 0.12
"""Furniture that takes less floor than this goes without its name."""
ON_FLOOR_M = 0.3
SOFT_RAD = 0.8
"""Of a beam as wide as this only the beginning of its edges is drawn."""
STUB_M = 0.45


def draw_plan(
    layout: Layout,
    page_mm: tuple[float, float],
    units: Units = "metres",
    *,
    box: Box | None = None,
    scale: int | None = None,
) -> Figure:
    """The plan as a figure of a page's size, drawn in `box` (else on all of it).

    At the largest usual scale that fits unless one is given. ScaleError when none does.
    """
    box = box or Box(0.0, 0.0, *page_mm)
    chosen = plan_scale(layout, box, units, scale)
    drawing = Drawing(centred(layout.extent_m, box, chosen), box)
    plan = _Plan(layout, drawing, units)
    plan.ground()
    plan.things()
    plan.lines()
    plan.gear()
    drawing.label()
    title = f"{layout.title}: floor plan, {scale_words(chosen, units)}"
    described = (
        f"Floor plan to scale {scale_words(chosen, units)}, plan north up, with "
        f"{len(layout.cameras)} cameras, {len(layout.lights)} lights and {len(layout.people)} "
        "people. Positions in metres stand in the data of each group."
    )
    return drawing.figure(page_mm, title, described)


def plan_scale(layout: Layout, box: Box, units: Units, scale: int | None) -> int:
    """The scale at which a plan is drawn in a box. ScaleError when none does, or not the given."""
    wide, deep = (float(side) for side in np.ptp(layout.extent_m, axis=0))
    room_mm = (box.width - 2.0 * LABEL_ROOM_MM, box.height - 2.0 * LABEL_ROOM_MM)
    return fitting_scale((wide, deep), room_mm, units, scale)


class _Plan:
    """Draws a layout, from the floor up."""

    def __init__(self, layout: Layout, drawing: Drawing, units: Units) -> None:
        self.layout, self.drawing, self.units = layout, drawing, units
        self.view = drawing.view

    def ground(self) -> None:
        """Floor, walls, openings, marks, zones."""
        layout, view = self.layout, self.view
        walk = [view.points(ring) for ring in layout.zones.walk]
        self.drawing.add("walk", "walk", [symbols.tinted(walk)] if walk else [])
        for name, zone in layout.zones.clear.items():
            self._clear(name, zone)
        if len(layout.floor_m):
            outline = area(view.points(layout.floor_m), symbols.MEDIUM)
            high = {"height-m": f"{layout.height_m:.4f}"}
            self.drawing.add("floor", "floor", [outline], high, ink=3.0)
        self._walls()
        for opening in layout.openings:
            self._opening(opening)
        used = {tape.reference for row in layout.rows for tape in row.tapes}
        for mark in layout.marks:
            if mark.name in used:
                self._mark(mark)

    def things(self) -> None:
        """Furniture, seats, bodies, whoever holds a camera among them."""
        for piece in self.layout.pieces:
            self._piece(piece)
        for person in self.layout.people:
            if len(person.outline_m):
                body = area(self.view.points(person.outline_m), symbols.THIN, 0.88)
                self.drawing.add(f"{person.name}.body", "body", [body], ink=1.0)
        for camera in self.layout.cameras:
            if len(camera.operator_m):
                body = area(self.view.points(camera.operator_m), symbols.THIN, 0.88)
                name = f"cameras.{camera.name}.operator.body"
                self.drawing.add(name, "body", [body], ink=1.0)

    def lines(self) -> None:
        """Cables, angles of view, beams, the line, eyelines, hot zones."""
        layout, view = self.layout, self.view
        for run in layout.cables:
            path = line(*view.points(run.path_m), pen=symbols.CABLE)
            self.drawing.add(
                f"cables.{run.light}", "cable", [path], {"length-m": f"{run.length_m:.3f}"}, ink=0.5
            )
        for camera in layout.cameras:
            self._sight(camera)
        for light in layout.lights:
            self._beam(light)
        if layout.line_m is not None:
            ends = view.points(layout.line_m)
            self.drawing.add("line", "line", [line(*ends, pen=symbols.LINE)], ink=0.8)
            toward = ends[1] - ends[0]
            self.drawing.wish(
                "line", ends[1], [("the line", "italic")], size_mm=SMALL_MM, clear_mm=0.6,
                toward_mm=toward / np.hypot(*toward), must=False,
            )  # fmt: skip
        for zone in layout.zones.hot:
            x, y = view.point(zone.at_m)
            radius = view.length(zone.radius_m)
            ring = Circle((x, y), radius, symbols.HOT)
            self.drawing.add(
                f"hot.{zone.light}", "hot", [ring], {"radius-m": f"{zone.radius_m:.3f}"}, ink=0.6
            )

    def gear(self) -> None:
        """Stands, lights, the boom, people's heads, cameras, sockets: what labels keep off."""
        for light in self.layout.lights:
            self._light(light)
        if self.layout.boom_m is not None:
            self._boom(*self.layout.boom_m)
        for person in self.layout.people:
            self._person(person)
        for camera in self.layout.cameras:
            self._camera(camera)
        for name, at_m in self.layout.sockets.items():
            self._socket(name, at_m)

    def _walls(self) -> None:
        for placed in self.layout.walls:
            wall = placed.wall
            outline = area(self.view.points(wall.outline_m), symbols.THIN, symbols.WALL)
            self.drawing.add(
                f"walls.{wall.number}", "wall", [outline], of_wall(placed.name, wall), ink=3.0
            )
            self.drawing.ink.fill(self.view.points(wall.outline_m), 3.0)
            middle = wall.left_m + self._bare_m(wall) * wall.along
            self.drawing.wish(
                f"walls.{wall.number}", self.view.points(middle - wall.thickness_m * wall.inward),
                [(shown(placed.name), "regular"), (tape(wall.length_m, self.units), "regular")],
                size_mm=SMALL_MM, clear_mm=0.8, toward_mm=4.0 * self._out(wall.inward), grey=0.2,
            )  # fmt: skip

    def _bare_m(self, wall: Wall) -> float:
        """Middle of a wall's longest stretch without openings, from its left end."""
        own = [o.opening for o in self.layout.openings if o.wall is wall]
        holes = sorted((o.along_m, o.along_m + o.width_m) for o in own)
        starts = [0.0, *(end for _, end in holes)]
        ends = [*(start for start, _ in holes), wall.length_m]
        start, end = max(zip(starts, ends, strict=True), key=lambda span: span[1] - span[0])
        return (start + end) / 2.0

    def _inward(self, at_m: Array) -> Array:
        """Into the room from the wall that a point is nearest to; north in a scan."""
        walls = [placed.wall for placed in self.layout.walls]
        away = [abs(float((at_m[:2] - wall.left_m) @ wall.inward)) for wall in walls]
        return walls[int(np.argmin(away))].inward if walls else np.array([0.0, 1.0])

    def _out(self, inward: Array) -> Array:
        """On paper, out of the room."""
        return np.asarray(-inward * (1.0, -1.0))

    def _clear(self, name: str, zone_m: Array) -> None:
        ring = self.view.points(zone_m)
        self.drawing.add(f"clear.{name}", "clear", symbols.hatched(ring), ink=0.5)
        self.drawing.wish(
            f"clear.{name}", ring.mean(axis=0), [("keep clear", "italic")], size_mm=SMALL_MM,
            clear_mm=0.0, must=False,
        )  # fmt: skip

    def _opening(self, placed: PlacedOpening) -> None:
        hole, opening = self.view.points(placed.hole_m), placed.opening
        items = [area(hole, symbols.THIN, 1.0)]
        if opening.kind == "window":
            for share in (0.42, 0.58):
                glass = hole[:2] + share * (hole[[3, 2]] - hole[:2])
                items.append(line(*glass, pen=symbols.THIN))
            if opening.gel_nd > 0.0 or opening.gels:
                film = hole[:2] + 0.25 * (hole[[3, 2]] - hole[:2])
                items.append(line(*film, pen=symbols.HEAVY))
        if placed.leaf_m is not None and placed.swing_m is not None:
            items.append(line(*self.view.points(placed.leaf_m), pen=symbols.HEAVY))
            items.append(line(*self.view.points(placed.swing_m), pen=symbols.THIN))
        self.drawing.add(
            f"openings.{placed.name}", opening.kind, items, of_opening(placed), ink=2.0
        )
        outer = self.view.points(placed.hole_m[2:].mean(axis=0))
        self.drawing.wish(
            f"openings.{placed.name}", outer,
            [(shown(placed.name), "semibold"), (opening_words(placed), "regular")],
            clear_mm=0.8, toward_mm=4.0 * self._out(placed.wall.inward),
        )  # fmt: skip

    def _mark(self, mark: Mark) -> None:
        x, y = self.view.points(mark.at_m)
        cross = [
            line((x - 1.3, y - 1.3), (x + 1.3, y + 1.3), pen=symbols.HEAVY),
            line((x - 1.3, y + 1.3), (x + 1.3, y - 1.3), pen=symbols.HEAVY),
        ]
        data = {"name": mark.name, **at(mark.at_m)}
        self.drawing.add(mark.name.replace(" ", "."), "mark", cross, data, symbol=True, ink=1.0)
        self.drawing.wish(mark.name, (x, y), [(mark.name, "semibold")], size_mm=SMALL_MM)

    def _piece(self, piece: PlacedPiece) -> None:
        if not len(piece.outline_m):
            return
        outline = self.view.points(piece.outline_m)
        seat = piece.kind == "seat"
        shape = area(outline, symbols.MEDIUM if seat else symbols.FINE, 1.0 if seat else 0.97)
        data = of_piece(self.layout.stage.pieces[piece.name])
        self.drawing.add(piece.name, piece.kind, [shape], data, ink=0.4)
        named = Polygon(piece.outline_m).area >= NAMED_M2 and piece.low_m < ON_FLOOR_M
        if named and not seat:
            words = shown(piece.name.partition(".")[2])
            self.drawing.wish(
                piece.name, outline.mean(axis=0), [(words, "italic")], size_mm=SMALL_MM,
                clear_mm=0.0, must=False, grey=0.25,
            )  # fmt: skip

    def _sight(self, placed: PlacedCamera) -> None:
        camera, view = placed.camera, self.view
        here, edges = camera.position_m[:2], placed.edges_m
        items = [line(*view.points([here, edge]), pen=symbols.SIGHT) for edge in edges]
        focus = self._focus_line(placed)
        if focus is not None:
            items.append(line(*view.points([here, focus.mean(axis=0)]), pen=symbols.AXIS))
            items += [line(*view.points(part), pen=symbols.FOCUS) for part in self._indoors(focus)]
        self.drawing.add(f"cameras.{placed.name}.view", "view", items, ink=0.7)

    def _focus_line(self, placed: PlacedCamera) -> Array | None:
        """Ends of the plane of focus within the angle of view, (2, 2); None straight down."""
        camera = placed.camera
        here, ahead = camera.position_m[:2], camera.forward[:2]
        length = float(np.hypot(*ahead))
        if length < 1e-6:
            return None
        rays = placed.edges_m - here
        shares = camera.focus_distance_m * length / np.maximum(rays @ (ahead / length), 1e-9)
        return np.asarray(here + shares[:, None] * rays)

    def _indoors(self, ends_m: Array) -> list[Array]:
        """The parts (n, 2) of a line that lie in the room; all of it in a scan."""
        if not len(self.layout.floor_m):
            return [ends_m]
        parts = shapely.get_parts(LineString(ends_m).intersection(Polygon(self.layout.floor_m)))
        return [np.asarray(part.coords, float) for part in parts if part.length > 0.0]

    def _beam(self, placed: PlacedLight) -> None:
        light, view = placed.light, self.view
        toward = (light.aim_m - light.position_m)[:2]
        reach_m = float(np.hypot(*toward))
        if reach_m < 1e-6:
            return
        items = list(
            symbols.arrow(
                view.points(light.position_m), view.points(light.position_m[:2] + 0.92 * toward),
                symbols.AIM,
            )
        )  # fmt: skip
        if placed.beam is not None:
            long_m = STUB_M if placed.beam.half_rad >= SOFT_RAD else reach_m
            for edge in placed.beam.edges[:, :2]:
                end = light.position_m[:2] + long_m * edge / max(float(np.hypot(*edge)), 1e-9)
                items.append(line(*view.points([light.position_m[:2], end]), pen=symbols.BEAM))
        self.drawing.add(f"lights.{placed.name}.beam", "beam", items, ink=0.5)

    def _light(self, placed: PlacedLight) -> None:
        here = self.view.points(placed.light.position_m)
        if placed.column_m is not None:
            column = self.view.points(placed.column_m)
            legs = [area(self.view.points(placed.legs_m), symbols.LEGS)]
            arm = line(column, here, pen=symbols.LEGS)
            self.drawing.add(f"lights.{placed.name}.legs", "legs", [*legs, arm], ink=0.4)
            self.drawing.add(
                f"lights.{placed.name}.stand", "stand", symbols.stand(column), at(placed.column_m),
                symbol=True,
            )  # fmt: skip
        items = light_symbol(placed, here, m_to_mm(1.0) / self.view.scale)
        self.drawing.add(
            f"lights.{placed.name}", "light", items, at(placed.light.position_m), symbol=True,
            ink=2.0,
        )  # fmt: skip
        row = placed.row
        height = "" if row.height_m is None else f"{glance(row.height_m, self.units)} high"
        turn = "" if row.tilt_rad is None or row.pan_rad is None else slope(row.tilt_rad)
        words = ", ".join(word for word in (height, turn) if word)
        self.drawing.wish(
            f"lights.{placed.name}", here, [(shown(placed.name), "semibold"), (words, "regular")],
            clear_mm=2.8,
        )  # fmt: skip

    def _boom(self, legs_m: Array, microphone_m: Array) -> None:
        row = next(row for row in self.layout.rows if row.name == "sound.boom.stand")
        column, tip = self.view.points(row.at_m), self.view.points(microphone_m)
        pole = line(column, tip, pen=Pen(0.35))
        self.drawing.add(
            "sound.boom.legs", "legs", [area(self.view.points(legs_m), symbols.LEGS), pole], ink=0.6
        )
        self.drawing.add(
            "sound.boom.stand", "stand", symbols.stand(column), at(row.at_m), symbol=True
        )
        self.drawing.wish(
            "sound.boom", column, [("boom", "semibold")], size_mm=SMALL_MM, clear_mm=1.2
        )

    def _person(self, placed: PlacedPerson) -> None:
        eyes = placed.person.landmarks["eyes"]
        here = self.view.points(eyes)
        face = placed.person.face_forward[:2] * (1.0, -1.0)
        if placed.looks_at_m is not None:
            there = self.view.points(placed.looks_at_m)
            along = (there - here) / max(float(np.hypot(*(there - here))), 1e-9)
            look = symbols.arrow(here + 2.6 * along, there - 3.0 * along, symbols.EYES)
            self.drawing.add(f"people.{placed.name}.eyeline", "eyeline", look, ink=0.7)
        self.drawing.add(
            f"people.{placed.name}", "person", symbols.person(here, face), at(eyes), symbol=True,
            ink=2.0,
        )  # fmt: skip
        words = f"eyes {glance(float(eyes[2]), self.units)}"
        self.drawing.wish(
            f"people.{placed.name}", here, [(shown(placed.name), "semibold"), (words, "regular")],
            clear_mm=2.6,
        )  # fmt: skip

    def _camera(self, placed: PlacedCamera) -> None:
        camera, row, units = placed.camera, placed.row, self.units
        here = self.view.points(camera.position_m)
        ahead = camera.forward[:2] * (1.0, -1.0)
        if len(placed.legs_m):
            legs = area(self.view.points(placed.legs_m), symbols.LEGS)
            self.drawing.add(f"cameras.{placed.name}.legs", "legs", [legs], ink=0.4)
        if len(placed.operator_m):
            middle_m = placed.operator_m.mean(axis=0)
            head = symbols.person(self.view.points(middle_m), ahead)
            name = f"cameras.{placed.name}.operator"
            self.drawing.add(name, "operator", head, at(middle_m), symbol=True, ink=2.0)
        data = {
            **at(camera.position_m),
            "pan-deg": f"{np.degrees(row.pan_rad or 0.0):.3f}",
            "angle-deg": f"{np.degrees(camera.horizontal_angle_rad):.3f}",
        }
        self.drawing.add(
            f"cameras.{placed.name}", "camera", symbols.camera(here, ahead), data, symbol=True,
            ink=2.0,
        )  # fmt: skip
        assert row.setting is not None and row.tilt_rad is not None and row.height_m is not None
        lens = f"{focal(row.setting.focal_length_mm)}, {glance(row.height_m, units)} high"
        aim = f"{slope(row.tilt_rad)}, focus {glance(row.setting.focus_distance_m, units)}"
        support = SUPPORTS[row.setting.support]
        if support.held:
            lens += f", {support.words}"
        self.drawing.wish(
            f"cameras.{placed.name}", here,
            [(shown(placed.name), "bold"), (lens, "regular"), (aim, "regular")],
            clear_mm=3.0, toward_mm=-2.0 * ahead / max(float(np.hypot(*ahead)), 1e-9),
        )  # fmt: skip

    def _socket(self, name: str, at_m: Array) -> None:
        here = self.view.points(at_m)
        items = symbols.socket(here, self._inward(at_m) * (1.0, -1.0))
        self.drawing.add(f"sockets.{name}", "socket", items, at(at_m), symbol=True, ink=1.0)
        self.drawing.wish(
            f"sockets.{name}", here, [(shown(name), "regular")], size_mm=SMALL_MM,
            clear_mm=2.4,
        )  # fmt: skip
