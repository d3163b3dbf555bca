"""What people decided about frames, and by how much a frame is no longer what was approved."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from previz.measure.approvals import FrameStanding
from previz.measure.shown import Difference, LightChange, Moved, SettingChange
from previz.model.decisions import Logged
from previz.telling.numbers import fixed, per_cent, plain, rounded, stops

FRAMING_PCT = 0.05
"""What moved by less is told as unmoved, for it would read 0.0 %: an estimate."""
LIGHT_STOPS = 0.05
"""The same for light, for it would read 0.0 stops: an estimate."""
MOST_SETTINGS = 4
"""Scene values that a line names; the rest are counted: an estimate."""
LINES = {
    "head_top_pct": "top of the head",
    "chin_pct": "chin",
    "eyes_pct": "eyes",
    "eyes_from_left_pct": "eyes",
    "subject_left_pct": "left edge of the person",
    "subject_right_pct": "right edge of the person",
    "subject_top_pct": "top of the person",
    "subject_bottom_pct": "lower edge of the person",
}
SIDEWAYS = ("left", "right")
COLUMNS = (
    "scene", "camera", "says", "by", "at", "comment", "mark_x", "mark_y", "mark_width",
    "mark_height", "showing", "shown", "sha256", "came", "id",
)  # fmt: skip


# --- in words --------------------------------------------------------------------------------


def standing_lines(standings: Iterable[FrameStanding]) -> Iterator[str]:
    """A few lines for each frame: how it stands, and what each reviewer said last."""
    for standing in standings:
        yield f"{standing.scene}, camera {standing.camera}: {_state(standing)}"
        for decision in standing.decisions:
            yield f"  {decision_line(decision)}"
        yield from (f"  {line}" for line in _lost_lines(standing))


def lost_lines(standings: Iterable[FrameStanding]) -> Iterator[str]:
    """One line for each frame that is no longer what was approved; none when all hold."""
    for standing in standings:
        for line in _lost_lines(standing)[:1]:
            yield f"camera {standing.camera} {line}"


def decision_line(decision: Logged) -> str:
    """Who said what, and when."""
    word = "approved" if decision.says == "approved" else "wants a change"
    said = " ".join(decision.comment.split())
    marked = ", marked on the picture" if decision.mark else ""
    told = f"{decision.by}, {moment_words(decision.at)}: {word}{marked}"
    return f"{told}: {said}" if said else told


def moment_words(at: str) -> str:
    """A moment as people read it, in UTC."""
    return f"{at[:10]} {at[11:16]} UTC"


def difference_words(difference: Difference | None) -> str:
    """By how much and why, in one sentence."""
    if difference is None:
        return "what was seen is no longer kept beside the scene, so by how much cannot be told"
    parts = (framing_words(difference), light_words(difference.light))
    why = settings_words(difference.settings)
    return "; ".join([*parts, f"changed: {why}" if why else "no value of the scene file differs"])


def framing_words(difference: Difference) -> str:
    """What moved most in the frame."""
    most = difference.framing_most
    if most is None:
        return "framing not measured"
    if abs(most.by_pct) < FRAMING_PCT:
        return "framing as it was"
    return f"framing: {_moved_words(most)}"


def light_words(light: LightChange | None) -> str:
    """By how many stops the light is another."""
    if light is None:
        return "light not measured: previz render or previz measure tells"
    if max(abs(light.mean_stops), abs(light.most_stops)) < LIGHT_STOPS:
        return "light as it was"
    over = f"light: {stops(light.mean_stops)} over the frame"
    if abs(light.most_stops - light.mean_stops) < LIGHT_STOPS:
        return over
    return f"{over}, {stops(light.most_stops)} at most, {_where(light)}"


def settings_words(changes: Sequence[SettingChange]) -> str:
    """The scene's values that differ, old and new; the first few by name."""
    told = [setting_words(change) for change in changes[:MOST_SETTINGS]]
    more = len(changes) - len(told)
    return ", ".join([*told, f"and {more} more"] if more else told)


