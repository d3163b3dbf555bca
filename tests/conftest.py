"""Mannequins: people of few triangles, so that whole sets are built in milliseconds."""

from __future__ import annotations

import signal

import numpy as np
import pytest
import trimesh

from previz.geometry.mesh import Mesh
from previz.geometry.people import Body, Figure, Pose
from previz.geometry.piece import Piece
from previz.render.variants import choose

# Dr.Jit looks for LLVM when it is imported, so whoever imports it first decides for all tests.
choose()
# Whoever is started in the background may have been told to ignore an interrupt, and its children
# with it; those that tests start are to be interrupted.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

STATURE_M = {"female": (1.6285, 0.0642), "male": (1.7562, 0.0686)}
NORMAL_QUANTILES = ((1, -2.326), (5, -1.645), (25, -0.674), (50, 0.0), (75, 0.674), (95, 1.645),
                    (99, 2.326))  # fmt: skip


BALL = (trimesh.creation.icosphere(4).vertices.copy(), trimesh.creation.icosphere(4).faces.copy())
ROD = trimesh.creation.cylinder(1.0, 1.0, sections=16)
ROD = (ROD.vertices.copy(), ROD.faces.copy())


LONGEST = (
    "watch/test_main_job.py", "house/test_main_job.py", "house/test_surface.py",
    "page/test_relit.py", "api/test_drawn_truth.py", "geometry/people/", "closed_form/",
)  # fmt: skip
"""Files that take minutes: begun first, or one process would end with them alone."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """How many people drawn by lot are built: `geometry/people/test_drawn_people.py`."""
    parser.addoption("--people", type=int, default=6)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes longest; the rest in the order of its folders."""
    items.sort(key=lambda item: not any(name in item.nodeid for name in LONGEST))


def limb(start: np.ndarray, end: np.ndarray, radius_m: float) -> Mesh:
    along = end - start
    length = float(np.linalg.norm(along))
    z = along / length
    x = np.cross([0.0, 1.0, 0.0] if abs(z[1]) < 0.9 else [1.0, 0.0, 0.0], z)
    x /= np.linalg.norm(x)
    axes = np.stack([x * radius_m, np.cross(z, x) * radius_m, z * length])
    points = ROD[0] @ axes + 0.5 * (start + end)
    return Mesh(points, ROD[1])


def stature_m(figure: Figure) -> float:
    if figure.stature_m is not None:
        return figure.stature_m
    mean, deviation = STATURE_M[figure.sex]
    at, z = zip(*NORMAL_QUANTILES, strict=True)
    return mean + deviation * float(np.interp(figure.stature_percentile, at, z))


