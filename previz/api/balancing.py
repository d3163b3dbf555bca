"""Balancing: the dimmers and ND that give what the scene's targets ask for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from previz.api.light import read_light
from previz.api.opening import OpenScene, Source, opened_from
from previz.api.progress import Progress, Silence
from previz.deliver.override import override_text, refuse_override, write_override
from previz.errors import InputError, Place, Problem
from previz.measure.light.light import LightNumbers, light_numbers
from previz.measure.rules.cautions import cautions_for
from previz.solve.balance import (
    Balance,
    Gelled,
    dimmed,
    results,
    solve,
)
from previz.solve.cures import cures
from previz.solve.posing import pose, whom_for
from previz.telling.cautions import printed


@dataclass(frozen=True)
class BalanceOptions:
    """Where the settings go; `dry` writes nothing."""

    out: Path | str | None = None
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


def balance_scene(
    source: Source, options: BalanceOptions | None = None, progress: Progress | None = None
) -> Balanced:
    """Solve the targets of a scene for its dimmers and the ND on its windows.

    InputError when it has no targets, or one that nothing on the set can serve; OutputError, before
    any light is read, where the file of settings may not be written.
    """
    options = options or BalanceOptions()
    opened = opened_from(source, options.settings)
    scene, stage, catalog = opened.scene, opened.stage, opened.catalog
    file = None if options.dry else _file(opened, options)
    if file is not None:
        refuse_override(file, opened.path, overwrite=options.overwrite)
    try:
        whom_for(stage, scene.targets)
    except ValueError as error:
        raise _unsolvable(opened, error) from error
    light = _light(opened, options, progress or Silence())
    try:
        problem = pose(stage, scene.targets, light)
    except ValueError as error:
        raise _unsolvable(opened, error) from error
    factors, density = solve(problem)
    found = Balance(
        camera=problem.camera,
        subject=problem.subject,
        lights={name: dimmed(stage.lights[name], factors[name]) for name in problem.free},
        windows={name: Gelled(problem.windows[name], density[name]) for name in density},
        targets=tuple(
            replace(r, cures=cures(r, problem, factors, density, stage, catalog, light))
            for r in results(problem, factors, scene.targets)
        ),
    )
    if file is not None:
        text = override_text(opened.path.name, scene.title, found)
        write_override(file, opened.path, text, overwrite=options.overwrite)
    return Balanced(opened, found, file)


def _unsolvable(opened: OpenScene, error: ValueError) -> InputError:
    return InputError([Problem(Place(opened.path), f"balance: {error}")])


def _file(opened: OpenScene, options: BalanceOptions) -> Path:
    usual = opened.path.with_name(f"{opened.path.stem}_balanced.yaml")
    return Path(options.out) if options.out else usual


def _light(opened: OpenScene, options: BalanceOptions, watch: Progress) -> LightNumbers:
    readings = read_light(opened, options.variant, watch)
    return light_numbers(opened.stage, readings)
