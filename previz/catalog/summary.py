"""The figures of a record that one chooses by, in one short line."""

from __future__ import annotations

import functools

from previz.model.base import Noun
from previz.model.faces import FaceRecord
from previz.model.records import (
    Adapter,
    Fixture,
    FurnitureRecord,
    Gel,
    Lens,
    LuxAt,
    Material,
    Sensor,
    SensorMode,
)
from previz.model.sets import SetPiece, SetRecord
from previz.physics.optics import stops_between

LUMINANCE = (0.2126, 0.7152, 0.0722)
"""Weights of linear BT.709 red, green and blue (ITU-R BT.709-6)."""


@functools.singledispatch
def summary(record: Noun) -> str:
    """One short line: `f/2.8, T3.1, focus from 0.38 m, 0.82 kg`."""
    raise TypeError(f"no summary of a {type(record).__name__}")


@summary.register
def _(record: Sensor) -> str:
    return f"{record.width_mm:g} x {record.height_mm:g} mm; {', '.join(record.modes)}"


@summary.register
def _(record: SensorMode) -> str:
    return (
        f"reads {record.width_mm:g} x {record.height_mm:g} mm, "
        f"writes {record.width_px} x {record.height_px} px, to {record.max_fps:g} fps"
    )


@summary.register
def _(record: Lens) -> str:
    stop, light = _ends(record.f_number), _ends(record.t_number)
    return f"f/{stop}, T{light}, focus from {record.close_focus_m:g} m, {record.weight_kg:g} kg"


@summary.register
def _(record: Adapter) -> str:
    stops = stops_between(1.0, record.factor)
    said = f"{abs(stops):.1f} stops {'slower' if stops > 0 else 'faster'}"
    return f"x {record.factor:g}, {said}, {record.weight_kg:g} kg"


@summary.register
def _(record: Fixture) -> str:
    if not record.emits:
        return f"{_size(record)}, {record.weight_kg:g} kg"
    if record.flux_lm is not None:
        light = f"{record.flux_lm:g} lm"
    else:
        light = " to ".join(summary(end) for end in record.lux_at)
    return f"{light}, {_ends(record.cct_k or ())} K, {record.power_w:g} W"


@summary.register
def _(record: LuxAt) -> str:
    return f"{record.illuminance_lx:g} lx at {record.distance_m:g} m ({record.beam_deg:g} deg)"


@summary.register
def _(record: Gel) -> str:
    parts = [f"lets through {record.transmittance_pct:g} %"]
    if record.converts_k is not None:
        parts.append("{:g} to {:g} K".format(*record.converts_k))
    if record.shift_mired:
        parts.append(f"{record.shift_mired:+z.0f} mired")
    if record.spread_deg:
        parts.append(f"spreads to {record.spread_deg:g} deg")
    return ", ".join(parts)


@summary.register
def _(record: Material) -> str:
    if record.clear:
        return "clear"
    return f"reflects {100 * luminous_reflectance(record):.2g} %"


@summary.register
def _(record: FurnitureRecord) -> str:
    return _size(record) or record.shape


@summary.register
def _(record: SetRecord) -> str:
    return f"{len(record.pieces)} pieces, {record.width_m:g} x {record.depth_m:g} m"


@summary.register
def _(record: SetPiece) -> str:
    if record.on is not None:
        place = f"on {record.on}"
    elif record.out_m is not None:
        place = f"{record.out_m:g} m out"
    else:
        place = "against the back"
    return f"{record.piece}, {record.along_m:+g} m along, {place}"


def luminous_reflectance(material: Material) -> float:
    """Share of white light thrown back, 0..1; of a metal, at straight incidence."""
    return sum(weight * part for weight, part in zip(LUMINANCE, material.reflectance, strict=True))


def _size(record: Fixture | FurnitureRecord) -> str:
    depth = record.depth_m if isinstance(record, FurnitureRecord) else None
    sides = [side for side in (record.width_m, depth, record.height_m) if side is not None]
    return " x ".join(f"{side:g}" for side in sides) + " m" if sides else ""


def _ends(pair: tuple[float, ...]) -> str:
    return "-".join(f"{value:g}" for value in dict.fromkeys(pair))


@summary.register
def _(record: FaceRecord) -> str:
    skins = ", ".join(word.replace("_", " ") for word in record.skins)
    return f"{record.sex}; skin {skins}"