def setting_words(change: SettingChange) -> str:
    """One value, old and new."""
    if change.then is None:
        return f"{change.path} is new, {_value(change.now)}"
    if change.now is None:
        return f"{change.path} is gone, was {_value(change.then)}"
    return f"{change.path} {_value(change.then)} → {_value(change.now)}"


def _state(standing: FrameStanding) -> str:
    if not standing.decisions:
        return "nobody has decided"
    parts = []
    if standing.approvals:
        parts.append("approved by " + ", ".join(d.by for d in standing.approvals))
    if standing.wishes:
        parts.append("a change wanted by " + ", ".join(d.by for d in standing.wishes))
    if standing.lost:
        parts.append("no longer what was approved")
    return "; ".join(parts)


def _lost_lines(standing: FrameStanding) -> list[str]:
    """For each version that was approved one line; whoever approved the same stand together."""
    by_difference: dict[str, list[Logged]] = {}
    for lost in standing.lost:
        by_difference.setdefault(difference_words(lost.difference), []).append(lost.approval)
    return [
        f"is no longer what {_listed(approvals)} approved: {words}"
        for words, approvals in by_difference.items()
    ]


def _listed(approvals: Sequence[Logged]) -> str:
    return " and ".join(f"{entry.by} ({moment_words(entry.at)})" for entry in approvals)


def _moved_words(moved: Moved) -> str:
    name = LINES.get(moved.name, moved.name.removesuffix("_pct").replace("_", " "))
    across = any(word in moved.name for word in SIDEWAYS)
    forth, back = ("further right", "further left") if across else ("lower", "higher")
    to = forth if moved.by_pct > 0.0 else back
    return f"{name} {per_cent(abs(moved.by_pct), 1)} of the frame {to}"


def _where(light: LightChange) -> str:
    """Which part of the picture, by thirds."""
    row = ("at the top", "in the middle", "at the bottom")[light.row // 3]
    column = ("left", "", "right")[min(light.column * 3 // 16, 2)]
    return f"{row} {column}".strip()


def _value(value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, float):
        return plain(value, 4)
    if isinstance(value, list | tuple):
        return f"[{', '.join(_value(part) for part in value)}]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


# --- for other programs ----------------------------------------------------------------------


def standings_json(standings: Iterable[FrameStanding]) -> list[dict[str, Any]]:
    """By frame: what was said, what holds, and by how much what was approved is another."""
    return [
        {
            "scene": standing.scene,
            "camera": standing.camera,
            "shown": standing.shown,
            "approved_by": [decision.by for decision in standing.approvals],
            "change_wanted_by": [decision.by for decision in standing.wishes],
            "holds": not standing.lost,
            "decisions": log_json(standing.decisions),
            "lost": [
                {
                    "by": lost.approval.by,
                    "at": lost.approval.at,
                    "id": lost.approval.id,
                    **difference_json(lost.difference),
                }
                for lost in standing.lost
            ],
        }
        for standing in standings
    ]


def difference_json(difference: Difference | None) -> dict[str, Any]:
    """What lies between two frames; None for what is not known."""
    if difference is None:
        return {"framing_pct": None, "light_stops": None, "light_most_stops": None, "changed": None}
    light = difference.light
    return {
        "framing_pct": {m.name: rounded(m.by_pct, 2) for m in difference.framing},
        "light_stops": rounded(light.mean_stops, 2) if light else None,
        "light_most_stops": rounded(light.most_stops, 2) if light else None,
        "changed": [
            {"path": change.path, "then": change.then, "now": change.now}
            for change in difference.settings
        ],
    }


def log_json(decisions: Iterable[Logged]) -> list[dict[str, Any]]:
    """Decisions as the log holds them."""
    return [decision.model_dump(mode="json") for decision in decisions]


def log_csv(decisions: Iterable[Logged]) -> str:
    """Decisions as a table, a line each. What a workbook would take for a formula is quoted."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for decision in decisions:
        told = decision.model_dump(mode="json")
        mark = told.pop("mark") or {}
        told |= {f"mark_{name}": _share(value) for name, value in mark.items()}
        table.writerow([_cell(str(told.get(column, ""))) for column in COLUMNS])
    return text.getvalue()


def _share(value: float) -> str:
    return fixed(value, 4)


def _cell(text: str) -> str:
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text
