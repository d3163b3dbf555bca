"""Which face each person of a scene has: the one asked for, else one that nobody else has."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from previz.catalog import Catalog
from previz.geometry.people.faces import Face, drawn
from previz.geometry.people.skin import ita_of
from previz.model.faces import FaceRecord
from previz.model.people import Person
from previz.model.scene import Scene
from previz.stage.furnishing import seed_of

# The catalogue's words for the measures of a head, and the survey's.
MEASURES = {
    "breadth": "headbreadth",
    "length": "headlength",
    "face_length": "mentonsellionlength",
    "cheekbones": "bizygomaticbreadth",
    "eyes_apart": "interpupillarybreadth",
}


def faces_of(scene: Scene, catalog: Catalog) -> dict[str, Face]:
    """A face for everyone in the scene, by their names.

    People are served in the scene's order, so that one who is added at its end changes nobody.
    """
    asked = {p.face for p in scene.people.values() if isinstance(p.face, str)}
    chosen: dict[str, Face] = {}
    for name, person in scene.people.items():
        seed = seed_of(f"people.{name}", scene.seed)
        if isinstance(person.face, int):
            chosen[name] = drawn(person.face, ita_of(person.skin))
            continue
        record = person.face or _free(person, seed, catalog, asked)
        if record is None:
            chosen[name] = drawn(seed, ita_of(person.skin))
        else:
            asked.add(record)
            chosen[name] = as_face(catalog.face(record), seed_of(record, 0))
    return chosen


def as_face(record: FaceRecord, seed: int) -> Face:
    """A record of the catalogue as geometry wants it; `seed` is how its sides differ."""
    descent = record.descent
    scores = tuple((MEASURES[word], value) for word, value in record.head.model_dump().items())
    features = tuple(record.features.items())
    return Face(descent.africa, descent.asia, descent.europe, features, scores, seed)


def _free(person: Person, seed: int, catalog: Catalog, taken: Iterable[str]) -> str | None:
    """A face that goes with sex and skin and that nobody has, or None when all are taken."""
    records: Mapping[str, FaceRecord] = {n: catalog.face(n) for n in catalog.names("faces")}
    fitting = [
        name
        for name, record in records.items()
        if record.sex == person.sex and person.skin in record.skins
    ]
    # Begin somewhere by the seed and go round: another seed is another face.
    turned = fitting[seed % len(fitting) :] + fitting[: seed % len(fitting)] if fitting else []
    return next((name for name in turned if name not in taken), None)
