"""The legend of a plan: the symbols that are on it, drawn as they are, with their words."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from previz.deliver.paper.faces import width_of
from previz.deliver.paper.figure import (
    Array,
    Box,
    Circle,
    Group,
    Item,
    Pen,
    Text,
    area,
    line,
    rectangle,
)
from previz.deliver.plan import symbols
from previz.measure.setting_out.layout import Layout

SAMPLE_MM, ROW_MM, SIZE_MM, GAP_MM = 10.0, 5.4, 2.2, 5.0
AHEAD, HALF = np.array([1.0, 0.0]), np.array([4.0, 0.0])
Sample = Callable[[Array], tuple[Item, ...]]


def _stroke(pen: Pen) -> Sample:
    return lambda at: (line(at - HALF, at + HALF, pen=pen),)


def _patch(fill: float | None, *, hatched: bool = False) -> Sample:
    def draw(at: Array) -> tuple[Item, ...]:
        box = np.array([(-3.5, -1.5), (3.5, -1.5), (3.5, 1.5), (-3.5, 1.5)]) + at
        return symbols.hatched(box) if hatched else (area(box, symbols.FINE, fill),)

    return draw


def _window(at: Array) -> tuple[Item, ...]:
    box = Box(at[0] - 4.0, at[1] - 1.3, at[0] + 4.0, at[1] + 1.3)
    lines = [(0.1, symbols.THIN), (-0.4, symbols.THIN), (0.7, symbols.HEAVY)]
    return rectangle(box, symbols.THIN, 1.0), *(
        line((box.left, at[1] + y), (box.right, at[1] + y), pen=pen) for y, pen in lines
    )


def entries(layout: Layout) -> list[tuple[str, Sample]]:
    """Words and samples of what this plan holds."""
    forms = {light.light.fixture.form for light in layout.lights}
    boards = forms & {"bounce_board", "diffusion_frame"}
    gelled = any(o.opening.gel_nd > 0.0 or o.opening.gels for o in layout.openings)
    stands = any(row.kind == "stand" for row in layout.rows)
    somebody = bool(layout.people) or any(len(camera.operator_m) for camera in layout.cameras)
    looks = any(person.looks_at_m is not None for person in layout.people)
    shown: list[tuple[bool, str, Sample]] = [
        (True, "camera; its lens is the dot", lambda at: symbols.camera(at + 0.65 * HALF, AHEAD)),
        (True, "angle of view", _stroke(symbols.SIGHT)),
        (True, "lens axis", _stroke(symbols.AXIS)),
        (True, "plane of focus", _stroke(symbols.FOCUS)),
        ("softbox" in forms, "soft light", lambda at: symbols.soft(at, AHEAD, 4.4)),
        (
            bool(forms & {"panel", "tube"}),
            "panel or tube",
            lambda at: symbols.panel(at, AHEAD, 4.0),
        ),
        ("fresnel" in forms, "lensed light", lambda at: symbols.lensed(at, AHEAD)),
        ("lantern" in forms, "lantern", lambda at: symbols.globe(at, 2.6)),
        ("practical" in forms, "lamp of the room", symbols.room_lamp),
        (
            bool(boards),
            "board or frame",
            lambda at: symbols.board(at, AHEAD, 4.2, black=False),
        ),
        ("flag" in forms, "flag", lambda at: symbols.board(at, AHEAD, 4.2, black=True)),
        (bool(layout.lights), "aim of a light", _aim),
        (
            any(light.beam for light in layout.lights),
            "beam’s edge (half)",
            _stroke(symbols.BEAM),
        ),
        (stands, "stand’s column", symbols.stand),
        (somebody, "person", lambda at: symbols.person(at, AHEAD)),
        (looks, "eyeline", _stroke(symbols.EYES)),
        (layout.line_m is not None, "the line", _stroke(symbols.LINE)),
        (gelled, "window with gel", _window),
        (bool(layout.sockets), "wall socket", lambda at: symbols.socket(at - 0.25 * HALF, AHEAD)),
        (bool(layout.cables), "cable run", _stroke(symbols.CABLE)),
        (bool(layout.zones.clear), "keep clear", _patch(None, hatched=True)),
        (bool(layout.zones.hot), "hot: stand off", _hot),
        (bool(layout.zones.walk), "room to walk", _patch(symbols.WALK)),
    ]
    return [(words, sample) for there, words, sample in shown if there]


def _aim(at: Array) -> tuple[Item, ...]:
    return symbols.arrow(at - HALF, at + HALF, symbols.AIM)


def _hot(at: Array) -> tuple[Item, ...]:
    return (Circle((float(at[0]), float(at[1])), 2.0, symbols.HOT),)


def legend_rows(layout: Layout, width_mm: float) -> int:
    """How many rows a legend takes in a width."""
    return -(-len(entries(layout)) // _across(layout, width_mm))


def legend_height_mm(layout: Layout, width_mm: float) -> float:
    """How high a legend is in a width."""
    return ROW_MM * legend_rows(layout, width_mm) + 3.0


def draw_legend(layout: Layout, box: Box) -> Group:
    """The legend at the foot of a box, in columns."""
    across = _across(layout, box.width)
    rows = legend_rows(layout, box.width)
    pitch = box.width / across
    items: list[Item] = []
    for number, (words, sample) in enumerate(entries(layout)):
        column, row = divmod(number, rows)
        at = np.array([box.left + column * pitch + SAMPLE_MM / 2.0, box.top + (row + 0.7) * ROW_MM])
        items += sample(at)
        left = float(at[0]) + SAMPLE_MM / 2.0 + 1.0
        items.append(Text((left, float(at[1]) + 0.75), words, SIZE_MM))
    return Group("legend", "legend", tuple(items))


def _across(layout: Layout, width_mm: float) -> int:
    """Columns, as wide as the longest words ask."""
    widest = max(width_of(words, "regular", SIZE_MM) for words, _ in entries(layout))
    return max(int(width_mm // (SAMPLE_MM + 1.0 + widest + GAP_MM)), 1)
