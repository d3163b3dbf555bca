"""Guide lines of a frame for the page, in per cent of it: the same that `exports.guides` draws."""

from __future__ import annotations

from collections.abc import Iterator

from previz.deliver.exports.guides import Rule, planned, safe_areas, thirds
from previz.measure.camera.crops import Crop
from previz.measure.camera.framing import FramingNumbers

Line = dict[str, object]
PLACES = 3


def lines_of(size_px: tuple[int, int], framing: FramingNumbers | None) -> Iterator[Line]:
    """All lines by group: thirds, safe, head, and the crops by their names."""
    groups: dict[str, Iterator[Rule]] = {"thirds": thirds(*size_px), "safe": safe_areas(*size_px)}
    if framing is not None:
        groups["head"] = planned(*size_px, framing)
    for group, rules in groups.items():
        for rule in rules:
            yield _line(group, rule, size_px)
    for name, crop in {} if framing is None else framing.crops.items():
        yield from _crop(name, crop)


def _line(group: str, rule: Rule, size_px: tuple[int, int]) -> Line:
    width, height = size_px
    long, wide = (width, height) if rule.along == "x" else (height, width)
    at = 100.0 * rule.at_px / wide
    ends = (100.0 * rule.from_px / long, 100.0 * rule.to_px / long)
    return _told(group, rule.along, at, ends, rule.dashed)


def _crop(name: str, crop: Crop) -> Iterator[Line]:
    across, down = (crop.left_pct, crop.right_pct), (crop.top_pct, crop.bottom_pct)
    for at in down:
        yield _told(name, "x", at, across, dashed=False)
    for at in across:
        yield _told(name, "y", at, down, dashed=False)


def _told(group: str, along: str, at: float, ends: tuple[float, float], dashed: bool) -> Line:
    start, end = (round(value, PLACES) for value in ends)
    place = {"at_pct": round(at, PLACES), "from_pct": start, "to_pct": end}
    return {"group": group, "along": along, **place, "dashed": dashed}
