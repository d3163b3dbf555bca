"""A scene file opened: read, checked, placed and built."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from weakref import WeakSet

from previz.api.folders import default_folder
from previz.catalog import Catalog
from previz.develop.view import view_problem
from previz.errors import InputError, Place, Problem
from previz.model.scene import Scene
from previz.render.contract import BackEnd, Renderer
from previz.scenefile import SceneDraft, read_scene, resolve_inside
from previz.solve.place import place_cameras
from previz.stage.build import Framed, build_stage
from previz.stage.stage import Stage

__all__ = [
    "OpenScene", "Source", "default_folder", "open_draft", "open_scene", "opened_from",
]  # fmt: skip


@dataclass(frozen=True, eq=False)
class OpenScene:
    """A scene file that holds: its scene, its stage, what was chosen where words stood.

    Every call of the api takes one in place of a path. It keeps the stage as it was loaded into a
    renderer, so that a second picture of it loads nothing; `close` lets go of that, and so does
    the next scene that is loaded. `digest` is of all that the file says, `set_digest` of all but
    its words (title, notes, pitch): pictures rest on that. `files` are the scene's file and all it
    is based on.
    """

    path: Path
    folder: Path
    scene: Scene
    stage: Stage
    catalog: Catalog
    digest: str
    lut: Path | None
    settings: tuple[str, ...] = ()
    set_digest: str = ""
    files: tuple[Path, ...] = ()
    _loaded: dict[tuple[str, str], Renderer] = field(default_factory=dict, init=False, repr=False)

    def renderer(self, back_end: BackEnd) -> Renderer:
        """The stage loaded into a back end, once. Whatever else is kept loaded is let go.

        Of two loaded stages each lengthens the kernels of the other, and a kernel on a graphics
        card can use one only.
        """
        key = (back_end.name, back_end.variant)
        if key not in self._loaded:
            for holder in tuple(_HOLDERS):
                holder.close()
            self._loaded[key] = back_end.load(self.stage)
            _HOLDERS.add(self)
        return self._loaded[key]

    def close(self) -> None:
        """Let go of what is loaded; the scene itself stays usable."""
        self._loaded.clear()
        _HOLDERS.discard(self)

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences on where things were placed."""
        return self.stage.notes


_HOLDERS: WeakSet[OpenScene] = WeakSet()
"""Whoever keeps a loaded stage: one at a time."""


def open_scene(
    path: Path | str, settings: Sequence[str] = (), catalog_folder: Path | None = None
) -> OpenScene:
    """Read, check and build a scene. Raises InputError with every problem found."""
    catalog = Catalog.load(catalog_folder)
    return open_draft(read_scene(Path(path), catalog, tuple(settings)), catalog, settings)


def open_draft(draft: SceneDraft, catalog: Catalog, settings: Sequence[str] = ()) -> OpenScene:
    """Build a scene that was read with these settings. InputError with every problem found.

    A scene of which faulty parts were left out is not placed: what rests on them would come to
    stand elsewhere, and one mistake would be told as several.
    """
    problems = list(draft.problems)
    scene, stage = None if draft.pruned else draft.scene, None
    notes: tuple[str, ...] = ()
    if scene is not None:
        placed = place_cameras(scene, catalog, draft.places)
        notes = placed.notes
        problems += placed.problems
        stage, misplaced = _stage(scene, catalog, draft, placed.framed)
        problems += misplaced
    lut = None
    if scene is not None and scene.look.lut is not None and not problems:
        lut = resolve_inside(draft.folder, scene.look.lut, catalog.root)
        fault = view_problem(lut, draft.places.of("look", "lut"))
        problems += [fault] if fault else []
    if problems or stage is None or scene is None:
        raise InputError(problems or [Problem(Place(draft.path), "holds no usable scene")])
    stage = replace(stage, notes=(*notes, *stage.notes))
    return OpenScene(
        draft.path, draft.folder, scene, stage, catalog, draft.digest, lut, tuple(settings),
        draft.set_digest, draft.files,
    )  # fmt: skip


Source = Path | str | OpenScene
"""What a call of the api takes: a scene file or its folder, or a scene that is open already."""


def opened_from(source: Source, settings: Sequence[str] = ()) -> OpenScene:
    """Open a scene, or take the one that is open. ValueError for settings to an open one."""
    if isinstance(source, OpenScene):
        if settings:
            raise ValueError("an open scene has its settings; open it again for others")
        return source
    return open_scene(source, settings)


def _stage(
    scene: Scene, catalog: Catalog, draft: SceneDraft, framed: Framed | None
) -> tuple[Stage | None, list[Problem]]:
    try:
        return build_stage(scene, catalog, draft.folder, draft.digest, draft.places, framed)
    except ValueError as error:
        if draft.problems:
            return None, []
        place = draft.places.of("room")
        return None, [Problem(place, f"room: {line}") for line in str(error).splitlines()]
