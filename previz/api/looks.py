"""Other looks at a scene: variants in files of their own, based on it."""

from __future__ import annotations

from collections.abc import Mapping

from previz.api.opening import OpenScene, opened_from
from previz.stage.identity import identity_of

Looks = Mapping[str, tuple[OpenScene, str | None]]
"""Other looks of a scene by name, each with its line."""


def based_on(variant: OpenScene, main: OpenScene) -> bool:
    """Whether a scene is written as a variant of another."""
    return main.path.resolve() in (path.resolve() for path in variant.files[1:])


def looks_of(opened: OpenScene, given: Looks) -> Looks:
    """Other looks that the scene names itself, with its lines; then those `given` besides.

    What was set on the scene as it was opened is set on the looks that it names as well.
    """
    looks: dict[str, tuple[OpenScene, str | None]] = {}
    known = {look.path.resolve(): name for name, (look, _) in given.items()}
    named = set()
    for name, alternative in opened.scene.pitch.alternatives.items():
        path = (opened.folder / alternative.scene).resolve()
        if path != opened.path.resolve():
            named_too = path in known
            look = given[known[path]][0] if named_too else opened_from(path, opened.settings)
            looks[name] = look, alternative.line
            named.add(path)
    return {**looks, **{n: given[n] for path, n in known.items() if path not in named}}


def telling_camera(look: OpenScene, main: OpenScene) -> str:
    """The camera that shows what a look is about: one of its own, one that is set otherwise, else
    its first."""
    names = tuple(look.stage.cameras)
    old, new = identity_of(main.stage).views, identity_of(look.stage).views
    own = [name for name in names if name not in old]
    other = [name for name in names if old.get(name) != new[name]]
    return next(iter([*own, *other, *names]))
