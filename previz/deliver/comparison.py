"""From variants of a camera, and their pictures, to the sheet that compares them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.deliver.sheet import Cell, Group, Sheet, differing
from previz.measure.measured import CameraNumbers, Ruler
from previz.solve.variants import HEADINGS, Axis, Comparing, Mode, Variant
from previz.telling.comparison import variant_remark, variant_rows

SAME_POSE = 1e-3
"""Metres, and parts of a direction: nobody sees the difference."""


@dataclass(frozen=True)
class CompareRequest:
    """What to compare on one camera.

    camera  name; None: the first of the scene
    values  numbers, or names of sensors
    modes   for focal lengths only
    """

    camera: str | None
    axis: Axis
    values: tuple[str, ...]
    modes: tuple[Mode, ...] = ("same_position", "same_size")


@dataclass(frozen=True, eq=False)
class Comparison:
    """Variants by heading, and their numbers by the name of the camera they stand for."""

    camera: str
    request: CompareRequest
    groups: tuple[tuple[str, tuple[Variant, ...]], ...]
    numbers: Mapping[str, CameraNumbers]

    @property
    def variants(self) -> tuple[Variant, ...]:
        """All variants of all groups; a frame that two groups share comes once."""
        every = {v.placed.name: v for _, variants in self.groups for v in variants}
        return tuple(every.values())


def prepare(comparing: Comparing, ruler: Ruler, request: CompareRequest) -> Comparison:
    """Make and measure the variants asked for. ValueError for a value that means nothing."""
    groups = tuple(_shared(_groups(comparing, request)))
    numbers = {v.placed.name: ruler.camera(v.setup, v.placed) for _, found in groups for v in found}
    return Comparison(comparing.name, request, groups, numbers)


def _groups(
    comparing: Comparing, request: CompareRequest
) -> Sequence[tuple[str, tuple[Variant, ...]]]:
    if request.axis == "sensor":
        return [("", tuple(comparing.sensor(request.values)))]
    values = [float(value) for value in request.values]
    if request.axis == "focal":
        comparing.refuse_beyond_zoom(values)
        return [
            (HEADINGS[mode].capitalize(), tuple(_renamed(comparing.focal(values, mode), mode)))
            for mode in request.modes
        ]
    make = {"stop": comparing.stop, "distance": comparing.distance, "height": comparing.height}
    return [("", tuple(make[request.axis](values)))]


def _shared(
    groups: Sequence[tuple[str, tuple[Variant, ...]]],
) -> Iterator[tuple[str, tuple[Variant, ...]]]:
    """A variant that stands as one of an earlier group does becomes that one: one frame fewer."""
    made: list[Variant] = []
    for heading, variants in groups:
        found = tuple(next((m for m in made if _same(m, v)), v) for v in variants)
        made += found
        yield heading, found


def _same(one: Variant, other: Variant) -> bool:
    a, b = one.placed, other.placed
    return (
        one.label == other.label
        and a.focal_length_m == b.focal_length_m
        and np.allclose(a.pose, b.pose, rtol=0.0, atol=SAME_POSE)
    )


def _renamed(variants: Sequence[Variant], mode: Mode) -> list[Variant]:
    """Names of their own for the variants of each mode."""
    suffix = "" if mode == "same_position" else "_same_size"
    return [replace(v, placed=replace(v.placed, name=f"{v.placed.name}{suffix}")) for v in variants]


def sheet_of(
    comparison: Comparison,
    pictures: Mapping[str, NDArray[np.uint8]],
    title: str,
    foot: str,
    cautions: tuple[str, ...],
) -> Sheet:
    """The sheet; `pictures` by the names of the variants' cameras."""
    groups = []
    for heading, variants in comparison.groups:
        rows = differing([variant_rows(comparison.numbers[v.placed.name], v) for v in variants])
        cells = tuple(
            Cell(
                v.label,
                pictures[v.placed.name],
                row,
                variant_remark(comparison.numbers[v.placed.name], v),
            )
            for v, row in zip(variants, rows, strict=True)
        )
        groups.append(Group(heading, cells))
    said = f"Camera {comparison.camera}: {SAID[comparison.request.axis]}"
    return Sheet(title, said, tuple(groups), foot, cautions)


SAID: dict[Axis, str] = {
    "focal": "focal lengths",
    "stop": "stops, equally bright by ISO",
    "sensor": "sensors",
    "distance": "distances",
    "height": "lens heights",
}
