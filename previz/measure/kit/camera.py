"""Cameras, lenses, adapters and filters; what carries them, what they record on and run on."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from previz.measure.kit.item import CATALOGUE, ESTIMATE, Item
from previz.physics import storage
from previz.stage.stage import Stage

ON_PER_RECORDED = 2.0
"""Hours a camera is switched on for each that it records: an estimate."""
BATTERY_WH, BATTERY_KG = 98.0, 0.75
"""The usual brick under the 100 Wh that may fly in a cabin, and its weight: an estimate."""
USABLE = 0.8
"""Share of a battery that a day in the cold or the second year leaves: an estimate."""
MONITOR_W, MONITOR_KG = 12.0, 0.8
"""A 7 inch monitor on a stand: an estimate."""
CARD_GB = 256.0
"""The usual card: common practice, no source."""
FULL = 0.9
"""A card is changed before it is full: common practice, no source."""
COPIES = 2
"""Besides the card, and in two places: common practice, no source."""
SHOULDER_RIG_KG = 3.0
"""Pad, handles and rods: an estimate."""
TRIPOD_KG = 8.0
"""Legs, spreader and fluid head: an estimate."""
SLIDER_KG_PER_M, SHORTEST_SLIDER_M = 5.0, 0.6
"""A slider with its carriage, and the shortest there is: an estimate."""
MOVERS: dict[str, tuple[str, float, str]] = {
    "dolly": ("Dolly with straight track", 35.0, "a level floor, and someone to push"),
    "gimbal_walk": ("Gimbal", 3.5, "balance it with the lens of the move before the day"),
}
"""What else moves a camera, its weight and what it asks for; weights are estimates."""
SMALLEST_ND = 0.3
"""Fixed ND comes in steps of this: common practice, no source."""


def camera_items(stage: Stage) -> Iterator[Item]:
    """Bodies, lenses, adapters, filters, tripods and movers of all cameras."""
    setups = stage.setups.values()
    yield from _bodies(stage)
    for lens, count in Counter(s.kit.lens.label for s in setups).items():
        record = next(s.kit.lens for s in setups if s.kit.lens.label == lens)
        yield Item("lenses", lens, count, weight_kg=record.weight_kg, source=CATALOGUE)
    adapters = [s.kit.adapter for s in setups if s.kit.adapter is not None]
    for label, count in Counter(adapter.label for adapter in adapters).items():
        weight_kg = next(a.weight_kg for a in adapters if a.label == label)
        yield Item("lenses", label, count, weight_kg=weight_kg, source=CATALOGUE)
    yield from _filters(stage)
    yield from _supports(stage)


def _bodies(stage: Stage) -> Iterator[Item]:
    sensors = [setup.kit.sensor for setup in stage.setups.values()]
    for label, count in Counter(sensor.label for sensor in sensors).items():
        record = next(sensor for sensor in sensors if sensor.label == label)
        yield Item(
            "cameras",
            f"Camera: {label}",
            count,
            weight_kg=record.weight_kg,
            note="any of this sensor and its modes",
            source=CATALOGUE,
        )
    yield Item(
        "cameras", "Monitor, 7 inch, with a stand", 1, weight_kg=MONITOR_KG, source=ESTIMATE,
        note="for whoever asks the questions",
    )  # fmt: skip


def _filters(stage: Stage) -> Iterator[Item]:
    """ND before the lens, by the size of its front; between the steps it is a variable one."""
    wanted: Counter[str] = Counter()
    for name, camera in stage.cameras.items():
        if camera.nd_density > 0.0:
            steps = camera.nd_density / SMALLEST_ND
            even = math.isclose(steps, round(steps), abs_tol=1e-6)
            kind = f"ND {camera.nd_density:.1f} filter" if even else "Variable ND filter"
            front_mm = stage.setups[name].kit.lens.diameter_mm
            wanted[f"{kind}, front of {front_mm:g} mm"] += 1
    for name, count in wanted.items():
        yield Item(
            "filters", name, count, weight_kg=0.05, source=ESTIMATE,
            note="not where the camera has it built in",
        )  # fmt: skip


def _supports(stage: Stage) -> Iterator[Item]:
    held = sum(setup.support == "tripod" for setup in stage.setups.values())
    if held:
        yield Item(
            "grip", "Tripod with fluid head", held, weight_kg=TRIPOD_KG, source=ESTIMATE,
            note="with spreader and plate",
        )  # fmt: skip
    moved = sum(move.kind == "gimbal_walk" for move in stage.moves.values())
    rigs = sum(setup.support == "shoulder_rig" for setup in stage.setups.values())
    gimbals = sum(setup.support == "gimbal" for setup in stage.setups.values()) - moved
    if rigs:
        yield Item(
            "grip", "Shoulder rig", rigs, weight_kg=SHOULDER_RIG_KG, source=ESTIMATE,
            note="with a counterweight, and a low stand to set it down on",
        )  # fmt: skip
    if gimbals > 0:
        name, weight_kg, note = MOVERS["gimbal_walk"]
        yield Item("grip", name, gimbals, weight_kg=weight_kg, note=note, source=ESTIMATE)
    for move in stage.moves.values():
        if move.kind == "slider":
            length_m = move.way.path.length_m
            yield Item(
                "grip", "Slider, at least this long", 1, size_m=(round(length_m, 1),),
                weight_kg=round(SLIDER_KG_PER_M * max(length_m, SHORTEST_SLIDER_M), 1),
                source=ESTIMATE, note="its own heads at both ends, or two stands under it",
            )  # fmt: skip
        elif move.kind in MOVERS:
            name, weight_kg, note = MOVERS[move.kind]
            yield Item("grip", name, 1, weight_kg=weight_kg, note=note, source=ESTIMATE)


def media_items(stage: Stage) -> Iterator[Item]:
    """Cards for every camera, and drives for the copies; no card is wiped on the day."""
    recording, cameras = stage.programme.recording, len(stage.cameras)
    each_gb = storage.gb_per_hour(recording.rate_mbit_s) * recording.hours
    if each_gb == 0.0:
        return
    cards = math.ceil(each_gb / (FULL * CARD_GB))
    yield Item(
        "media", f"Card, {CARD_GB:g} GB", cards * cameras, weight_kg=0.01, adds=True,
        note="fast enough for the bit rate; none is wiped on the day",
    )  # fmt: skip
    yield Item(
        "media", "Room on the drives, both copies", math.ceil(COPIES * cameras * each_gb), "GB",
        note="half of it on each", adds=True, case="",
    )  # fmt: skip
    yield Item(
        "media", "Drive for copies", COPIES, weight_kg=0.2,
        note="each holds the whole day; they leave the place by two ways",
    )  # fmt: skip
    yield Item("media", "Card reader and laptop", 1, weight_kg=2.5, source=ESTIMATE)


def on_hours(stage: Stage) -> float:
    """How long cameras and sound are switched on."""
    return ON_PER_RECORDED * stage.programme.recording.hours


def battery_items(stage: Stage) -> Iterator[Item]:
    """Charged batteries for cameras and monitor, as if nothing were charged on the day."""
    hours = on_hours(stage)
    usable_wh = USABLE * BATTERY_WH
    draws = [setup.kit.sensor.power_w for setup in stage.setups.values()]
    bricks = sum(math.ceil(watts * hours / usable_wh) for watts in draws if watts is not None)
    bricks += math.ceil(MONITOR_W * hours / usable_wh)
    yield Item(
        "batteries", f"Camera battery, {BATTERY_WH:g} Wh", bricks, weight_kg=BATTERY_KG, adds=True,
        source=ESTIMATE, note="fewer where they are charged between scenes",
    )  # fmt: skip
    yield Item("batteries", "Charger for two", 1, weight_kg=1.2, source=ESTIMATE)
