"""Names in a scene: does the catalogue have them, does the scene itself?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from previz.scenefile.scope import ONLY_ROOMS, out_of_scope
from previz.scenefile.view import View
from previz.scenefile.wording import Trail, shown

if TYPE_CHECKING:
    from previz.catalog import Catalog, RecordKind

# Where a scene names a record; * stands for every name of a collection or position in a list.
_USES: tuple[tuple[str, RecordKind, str], ...] = (
    ("room.walls", "materials", "material"),
    ("room.floor", "materials", "material"),
    ("room.ceiling", "materials", "material"),
    ("openings.*.material", "materials", "material"),
    ("openings.*.covering.material", "materials", "material"),
    ("people.*.seat", "furniture", "seat"),
    ("people.*.face", "faces", "face"),
    ("furniture.*.piece", "furniture", "piece of furniture"),
    ("furniture.*.material", "materials", "material"),
    ("sets.*.set", "sets", "set"),
    ("sets.*.change.*.piece", "furniture", "piece of furniture"),
    ("sets.*.change.*.material", "materials", "material"),
    ("cameras.*.sensor", "sensors", "sensor"),
    ("cameras.*.lens", "lenses", "lens"),
    ("cameras.*.adapter", "adapters", "adapter"),
    ("lights.*.fixture", "fixtures", "fixture"),
)

# Where a scene names its own people and cameras, and which of them may be named.
_REFERENCES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("people.*.faces", ("people", "cameras")),
    ("people.*.gaze", ("people", "cameras")),
    ("people.*.seat_with", ("people",)),
    ("cameras.*.aim", ("people",)),
    ("cameras.*.focus", ("people",)),
    ("moves.*.camera", ("cameras",)),
    ("moves.*.keys.*.aim", ("people",)),
    ("moves.*.keys.*.focus", ("people",)),
    ("lights.*.aim", ("people",)),
    ("lights.*.place.camera", ("cameras",)),
    ("lights.*.place.on", ("furniture",)),
    ("sound.boom.over", ("people",)),
    ("sound.lavalier", ("people",)),
    ("exposure.white_balance.card", ("people",)),
    ("targets.camera", ("cameras",)),
    ("targets.subject", ("people",)),
)
_NOUN = {
    ("people",): "person",
    ("cameras",): "camera",
    ("people", "cameras"): "person or camera",
    ("furniture",): "furniture",
}

BUILT: tuple[RecordKind, ...] = ("furniture", "sets", "materials")
"""Kinds of records by whose names people ask for a place."""


def check_names(view: View, catalog: Catalog) -> None:
    """Every name of a catalogue record, of a person, of a camera must be known."""
    for pattern, kind, what in _USES:
        for trail in _places(view, pattern):
            name = view.text(*trail)
            if name is None or not view.given(*trail):
                continue
            if name not in catalog.names(kind) and kind in BUILT and out_of_scope(name):
                view.say(trail, f"there is no {what} called {shown(name)}; {ONLY_ROOMS}")
            elif name not in catalog.names(kind):
                look = f"previz catalog list {kind}"
                view.say_no_such(trail, what, catalog.names(kind), look)
            elif what == "seat" and catalog.furniture(name).seat_height_m is None:
                view.say(trail, f"{name} cannot be sat on; see previz catalog list {kind}")
    for pattern, collections in _REFERENCES:
        for trail in _places(view, pattern):
            _check_reference(view, trail, collections)
    _check_gels(view, catalog)
    _check_circuits(view)
    _check_meters(view)
    _check_shared_names(view)


def _check_gels(view: View, catalog: Catalog) -> None:
    for collection in ("lights", "openings"):
        for name in view.names(collection):
            gels = view.value(collection, name, "gels")
            for index in range(len(gels) if isinstance(gels, list) else 0):
                trail = (collection, name, "gels", index)
                gel = view.text(*trail)
                if gel not in catalog.names("gels"):
                    view.say_no_such(
                        trail, "gel", catalog.names("gels"), "previz catalog list gels"
                    )
                elif collection == "openings" and catalog.gel(gel).form == "diffusion":
                    view.say(trail, f"{gel} is a diffusion; a window takes correction and ND gels")


def _check_circuits(view: View) -> None:
    circuits = view.value("power", "circuits")
    known = tuple(circuits) if isinstance(circuits, dict) else ()
    for name in view.names("lights"):
        trail = ("lights", name, "circuit")
        if view.given(*trail) and view.text(*trail) not in known:
            view.say_no_such(trail, "circuit", known)


def _check_meters(view: View) -> None:
    for name in view.names("meters"):
        trail = ("meters", name, "facing")
        known = tuple(n for group in ("cameras", "lights", "people") for n in view.names(group))
        if view.given(*trail) and view.text(*trail) not in ("up", "down", *known):
            view.say_no_such(trail, "camera, light or person", known)


def _places(view: View, pattern: str) -> list[Trail]:
    trails: list[Trail] = [()]
    for part in pattern.split("."):
        if part == "*":
            trails = [(*trail, inner) for trail in trails for inner in view.inside(*trail)]
        else:
            trails = [(*trail, part) for trail in trails]
    return trails


def _check_reference(view: View, trail: Trail, collections: tuple[str, ...]) -> None:
    name = view.text(*trail) if view.given(*trail) else None
    if name is None or (trail[-1] == "focus" and name == "eye"):
        return
    known = tuple(n for collection in collections for n in view.names(collection))
    own = trail[1] if trail[0] == "people" else None
    if name not in known:
        view.say_no_such(trail, _NOUN[collections], tuple(n for n in known if n != own))
    elif name == own:
        camera = ", or a camera" if "cameras" in collections else ""
        view.say(trail, f"{shown(name)} is this person; name another{camera}")


def _check_shared_names(view: View) -> None:
    """Where one name may mean either of two things, no two may share it.

    `faces` and `gaze` name people and cameras alike; light is told by lights and windows alike.
    """
    for name in view.names("cameras"):
        if name in view.names("people"):
            view.say(("cameras", name), f"a person is called {shown(name)} too; rename one")
    for collection in ("lights", "openings"):
        if "total" in view.names(collection):
            view.say((collection, "total"), "total is the sum of all lights; rename this one")
    for name in view.names("openings"):
        if name in view.names("lights"):
            trail = ("openings", name)
            view.say(trail, f"a light is called {shown(name)} too, and both give light; rename one")
    if "eye" in view.names("people"):
        view.say(("people", "eye"), "eye has a meaning of its own in focus; rename this person")
