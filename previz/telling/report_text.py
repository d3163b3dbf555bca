"""The report for people: a few lines a camera, then what to know."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from previz.measure.camera.framing import FramingNumbers
from previz.measure.camera.optics import OpticsNumbers
from previz.measure.gear.power import Load
from previz.measure.light.catchlights import Catchlight
from previz.measure.light.spectacles import Veil
from previz.measure.measured import CameraNumbers
from previz.measure.report import Report
from previz.measure.rules.findings import Finding
from previz.scenefile.wording import listed
from previz.telling.light_text import light_lines, spot_line
from previz.telling.report_json import storage_json

WIDTH = 16
CROPS = {"hd": "HD", "vertical_9_16": "9:16", "square": "1:1"}
GLINT_MM = 0.05
"""Smaller catchlights are not told of: an estimate."""


def report_lines(report: Report) -> Iterator[str]:
    """The whole report, line by line."""
    m = report.measured
    yield m.stage.title
    for name, camera in m.cameras.items():
        yield ""
        yield f"Camera {name}"
        yield from _indented(_camera(camera))
        yield from _indented(_eyes(m.catchlights.get(name, ())))
        yield from _indented(_spectacles(report.spectacles.get(name, ())))
    yield ""
    yield "People"
    for name, person in m.people.items():
        yield f"  {name}: eyes at {person.eye_height_m:.2f} m, head to {person.head_top_m:.2f} m"
    if m.pairs or m.line:
        yield ""
        yield "Between cameras"
    if m.line:
        yield f"  line from {m.line.guest} to {m.line.interviewer}: {sides_in_words(m.line.sides)}"
    for pair in m.pairs:
        first, second = pair.cameras
        yield (
            f"  {first} and {second}: {pair.angle_deg:.0f} deg apart round {pair.subject}, "
            f"size {pair.size_ratio:.2f} to 1"
        )
    if report.light is not None:
        yield ""
        yield from light_lines(m, report.light)
        yield from (spot_line(spot) for spot in report.spots)
    yield ""
    yield from _power(m.power)
    weight = storage_json(m.storage)
    yield ""
    yield f"Storage: {weight['gb_per_hour']:g} GB an hour, {weight['gb_total']:g} GB in all"
    yield ""
    yield from finding_lines(report.findings)


def finding_lines(findings: tuple[Finding, ...]) -> Iterator[str]:
    """What to know, a line each, faults first; in brackets the rule and what its limit rests on."""
    if not findings:
        yield "No findings."
    for finding in findings:
        yield f"{finding.severity}: {finding.message} [{finding.rule}: {finding.source}]"


def sides_in_words(sides: Mapping[str, str]) -> str:
    """`A and B on the right of the line`."""
    words = {"left": "on the left of the line", "right": "on the right of the line"}
    found: dict[str, list[str]] = {}
    for name, side in sides.items():
        found.setdefault(words.get(side, "on the line"), []).append(name)
    return ", ".join(f"{listed(names, 'and')} {where}" for where, names in found.items())


def _indented(rows: Iterator[tuple[str, str]]) -> Iterator[str]:
    return (f"  {key:<{WIDTH}}{value}" for key, value in rows)


def _camera(camera: CameraNumbers) -> Iterator[tuple[str, str]]:
    yield from _lens(camera.optics)
    if camera.framing is not None:
        yield from _frame(camera.framing)
    x, y, z = camera.position_m
    yield "place", f"({x:.2f}, {y:.2f}) m, lens {z:.2f} m high"


def _lens(o: OpticsNumbers) -> Iterator[tuple[str, str]]:
    yield (
        "lens",
        f"{o.focal_length_mm:.3g} mm (as {o.equivalent_focal_length_mm:.0f} mm on full frame, "
        f"by width), f/{o.f_number:.2g}, T{o.t_number:.2g}",
    )
    yield "angles", f"{o.horizontal_angle_deg:.1f} x {o.vertical_angle_deg:.1f} deg"
    yield (
        "depth of field",
        f"{metres(o.near_limit_m)} to {metres(o.far_limit_m)}, focus at "
        f"{metres(o.focus_distance_m)} (circle of confusion {o.circle_of_confusion_mm:.4f} mm)",
    )
    yield (
        "background",
        f"{metres(o.background_distance_m)} away, blur {o.background_blur_mm:.2f} mm = "
        f"{o.background_blur_pct_width:.1f} % of the width, {metres(o.background_width_m)} wide",
    )
    parts = [(key.replace("_", " "), value) for key, value in o.stops.items()]
    stops = ", ".join(f"{key} {value:+.2f}" for key, value in parts if abs(value) > 0.005)
    if stops:
        yield "stops", stops


def _frame(f: FramingNumbers) -> Iterator[tuple[str, str]]:
    yield (
        "frame",
        f"{f.shot_size.replace('_', ' ')} of {f.subject}, headroom {f.headroom_pct:.1f} %, eyes "
        f"{f.eye_height_pct:.0f} % from the top, {_look(f)}",
    )
    yield (
        "eyeline",
        f"{f.eyeline.yaw_deg:+.1f} deg beside and {f.eyeline.pitch_deg:+.1f} deg over the lens; "
        f"camera tilted {f.tilt_deg:+.1f} deg",
    )
    fits = [CROPS[name] for name, crop in f.crops.items() if crop.head_fits]
    yield "crops", f"room to crop to {', '.join(fits)}" if fits else "no room to crop"


def _look(f: FramingNumbers) -> str:
    if f.looks_to == "lens":
        return "looking into the lens"
    return f"looking to the {f.looks_to} with {f.look_room_pct:.0f} % look room"


def _eyes(found: tuple[Catchlight, ...]) -> Iterator[tuple[str, str]]:
    """Each light once, where it is larger; by the hour on a clock round the pupil."""
    by_size = sorted((c for c in found if c.width_mm >= GLINT_MM), key=lambda c: c.width_mm)
    seen = {catchlight.light: catchlight for catchlight in by_size}
    if seen:
        yield (
            "catchlights",
            ", ".join(
                f"{name} at {round(c.clock_h) or 12} o'clock ({c.width_mm:.1f} mm)"
                for name, c in reversed(seen.items())
            ),
        )
    elif found:
        yield "catchlights", "none"


def _spectacles(found: tuple[Veil, ...]) -> Iterator[tuple[str, str]]:
    """Each light once a person, in the lens it covers most of."""
    by_cover = sorted(found, key=lambda veil: veil.covered_pct)
    seen = {(veil.person, veil.light): veil for veil in by_cover}
    if seen:
        yield (
            "spectacles",
            ", ".join(
                f"{v.light} over {v.covered_pct:.0f} % of {v.person}'s {v.lens} lens "
                f"({v.stops_over_grey:+.1f} stops over grey)"
                for v in reversed(seen.values())
            ),
        )


def _power(load: Load) -> Iterator[str]:
    yield (
        f"Power: {load.load_w:.0f} W at {load.mains_v:g} V with every light at full "
        f"({load.as_set_w:.0f} W as set), {load.energy_kwh:.1f} kWh in {load.hours:g} h at most"
    )
    for name, circuit in load.circuits.items():
        yield (
            f"  {name}: {circuit.current_a:.1f} A of {circuit.breaker_a:g} A "
            f"({circuit.breaker_used_pct:.0f} %), {abs(circuit.headroom_a):.1f} A "
            f"{'under' if circuit.headroom_a >= 0.0 else 'over'} the {circuit.continuous_a:.1f} A "
            "it may carry continuously"
        )
    yield (
        f"  continuous: {100 * load.continuous_share:.0f} % of the rating, {load.country}; "
        f"{load.source}; local code decides"
    )


def metres(value_m: float) -> str:
    """A distance for people; infinity by name."""
    return "infinity" if math.isinf(value_m) else f"{value_m:.2f} m"
