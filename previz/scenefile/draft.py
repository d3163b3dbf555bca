"""A scene file read as far as it can be: its scene, and everything that is wrong with it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from previz.errors import CatalogError, InputError, Place, Problem
from previz.model.scene import Scene
from previz.scenefile.crossref import ASSETS, alternatives_named, cross_reference, files_named
from previz.scenefile.layers import Layered, read_layers
from previz.scenefile.paths import PathError, resolve_inside
from previz.scenefile.places import Places
from previz.scenefile.prune import prune
from previz.scenefile.schema import model_schema
from previz.scenefile.settings import SET, apply_settings
from previz.scenefile.validate import MAX_FAULTS, Fault, find_faults
from previz.scenefile.wording import Trail
from previz.scenefile.yaml_tree import Entry, Leaf, Mapping, plain

if TYPE_CHECKING:
    from previz.catalog import Catalog

SCENE_FILE = "scene.yaml"
WORDS = ("title", "notes", "pitch")
"""Keys of a scene that only say something."""
_MOST_PRUNINGS = 40


@dataclass(frozen=True)
class SceneDraft:
    """What came of reading a scene file.

    path      the scene file; `folder` holds it and every file it names
    scene     the scene if it is sound, or what remains of it once faulty parts are left out
              (`pruned`); None if too little remains
    problems  all that is wrong, in the order of the files
    files     the scene file and all it is based on
    named     files that it names besides, as it names them, there or not
    digest    sha256 of the merged content, of the order of the cameras, and of named files
    set_digest
              the same without `WORDS`, on which no picture rests
    """

    path: Path
    folder: Path
    scene: Scene | None
    pruned: bool
    problems: list[Problem]
    places: Places
    files: tuple[Path, ...]
    named: tuple[str, ...]
    digest: str
    set_digest: str


def read_scene(
    path: Path, catalog: Catalog, settings: tuple[str, ...] = (), text: str | None = None
) -> SceneDraft:
    """Read and check a scene file, or `scene.yaml` in a folder. Raises for no user's mistake.

    `settings` are `PATH=VALUE` texts laid over the file, such as `key.dimmer_pct=50`.
    `text` is read in place of what the file holds.
    """
    return draft_of(read_layers(scene_file(path), text), catalog, settings)


def scene_file(path: Path) -> Path:
    """The scene file that a path means: itself, or `scene.yaml` in a folder."""
    return path / SCENE_FILE if path.is_dir() else path


def draft_of(layered: Layered, catalog: Catalog, settings: tuple[str, ...] = ()) -> SceneDraft:
    """Check what was read of a scene's files, with `settings` laid over it."""
    path, folder = layered.path, layered.path.parent
    if layered.tree is None:
        empty = Mapping({}, Place(path))
        return SceneDraft(
            path, folder, None, False, layered.problems, Places(empty), layered.files, (), "", ""
        )
    tree, set_problems = apply_settings(layered.tree, settings, tuple(model_schema()["properties"]))
    tree = _with_own_paths(tree, folder)
    faults, catalog_problems = _all_faults(tree, catalog, folder)
    places = Places(tree)
    found = [
        *layered.problems, *set_problems, *catalog_problems,
        *(Problem(_place(places, fault), fault.message) for fault in faults),
    ]  # fmt: skip
    scene, pruned = _sound_scene(tree, faults, catalog, folder)
    return SceneDraft(
        path=path,
        folder=folder,
        scene=scene,
        pruned=pruned,
        problems=[*_in_order(found, layered.files), *_more(faults, places)],
        places=places,
        files=layered.files,
        named=files_named(tree),
        digest=_digest(tree, folder, catalog.root),
        set_digest=_digest(_without_words(tree), folder, catalog.root),
    )


def _all_faults(tree: Mapping, catalog: Catalog, folder: Path) -> tuple[list[Fault], list[Problem]]:
    faults = find_faults(tree)
    if len(faults) >= MAX_FAULTS:
        # What is faulty beyond these is not known, so nothing else can be relied on.
        return faults, []
    try:
        return [*faults, *cross_reference(tree, faults, catalog, folder)], []
    except InputError as error:
        return faults, error.problems
    except CatalogError as error:
        return faults, [Problem(Place(catalog.root), str(error))]