def mannequin(figure: Figure, pose: Pose, archive: object = None) -> Body:
    """A head, a trunk and limbs where those of a person of this stature would be."""
    del archive
    unit = stature_m(figure) / 1.63
    seated = pose.posture != "standing"
    hip = pose.seat_height_m + 0.09 * unit if seated else 0.90 * unit
    lean = 0.18 * unit if pose.posture == "leaning" else 0.0

    def up(x: float, y: float, z: float) -> np.ndarray:
        return np.array([x * unit, y * unit - lean * z / 0.75, hip + z * unit])

    marks = {
        "eye_left": up(0.031, -0.121, 0.65),
        "eye_right": up(-0.031, -0.121, 0.65),
        "head_top": up(0.0, -0.058, 0.76),
        "hair_top": up(0.0, -0.058, 0.775),
        "chin": up(0.0, -0.13, 0.536),
        "nose_tip": up(0.0, -0.157, 0.612),
        "nose_root": up(0.0, -0.141, 0.648),
        "mouth": up(0.0, -0.148, 0.58),
        "ear_left": up(0.08, -0.038, 0.646),
        "ear_right": up(-0.08, -0.038, 0.646),
        "shoulder_left": up(0.19, -0.011, 0.46),
        "shoulder_right": up(-0.19, -0.011, 0.46),
        "neck": up(0.0, -0.016, 0.53),
        "chest": up(0.0, 0.05, 0.32),
        "waist": up(0.0, 0.017, 0.084),
    }
    knee = np.array([0.13, -0.43, pose.seat_height_m + 0.04]) if seated else [0.1, 0.0, 0.47 * unit]
    for side, sign in (("left", 1.0), ("right", -1.0)):
        marks[f"elbow_{side}"] = up(sign * 0.23, -0.05, 0.2)
        marks[f"wrist_{side}"] = up(sign * 0.12, -0.26, 0.1)
        marks[f"hip_{side}"] = up(sign * 0.1, 0.0, 0.0)
        marks[f"knee_{side}"] = np.array([sign * knee[0], knee[1], knee[2]])
        marks[f"ankle_{side}"] = np.array([sign * knee[0], knee[1], 0.09])
    marks["eyes"] = 0.5 * (marks["eye_left"] + marks["eye_right"])
    face = np.array([0.0, -1.0, 0.0])
    gaze = face
    if pose.gaze_target is not None:
        gaze = np.asarray(pose.gaze_target) - marks["eyes"]
        gaze = gaze / np.linalg.norm(gaze)
    return Body(tuple(_pieces(marks, unit)), None, marks, face, gaze, np.stack([gaze, gaze]))


def _pieces(marks: dict[str, np.ndarray], unit: float) -> list[Piece]:
    tall = float(marks["hair_top"][2] - marks["chin"][2])
    middle = 0.5 * (marks["hair_top"] + marks["chin"])
    ball, ball_faces = BALL
    at = ball * [0.078 * unit, 0.1 * unit, tall / 2.0] + [0.0, marks["head_top"][1], middle[2]]
    head = Mesh(at, ball_faces)
    limbs = [
        (marks["neck"], marks["head_top"] - [0, 0, 0.1], 0.055),
        (marks["shoulder_left"], marks["elbow_left"], 0.05),
        (marks["shoulder_right"], marks["elbow_right"], 0.05),
        (marks["elbow_left"], marks["wrist_left"], 0.04),
        (marks["elbow_right"], marks["wrist_right"], 0.04),
        (marks["waist"], marks["neck"], 0.15),
    ]
    for side in ("left", "right"):
        limbs.append((marks[f"hip_{side}"], marks[f"knee_{side}"], 0.075))
        limbs.append((marks[f"knee_{side}"], marks[f"ankle_{side}"], 0.055))
    pieces = [Piece("skin", head, "skin", smooth=True)]
    for number, (start, end, radius) in enumerate(limbs):
        mesh = limb(np.asarray(start, float), np.asarray(end, float), radius * unit)
        name = "jumper" if number == len(limbs) - 5 else f"limb {number}"
        pieces.append(Piece(name, mesh, "skin", smooth=True))
    return pieces


def eye_point(figure: Figure, pose: Pose) -> np.ndarray:
    return mannequin(figure, pose).landmarks["eyes"]


@pytest.fixture
def mannequins(monkeypatch: pytest.MonkeyPatch) -> None:
    """Scenes built in this test have mannequins for people."""
    monkeypatch.setattr("previz.stage.people.build_person", mannequin)
    monkeypatch.setattr("previz.stage.people.eye_point", eye_point)


PLAIN = """\
previz: 1
title: Plain room
room: {width_m: 6, depth_m: 8, height_m: 3}
people:
  guest: {at_m: [0, 0], seat: stool, turn_deg: 0, stature_cm: 165}
cameras:
  A:
    sensor: full_frame
    lens: zoom_24_105_f4
    focal_length_mm: 70
    f_number: 4
    place: {at_m: [0, -2.5], height: eye}
    aim: guest
    aim_from_top_pct: 36
"""


@pytest.fixture
def plain() -> str:
    """A plain room with one guest and one camera, as text, changed by each test as it needs."""
    return PLAIN
