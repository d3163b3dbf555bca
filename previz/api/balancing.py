"""Balancing: the dimmers and ND that give what the scene's targets ask for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from previz.api.measuring import read_light
from previz.api.opening import OpenScene, open_scene
from previz.api.progress import Progress, Silence
from previz.deliver.override import override_text, write_override
from previz.errors import InputError, Place, Problem
from previz.measure.light.light import LightNumbers, light_numbers
from previz.measure.rules.cautions import cautions_for, printed
from previz.physics.dimmer import level_for_share
from previz.solve.balance import (
    Balance,
    Dimmed,
    Gelled,
    TargetResult,
    pose,
    results,
    rounded_pct,
    solve,
)
from previz.solve.cures import cures


@dataclass(frozen=True)
class BalanceOptions:
    """Where the settings go; `dry` writes nothing."""

    out: Path | None = None
    overwrite: bool = False
    dry: bool = False
    settings: tuple[str, ...] = ()
    variant: str | None = None


@dataclass(frozen=True, eq=False)
class Balanced:
    """What was found, and the file it was written to."""

    opened: OpenScene
    balance: Balance
    file: Path | None

    @property
    def cautions(self) -> tuple[str, ...]:
        """Sentences to print with the settings: on the kit, and on film that is put up anew."""
        found = {c.rule for c in cautions_for(self.opened.stage)}
        if any(gelled.after > gelled.before for gelled in self.balance.windows.values()):
            found |= {"dark_film", "ladder"}
        return printed(sorted(found))


def balance(path: Path, options: BalanceOptions, progress: Progress | None = None) -> Balanced:
    """Solve the targets of a scene for its dimmers and the ND on its windows.

    InputError when it has no targets, or one that nothing on the set can serve.
    """
    opened = open_scene(path, options.settings)
    scene, stage, catalog = opened.scene, opened.stage, opened.catalog
    light = _light(opened, options, progress or Silence())
    try:
        problem = pose(stage, scene.targets, light)
    except ValueError as error:
        raise InputError([Problem(Place(path), f"balance: {error}")]) from error
    factors, density = solve(problem)
    found = Balance(
        camera=problem.camera,
        subject=problem.subject,
        lights={
            name: Dimmed(
                scene.lights[name].dimmer_pct,
                rounded_pct(scene.lights[name].dimmer_pct * factors[name]),
            )
            for name in problem.free
        },
        windows={name: Gelled(problem.windows[name], density[name]) for name in density},
        targets=tuple(
            replace(r, cures=cures(r, problem, factors, stage, catalog, light))
            for r in results(problem, factors, scene.targets)
        ),
    )
    file = None
    if not options.dry:
        file = options.out or opened.path.with_name(f"{opened.path.stem}_balanced.yaml")
        write_override(file, opened.path, _text(opened, found), options.overwrite)
    return Balanced(opened, found, file)


def _light(opened: OpenScene, options: BalanceOptions, watch: Progress) -> LightNumbers:
    readings = read_light(opened, options.variant, watch)
    return light_numbers(opened.stage, readings)


def _text(opened: OpenScene, found: Balance) -> str:
    lights = {}
    for name, dimmed in found.lights.items():
        remark = f"was {dimmed.before_pct:g}"
        knob = knob_pct(opened, name, dimmed.after_pct)
        if abs(knob - dimmed.after_pct) > 0.5:
            remark += f"; set its dimmer to {knob:.0f}"
        lights[name] = (dimmed.after_pct, remark)
    heading = (
        f"{opened.scene.title}: dimmers and ND by previz balance,\n"
        f"for camera {found.camera} on {found.subject}. Dimmers are in per cent of the light."
    )
    windows = {name: gelled.after for name, gelled in found.windows.items()}
    return override_text(opened.path.name, heading, lights, windows)


def knob_pct(opened: OpenScene, light: str, output_pct: float) -> float:
    """Where a light's dimmer stands for an output, by its fixture's curve."""
    fixture = opened.catalog.fixture(opened.scene.lights[light].fixture)
    return 100.0 * level_for_share(output_pct / 100.0, fixture.dimmer_curve)


def balance_lines(done: Balanced) -> Iterator[str]:
    """What was found, in sentences."""
    found = done.balance
    for name, dimmed in found.lights.items():
        knob = knob_pct(done.opened, name, dimmed.after_pct)
        dial = f" (dimmer at {knob:.0f})" if abs(knob - dimmed.after_pct) > 0.5 else ""
        yield f"{name}: {dimmed.before_pct:g} % -> {dimmed.after_pct:g} % of its light{dial}"
    for name, gelled in found.windows.items():
        yield f"{name}: ND {gelled.before:g} -> {gelled.after:g}"
    for target in found.targets:
        yield from _target(target)


def _target(target: TargetResult) -> Iterator[str]:
    name = target.target.replace("_", " ").replace("/", " ")
    unit = " : 1" if target.unit == "ratio" else f" {target.unit}"
    sign = "" if target.unit == "ratio" else "+"
    said = f"{name}: {target.got:{sign}.1f}{unit}, wanted {target.wanted:{sign}.1f}"
    if target.reached:
        yield f"{said}: reached"
        return
    yield f"{said}: {abs(target.off_stops):.1f} stops {'over' if target.off_stops > 0 else 'short'}"
    yield from (f"  {cure}" for cure in target.cures)


def balance_json(done: Balanced) -> dict[str, object]:
    """The same by name."""
    found = done.balance
    return {
        "camera": found.camera,
        "subject": found.subject,
        "lights": {
            name: {
                "dimmer_pct_before": dimmed.before_pct,
                "dimmer_pct": dimmed.after_pct,
                "dimmer_setting_pct": round(knob_pct(done.opened, name, dimmed.after_pct), 1),
            }
            for name, dimmed in found.lights.items()
        },
        "windows": {
            name: {"gel_nd_before": gelled.before, "gel_nd": gelled.after}
            for name, gelled in found.windows.items()
        },
        "targets": [
            {
                "target": target.target,
                "wanted": target.wanted,
                "got": round(target.got, 3),
                "unit": target.unit,
                "off_stops": round(target.off_stops, 3),
                "reached": target.reached,
                "cures": list(target.cures),
            }
            for target in found.targets
        ],
        "reached": found.reached,
        "cautions": list(done.cautions),
        "file": None if done.file is None else str(done.file),
    }
