"""Several scenes of one day, opened with a short name each."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import count

from previz.api.folders import scene_name
from previz.api.opening import OpenScene, Source, opened_from
from previz.api.progress import Progress
from previz.errors import InputError, Problem


def all_open(
    sources: Sequence[Source], settings: Sequence[str], watch: Progress
) -> dict[str, OpenScene]:
    """The scenes by a short name each, after their files.

    `settings` belong to one scene alone: ValueError with several. InputError with the problems of
    every scene.
    """
    if settings and len(sources) != 1:
        raise ValueError("settings belong to one scene")
    found: dict[str, OpenScene] = {}
    problems: list[Problem] = []
    watch.start("reading scenes", len(sources))
    for number, source in enumerate(sources, 1):
        try:
            scene = opened_from(source, settings)
            found[_name(scene, found)] = scene
        except InputError as error:
            problems += error.problems
        watch.advance(number)
    watch.finish()
    if problems:
        raise InputError(problems)
    return found


def _name(scene: OpenScene, taken: Collection[str]) -> str:
    """The name its results have; of two alike the second is numbered."""
    name = scene_name(scene.path)
    alike = (f"{name} {number}" for number in count(2))
    return name if name not in taken else next(other for other in alike if other not in taken)