def _more(faults: list[Fault], places: Places) -> list[Problem]:
    if len(faults) < MAX_FAULTS:
        return []
    return [Problem(places.of(), "there may be more problems; correct these first")]


def _place(places: Places, fault: Fault) -> Place:
    if fault.kind == "unknown":
        return places.key_of(*fault.trail)
    return places.of(*fault.trail)


def _in_order(problems: Iterable[Problem], files: tuple[Path, ...]) -> list[Problem]:
    """By file in the order of reading, then by line; the command line comes last."""
    order = {file: index for index, file in enumerate((*files, SET))}
    return sorted(set(problems), key=lambda p: (order.get(p.place.file, len(order)), p))


def _sound_scene(
    tree: Mapping, faults: list[Fault], catalog: Catalog, folder: Path
) -> tuple[Scene | None, bool]:
    """Leave out what is faulty until what remains is a scene without faults."""
    pruned = False
    if len(faults) >= MAX_FAULTS:
        return None, True
    for _ in range(_MOST_PRUNINGS):
        smaller = prune(tree, [fault.trail for fault in faults])
        if smaller is None:
            return None, True
        if smaller is tree:
            return _scene(plain(tree)), pruned
        tree, pruned = smaller, True
        faults, broken_catalog = _all_faults(tree, catalog, folder)
        if broken_catalog:
            return None, True
    return None, True


def _scene(data: Any) -> Scene | None:
    try:
        return Scene.model_validate(data)
    except ValidationError:
        return None


def _with_own_paths(tree: Mapping, folder: Path) -> Mapping:
    """File names that a base in a subfolder gives, rewritten to count from the scene's folder."""
    for trail in (*(trail for trail, _ in ASSETS), *alternatives_named(tree)):
        tree = _rebased(tree, trail, folder)
    return tree


def _rebased(node: Mapping, trail: Trail, folder: Path) -> Mapping:
    key = str(trail[0])
    entry = node.entries.get(key)
    if entry is None:
        return node
    inner = entry.node
    if len(trail) > 1 and isinstance(inner, Mapping):
        changed: Mapping | Leaf = _rebased(inner, trail[1:], folder)
    elif len(trail) == 1 and isinstance(inner, Leaf) and isinstance(inner.value, str):
        home = inner.place.file.parent
        if home == folder or not home.is_relative_to(folder) or inner.value.startswith("/"):
            return node
        changed = Leaf((home.relative_to(folder) / inner.value).as_posix(), inner.place)
    else:
        return node
    return Mapping({**node.entries, key: Entry(entry.key_place, changed)}, node.place)


def _without_words(tree: Mapping) -> Mapping:
    kept = {key: entry for key, entry in tree.entries.items() if key not in WORDS}
    return Mapping(kept, tree.place)


def _digest(tree: Mapping, folder: Path, catalog_root: Path) -> str:
    content = plain(tree)
    cameras = content.get("cameras")
    order = list(cameras) if isinstance(cameras, dict) else []
    canonical = {"scene": _canonical(content), "cameras": order}
    digest = hashlib.sha256(json.dumps(canonical, sort_keys=True, allow_nan=False).encode())
    for trail, _ in ASSETS:
        name = content
        for part in trail:
            name = name.get(part) if isinstance(name, dict) else None
        if isinstance(name, str):
            _add_file(digest, name, folder, catalog_root)
    return digest.hexdigest()


def _add_file(digest: Any, name: str, folder: Path, catalog_root: Path) -> None:
    try:
        with resolve_inside(folder, name, catalog_root).open("rb") as file:
            while block := file.read(1 << 20):
                digest.update(block)
    except (PathError, OSError):
        digest.update(b"missing")


def _canonical(value: Any) -> Any:
    """Numbers alike however written (1, 1.0); what is null is not there."""
    if isinstance(value, dict):
        return {key: _canonical(inner) for key, inner in value.items() if inner is not None}
    if isinstance(value, list):
        return [_canonical(inner) for inner in value]
    if isinstance(value, int) and not isinstance(value, bool):
        return float(value)
    return value
