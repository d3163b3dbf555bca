"""Sets of furniture in a scene: do they fit the wall and the room, and have what is changed?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from previz.scenefile.rooms import Plan, wall_number
from previz.scenefile.set_span import Span, fit_to, spans_of, taken_by
from previz.scenefile.view import View
from previz.scenefile.wording import Trail, listed, nearest, spoken

if TYPE_CHECKING:
    from previz.catalog import Catalog
    from previz.model.sets import SetRecord

_SLACK_M = 1e-6


def check_sets(view: View, plan: Plan | None, catalog: Catalog) -> None:
    """Every set lies within its wall or inside the room, and what is changed is part of it."""
    for name in view.names("sets"):
        wall = wall_number(view, plan, "sets", name)
        record_name = view.text("sets", name, "set")
        if record_name is None or record_name not in catalog.names("sets"):
            continue
        record = catalog.furniture_set(record_name)
        _check_parts(view, name, record, record_name)
        if plan is not None and not view.contradicts_itself("sets", name):
            spans = spans_of(view, name, record, catalog)
            if wall is not None:
                _check_on_wall(view, name, record, spans, plan.wall_length_m(wall))
            else:
                _check_standing_free(view, name, record, taken_by(spans), plan)


def _check_parts(view: View, name: str, record: SetRecord, record_name: str) -> None:
    parts = tuple(record.pieces)
    left = view.value("sets", name, "without")
    for index in range(len(left) if isinstance(left, list) else 0):
        trail: Trail = ("sets", name, "without", index)
        if view.text(*trail) not in parts:
            view.say_no_such(trail, f"piece of {record_name}", parts)
    for part in view.inside("sets", name, "change"):
        trail = ("sets", name, "change", part)
        if part not in parts:
            near = nearest(str(part), parts)
            hint = f'did you mean "{near}"?' if near else f"it has {listed(parts, 'and')}"
            view.say(trail, f"no piece of {record_name} is called {spoken(str(part))}; {hint}")
            continue
        _check_change(view, trail, record, str(part))


def _check_change(view: View, trail: Trail, record: SetRecord, part: str) -> None:
    along, half = view.number(*trail, "along_m"), record.width_m / 2
    if along is not None and abs(along) > half + _SLACK_M:
        view.say_found((*trail, "along_m"), f"from {-half:g} to {half:g}, within the set's width")
    on, before = view.text(*trail, "on"), tuple(record.pieces)[: list(record.pieces).index(part)]
    if on is not None and on not in before:
        view.say_no_such((*trail, "on"), f"piece that comes before {part}", before)


def _check_on_wall(
    view: View, name: str, record: SetRecord, spans: dict[str, Span], length_m: float
) -> None:
    along, (low, high) = view.number("sets", name, "along_m"), taken_by(spans)
    if along is None or -low - _SLACK_M <= along <= length_m - high + _SLACK_M:
        return
    wall = view.value("sets", name, "wall")
    takes = f"{high - low:.2f} m of wall"
    if high - low <= length_m + _SLACK_M:
        view.say_found(
            ("sets", name, "along_m"),
            f"from {-low:.2f} to {length_m - high:.2f}, for it takes {takes} {wall}",
        )
        return
    fit = fit_to(length_m, spans, record)
    cure = ""
    if fit is not None:
        left_out, place = ", ".join(fit.without), f"{fit.near(along):g}"
        cure = f"with without: [{left_out}] and along_m: {place} it fits, or "
    view.say(
        ("sets", name),
        f"takes {takes}, and wall {wall} has {length_m:.2f} m; {cure}choose a longer wall",
    )


def _check_standing_free(view: View, name: str, record: SetRecord, ends: Span, plan: Plan) -> None:
    """The corners of the floor that it takes are inside the room."""
    at, turn_deg = view.point("sets", name, "at_m"), view.number("sets", name, "turn_deg")
    if at is None or turn_deg is None or not plan.holds(at):
        return
    turn = math.radians(turn_deg)
    for along, out in ((end, d) for end in ends for d in (0.0, record.depth_m)):
        x = at[0] + along * math.cos(turn) + out * math.sin(turn)
        y = at[1] + along * math.sin(turn) - out * math.cos(turn)
        if not plan.holds((x, y)):
            wide = ends[1] - ends[0]
            view.say(
                ("sets", name), f"takes {wide:.2f} x {record.depth_m:.2f} m of floor, which "
                f"reaches to [{x:.2f}, {y:.2f}], outside the room; its floor has {plan.extent()}"
            )  # fmt: skip
            return
