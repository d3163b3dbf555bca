"""Lights whose spread and flux come from a measurement: LM-63 files in the scene's folder."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from previz.catalog import Catalog
from previz.errors import Problem
from previz.model.scene import Scene
from previz.physics.ies import Distribution, read_ies
from previz.scenefile import Places, resolve_inside
from previz.scenefile.paths import PathError

LARGEST_BYTES = 8_000_000
WORTH_SAYING = 0.01


@dataclass(frozen=True, eq=False)
class IesFiles:
    """What the files of a scene's lights say, by light, and what is wrong with the others."""

    by_light: Mapping[str, Distribution]
    problems: tuple[Problem, ...]
    notes: tuple[str, ...]


def read_ies_files(scene: Scene, catalog: Catalog, folder: Path, places: Places) -> IesFiles:
    """Read the file of every light that names one. A file that is missing was reported before."""
    found: dict[str, Distribution] = {}
    problems, notes = [], []
    for name, light in scene.lights.items():
        if light.ies is None:
            continue
        try:
            distribution = _read(resolve_inside(folder, light.ies, catalog.root))
        except PathError:
            continue
        except ValueError as error:
            where = places.of("lights", name, "ies")
            problems.append(Problem(where, f"lights.{name}.ies: {light.ies}, {error}"))
            continue
        found[name] = distribution
        lost = 1.0 - distribution.flux_lm(90.0) / distribution.flux_lm()
        if lost > WORTH_SAYING:
            notes.append(
                f"light {name}: {lost:.0%} of the light in {light.ies} goes backwards and is left "
                "out, for its face shines to one side"
            )
    return IesFiles(found, tuple(problems), tuple(notes))


def _read(path: Path) -> Distribution:
    """ValueError, one sentence, when the file cannot be used."""
    if path.stat().st_size > LARGEST_BYTES:
        raise ValueError(f"is larger than {LARGEST_BYTES // 1_000_000} MB")
    # Keywords may hold any script; the numbers are plain in every coding that extends ASCII.
    distribution = read_ies(path.read_text(encoding="latin-1"))
    if not distribution.flux_lm(90.0) > 0.0:
        raise ValueError("all of its light goes backwards, beyond 90 degrees")
    return distribution
