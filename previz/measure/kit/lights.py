"""Lights with what goes on them, what they stand on, and what holds the stands down."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from previz.measure.gear.stands import STAND_KG, Stands
from previz.measure.kit.item import CATALOGUE, ESTIMATE, Item
from previz.stage.placed import StageLight
from previz.stage.stage import Stage

GRIP_STAND_KG = 6.0
"""A grip stand with its head and arm, for boards, frames and flags: an estimate."""
BOOM_ARM_KG = 5.0
"""An arm that reaches out over the set, without its stand: an estimate."""
ARM_BAGS = 2
"""On the far end of an arm, besides the stand's own: common practice, no source."""
MICROPHONE_BAGS = 1
"""On the stand of a microphone: common practice, no source."""
CLAMP_KG = 0.5
"""What holds a light that hangs, or lies on a shelf: an estimate."""


def light_items(stage: Stage) -> Iterator[Item]:
    """Lights, boards, frames and flags by their record, and what is fitted to them."""
    lights = stage.lights.values()
    for label, count in Counter(light.fixture.label for light in lights).items():
        one = next(light for light in lights if light.fixture.label == label)
        yield Item(
            "lights",
            label,
            count,
            weight_kg=one.fixture.weight_kg,
            note="a lamp of the room: is it there?" if one.practical else _warned(one),
            source=CATALOGUE,
            case="" if one.practical else None,
        )
    for name, count in Counter(f for light in lights for f in _fittings(light)).items():
        yield Item("lights", name, count, weight_kg=CLAMP_KG, source=ESTIMATE)


def _warned(light: StageLight) -> str:
    return "hot: gloves, and let it cool" if light.fixture.hot else ""


def _fittings(light: StageLight) -> Iterator[str]:
    setting, label = light.setting, light.fixture.label
    short = f"{label[0].lower()}{label[1:]}"
    if setting.grid_deg is not None:
        yield f"Egg-crate of {setting.grid_deg:g} degrees for {short}"
    if setting.barn_doors is not None:
        yield f"Barn doors for {short}"
    if light.fixture.filament and setting.dimmer_pct < 100.0:
        yield f"Dimmer for {light.fixture.power_w:g} W of filament"
    if setting.stand == "none" and not light.practical and light.fixture.emits:
        yield "Clamp and safety wire for a light without a stand"


def grip_items(stage: Stage, stands: Stands, bag_kg: float) -> Iterator[Item]:
    """Stands by how they hold, and sandbags of a weight by what keeps them up when somebody
    brushes past.
    """
    held = Counter(_stand_of(light) for light in stage.lights.values() if _stands(light))
    for (name, weight_kg), count in held.items():
        yield Item("grip", name, count, weight_kg=weight_kg, source=ESTIMATE)
    arms = sum(_stands(x) and x.setting.stand == "boom_arm" for x in stage.lights.values())
    if arms:
        yield Item("grip", "Arm to reach over the set", arms, weight_kg=BOOM_ARM_KG,
                   source=ESTIMATE, note="its other end is weighed down")  # fmt: skip
    bags = bags_of(stage, stands, bag_kg)
    if bags:
        yield Item(
            "grip", "Sandbag", bags, weight_kg=bag_kg, case="Sandbags",
            note="on the leg under the load, low; by push and height of each stand",
            source=ESTIMATE,
        )  # fmt: skip


def bags_of(stage: Stage, stands: Stands, bag_kg: float) -> int:
    """Bags for all stands: so many that brushing past tips none, and those of arms and booms."""
    on_floor = (stands.lights[n] for n, light in stage.lights.items() if _stands(light))
    bags = sum(stand.bags(bag_kg) for stand in on_floor)
    arms = sum(_stands(x) and x.setting.stand == "boom_arm" for x in stage.lights.values())
    boom = MICROPHONE_BAGS if stage.sound.boom is not None else 0
    return bags + ARM_BAGS * arms + boom


def _stands(light: StageLight) -> bool:
    return light.on_stand and not light.practical


def _stand_of(light: StageLight) -> tuple[str, float]:
    """Kind of stand and its weight."""
    if light.fixture.emits:
        return "Light stand", STAND_KG
    return "Grip stand with head and arm", GRIP_STAND_KG
