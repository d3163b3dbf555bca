"""Does the scene agree with itself, with the catalogue and with the files it names?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from previz.model.growth import GROWN_YEARS, statures_cm
from previz.scenefile.known import check_names
from previz.scenefile.lighting import check_lights
from previz.scenefile.mains import check_mains
from previz.scenefile.moving import check_moves
from previz.scenefile.optics import check_cameras
from previz.scenefile.paths import PathError, resolve_inside
from previz.scenefile.placing import check_placing
from previz.scenefile.settings import COLLECTIONS
from previz.scenefile.validate import Fault
from previz.scenefile.view import View
from previz.scenefile.wording import Trail, listed, shown, spoken
from previz.scenefile.yaml_tree import Mapping

if TYPE_CHECKING:
    from previz.catalog import Catalog

# More names in one collection than the models accept anywhere: that has been reported.
MAX_NAMES = 200
MESH_ENDINGS = (".glb", ".gltf", ".obj", ".ply", ".stl")
ASSETS: tuple[tuple[Trail, tuple[str, ...]], ...] = (
    (("room", "scan", "file"), MESH_ENDINGS),
    (("look", "lut"), (".cube",)),
)
"""Where a scene names files, and how their names may end."""


def cross_reference(
    tree: Mapping, faults: list[Fault], catalog: Catalog, folder: Path
) -> list[Fault]:
    """What does not fit together among the values that are sound in themselves."""
    view = View(tree, faults)
    if any(len(view.names(collection)) > MAX_NAMES for collection in COLLECTIONS):
        return []
    check_names(view, catalog)
    check_cameras(view, catalog)
    check_lights(view, catalog)
    check_mains(view, catalog)
    check_placing(view, catalog)
    check_moves(view, catalog)
    _check_statures(view)
    _check_shared_seats(view)
    _check_delivery(view)
    _check_pitch(view)
    _check_files(view, folder, catalog.root)
    return view.found


def _check_statures(view: View) -> None:
    """Which statures are modelled hangs on the age, and a child's on the sex too."""
    for name in view.names("people"):
        trail = ("people", name, "stature_cm")
        stature_cm, sex = view.number(*trail), view.text("people", name, "sex")
        age_years = view.number("people", name, "age_years")
        if stature_cm is None or sex is None or age_years is None:
            continue
        low, high = statures_cm(sex, age_years)
        if not low <= stature_cm <= high:
            of = "" if age_years >= GROWN_YEARS else f"sex: {sex} and "
            view.say_found(trail, f"from {low:g} to {high:g} with {of}age_years: {age_years:g}")


def _check_shared_seats(view: View) -> None:
    """Who shares a seat names whoever has it."""
    for name in view.names("people"):
        trail = ("people", name, "seat_with")
        owner = view.text(*trail)
        if (
            owner in view.names("people")
            and owner != name
            and view.lacking("people", owner, "seat")
        ):
            view.say(trail, f"{spoken(str(owner))} has no seat of their own; name whoever has one")


def _check_delivery(view: View) -> None:
    trail = ("picture", "delivery")
    shapes = view.value(*trail)
    if isinstance(shapes, list):
        twice = [shape for shape in dict.fromkeys(shapes) if shapes.count(shape) > 1]
        if twice:
            view.say(trail, f"each shape is delivered once, found {listed(twice, 'and')} again")


def _check_pitch(view: View) -> None:
    for name in view.inside("pitch", "cameras"):
        known = view.names("cameras")
        if name not in known:
            trail = ("pitch", "cameras", name)
            view.say(trail, f"there is no camera {spoken(str(name))}; the scene has "
                     f"{listed(known, 'and')}")  # fmt: skip


def alternatives_named(tree: Mapping) -> list[Trail]:
    """Where a scene's tree names the files of its alternatives."""
    names = View(tree, []).inside("pitch", "alternatives")
    return [("pitch", "alternatives", name, "scene") for name in names]


def files_named(tree: Mapping) -> tuple[str, ...]:
    """Names of all files that a scene's tree names, sound or not."""
    view = View(tree, [])
    texts = (view.text(*trail) for trail, _ in _assets(view))
    return tuple(text for text in texts if text is not None)


def _assets(view: View) -> list[tuple[Trail, tuple[str, ...]]]:
    lights = [(("lights", name, "ies"), (".ies",)) for name in view.names("lights")]
    looks = [(trail, (".yaml", ".yml")) for trail in alternatives_named(view.tree)]
    return [*ASSETS, *lights, *looks]


def _check_files(view: View, folder: Path, catalog_root: Path) -> None:
    for trail, endings in _assets(view):
        name = view.text(*trail)
        if name is None:
            continue
        if not name.lower().endswith(endings):
            view.say(trail, f"must end in {listed(endings)}, found {shown(name)}")
            continue
        try:
            resolve_inside(folder, name, catalog_root)
        except PathError as error:
            view.say(trail, f"{shown(name)}: {error}")
