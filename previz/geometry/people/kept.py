"""Bodies kept between runs: the same person in the same pose is dressed once."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz.geometry.kept import arrays_of, code, pieces_of
from previz.geometry.people import glance
from previz.geometry.people import person as building
from previz.geometry.people.archive import default_archive
from previz.geometry.people.figure import Body, Figure, Pose, Strands
from previz.memory import remembered

KIND = "people"
MOST = 48
STRANDS = ("points", "radius_m", "eumelanin", "pheomelanin", "absorption", "colour",
           "tone", "tone_absorption", "tone_colour")  # fmt: skip


def build_person(figure: Figure, pose: Pose) -> Body:
    """As `person.build_person`, from the cache if this very person was built before."""
    key = store.key_of((), _code(), figure, pose)
    arrays = store.load(KIND, key)
    if arrays is not None:
        return _body(arrays)
    body = building.build_person(figure, pose)
    store.keep(KIND, key, _arrays(body), MOST)
    return body


def eye_point(figure: Figure, pose: Pose) -> NDArray[np.float64]:
    """As `glance.eye_point`, from the cache."""
    key = store.key_of((), _code(), "eyes", figure, pose)

    def read_or_find() -> NDArray[np.float64]:
        arrays = store.load("eyes", key)
        if arrays is None:
            arrays = {"eyes": glance.eye_point(figure, pose)}
            store.keep("eyes", key, arrays, 10 * MOST)
        return np.asarray(arrays["eyes"], float)

    return remembered(("eyes", key), read_or_find)


@cache
def _code() -> str:
    """Changes with the code of shapes and with the body data."""
    return store.key_of([default_archive()], code())


def _arrays(body: Body) -> dict[str, NDArray[Any]]:
    arrays: dict[str, NDArray[Any]] = {
        "face_forward": body.face_forward,
        "gaze": body.gaze,
        "eye_axes": body.eye_axes,
        "landmark_names": np.array(list(body.landmarks)),
        "landmarks": np.array(list(body.landmarks.values())),
        **arrays_of(body.pieces),
    }
    if body.strands is not None:
        arrays |= {f"strands_{name}": np.asarray(getattr(body.strands, name)) for name in STRANDS}
    return arrays


def _body(arrays: dict[str, NDArray[Any]]) -> Body:
    strands = None
    if "strands_points" in arrays:
        strands = Strands(
            points=arrays["strands_points"],
            radius_m=arrays["strands_radius_m"],
            eumelanin=float(arrays["strands_eumelanin"]),
            pheomelanin=float(arrays["strands_pheomelanin"]),
            absorption=arrays["strands_absorption"],
            colour=arrays["strands_colour"],
            tone=arrays["strands_tone"],
            tone_absorption=arrays["strands_tone_absorption"],
            tone_colour=arrays["strands_tone_colour"],
        )
    names = [str(name) for name in arrays["landmark_names"]]
    return Body(
        pieces=pieces_of(arrays),
        strands=strands,
        landmarks=dict(zip(names, arrays["landmarks"], strict=True)),
        face_forward=arrays["face_forward"],
        gaze=arrays["gaze"],
        eye_axes=arrays["eye_axes"],
    )
