"""Bodies for the tests of people: each one is built once, whoever asks for it."""

from __future__ import annotations

from functools import lru_cache

from previz.geometry.people import Body, Figure, Pose, build_person


@lru_cache(maxsize=24)
def built(figure: Figure, pose: Pose = Pose()) -> Body:  # noqa: B008 - frozen
    """The body of a figure in a pose. It takes seconds, and what it gives is never changed."""
    return build_person(figure, pose)
