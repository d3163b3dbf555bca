"""The report for people: a few lines a camera, then what to know."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from previz.measure.camera.crops import NAMES
from previz.measure.camera.framing import FramingNumbers
from previz.measure.camera.optics import OpticsNumbers
from previz.measure.gear.power import Load
from previz.measure.light.catchlights import Catchlight
from previz.measure.light.spectacles import Veil
from previz.measure.measured import CameraNumbers
from previz.measure.report import Report
from previz.measure.rules.findings import Finding
from previz.model.exposure import spoken
from previz.scenefile.wording import listed
from previz.telling.light_text import light_lines, spot_line
from previz.telling.numbers import (
    amperes,
    degrees,
    fixed,
    hour_of_clock,
    marked,
    metres,
    millimetres,
    per_cent,
    plain,
    signed,
    signed_degrees,
    stops,
    watts,
)
from previz.telling.sound import sound_lines

WIDTH = 16
CROPS = {"hd": "HD", **{name: spoken(shape) for shape, name in NAMES.items()}}
GLINT_MM = 0.05
"""Smaller catchlights are not told of: an estimate."""


def report_lines(report: Report) -> Iterator[str]:
    """The whole report, line by line."""
    m = report.measured
    yield m.stage.title
    for name, camera in m.cameras.items():
        yield ""
        yield f"Camera {name}"
        yield from _indented(camera_rows(camera))
        yield from _indented(_eyes(m.catchlights.get(name, ())))
        yield from _indented(_spectacles(report.spectacles.get(name, ())))
    yield ""
    yield "People"
    for name, person in m.people.items():
        eyes, top = metres(person.eye_height_m), metres(person.head_top_m)
        yield f"  {name}: eyes at {eyes}, head to {top}"
    if m.pairs or m.line:
        yield ""
        yield "Between cameras"
    if m.line:
        yield f"  line from {m.line.guest} to {m.line.interviewer}: {sides_in_words(m.line.sides)}"
    for pair in m.pairs:
        first, second = pair.cameras
        yield (
            f"  {first} and {second}: {degrees(pair.angle_deg)} apart round {pair.subject}, "
            f"size {fixed(pair.size_ratio, 2)} to 1"
        )
    if report.light is not None:
        yield ""
        yield from light_lines(m, report.light)
        yield from (spot_line(spot) for spot in report.spots)
    yield ""
    yield from _power(m.power)
    weight = m.storage
    yield ""
    yield (
        f"Storage: {plain(weight.gb_per_hour, 2)} GB an hour, {plain(weight.gb_total, 2)} GB in all"
    )
    yield from sound_lines(m.sound)
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


def camera_rows(camera: CameraNumbers) -> Iterator[tuple[str, str]]:
    """Lens, frame and place of one camera: label and text."""
    yield from _lens(camera.optics)
    if camera.framing is not None:
        yield from _frame(camera.framing)
    x, y, z = camera.position_m
    yield "place", f"({fixed(x, 2)}, {fixed(y, 2)}) m, lens {metres(z)} high"


def _lens(o: OpticsNumbers) -> Iterator[tuple[str, str]]:
    yield (
        "lens",
        f"{marked(o.focal_length_mm, 3)} mm (as {millimetres(o.equivalent_focal_length_mm, 0)} on "
        f"full frame, by width), f/{marked(o.f_number)}, T{marked(o.t_number)}",
    )
    yield "angles", f"{fixed(o.horizontal_angle_deg, 1)} x {degrees(o.vertical_angle_deg, 1)}"
    yield (
        "depth of field",
        f"{metres(o.near_limit_m)} to {metres(o.far_limit_m)}, focus at "
        f"{metres(o.focus_distance_m)} (circle of confusion "
        f"{millimetres(o.circle_of_confusion_mm, 4)})",
    )
    yield (
        "background",
        f"{metres(o.background_distance_m)} away, blur "
        f"{millimetres(o.background_blur_mm, 2)} = "
        f"{per_cent(o.background_blur_pct_width, 1)} of the width, "
        f"{metres(o.background_width_m)} wide",
    )
    parts = [(key.replace("_", " "), value) for key, value in o.stops.items()]
    counted = ", ".join(f"{key} {signed(value, 2)}" for key, value in parts if abs(value) > 0.005)
    if counted:
        yield "stops", counted


def _frame(f: FramingNumbers) -> Iterator[tuple[str, str]]:
    yield (
        "frame",
        f"{f.shot_size.replace('_', ' ')} of {f.subject}, headroom "
        f"{per_cent(f.headroom_pct, 1)}, eyes {per_cent(f.eye_height_pct)} from the top, "
        f"{_look(f)}",
    )
    yield (
        "eyeline",
        f"{signed_degrees(f.eyeline.yaw_deg)} beside and {signed_degrees(f.eyeline.pitch_deg)} "
        f"over the lens; camera tilted {signed_degrees(f.tilt_deg)}",
    )
    fits = [CROPS[name] for name, crop in f.crops.items() if crop.head_fits]
    yield "crops", f"room to crop to {', '.join(fits)}" if fits else "no room to crop"


def _look(f: FramingNumbers) -> str:
    if f.looks_to == "lens":
        return "looking into the lens"
    return f"looking to the {f.looks_to} with {per_cent(f.look_room_pct)} look room"


def _eyes(found: tuple[Catchlight, ...]) -> Iterator[tuple[str, str]]:
    """Each light once, where it is larger; by the hour on a clock round the pupil."""
    by_size = sorted((c for c in found if c.width_mm >= GLINT_MM), key=lambda c: c.width_mm)
    seen = {catchlight.light: catchlight for catchlight in by_size}
    if seen:
        yield (
            "catchlights",
            ", ".join(
                f"{name} at {hour_of_clock(c.clock_h)} o'clock ({millimetres(c.width_mm)})"
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
                f"{v.light} over {per_cent(v.covered_pct)} of {v.person}'s {v.lens} lens "
                f"({stops(v.stops_over_grey)} over grey)"
                for v in reversed(seen.values())
            ),
        )


def _power(load: Load) -> Iterator[str]:
    yield (
        f"Power: {watts(load.load_w)} at {plain(load.mains_v)} V with every light at full "
        f"({watts(load.as_set_w)} as set), {fixed(load.energy_kwh, 1)} kWh in "
        f"{plain(load.hours)} h at most"
    )
    for name, circuit in load.circuits.items():
        yield (
            f"  {name}: {amperes(circuit.current_a)} of {plain(circuit.breaker_a)} A "
            f"({per_cent(circuit.breaker_used_pct)}), {amperes(abs(circuit.headroom_a))} "
            f"{'under' if circuit.headroom_a >= 0.0 else 'over'} the "
            f"{amperes(circuit.continuous_a)} it may carry continuously"
        )
    yield (
        f"  continuous: {per_cent(100 * load.continuous_share)} of the rating, {load.country}; "
        f"{load.source}; local code decides"
    )
