"""From a figure to the body at rest: solve for the shape whose measures are the percentile's.

The wanted measures come from `anthropometry`; the shape directions come from the archive. Each
measure is taken on the mesh as the survey takes it on the person, and damped chord steps on the
slopes of a middling body find the coefficients. No coefficient is written down by hand.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from previz.geometry.people import anthropometry, faces
from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.cheekbones import arch_edges, drawn_in, over_cheekbones
from previz.geometry.people.faces import Face, drawn, head_score
from previz.geometry.people.figure import Figure, Sex
from previz.geometry.people.growth import child_measure_m, maturity, mixed_ages
from previz.geometry.people.landmarks import Landmarks, find_landmarks, joint_weight
from previz.geometry.people.skeleton import about_axis, joint_transforms, shortest, skin
from previz.geometry.people.skin import ita_of
from previz.model.growth import GROWN_YEARS

# Directions the search may use, with how freely (standard deviation of the coefficient).
FREE = {
    "torso-scale-vert": 1.0,
    "torso-scale-horiz": 1.0,
    "torso-scale-depth": 1.0,
    "measure-shoulder-dist": 1.0,
    "measure-neck-height": 0.5,
    "measure-upperleg-height": 1.0,
    "measure-lowerleg-height": 1.0,
    "head-scale-vert": 0.7,
    "head-scale-depth": 1.0,
    "head-scale-horiz": 1.0,
    "cheek-bones": 0.4,
    "eye-trans-out": 0.7,
    "chin-height": 0.4,
    "upperarm-scale-horiz": 0.6,
    "hip-scale-depth": 0.8,
}

# Measures sought, and the error in metres that counts as one.
SOUGHT = {
    "stature": 0.002,
    "sittingheight": 0.002,
    "eyeheightsitting": 0.002,
    "poplitealheight": 0.006,
    "kneeheightsitting": 0.006,
    "headbreadth": 0.001,
    "headlength": 0.0015,
    "bideltoidbreadth": 0.003,
    "biacromialbreadth": 0.008,
    "mentonsellionlength": 0.003,
    "bizygomaticbreadth": 0.003,
    "interpupillarybreadth": 0.001,
    "acromialheight": 0.010,
    "buttockkneelength": 0.008,
    "chestdepth": 0.015,
}

# How far build moves the breadth and depth of the trunk, in standard scores.
BUILD_SCORES = {"bideltoidbreadth": 0.9, "chestdepth": 1.4}

# Measures that are the face's own, and follow the stature but loosely.
HEAD_MEASURES = (*faces.HEAD, "interpupillarybreadth")
SEATED_YEARS = (25.0, 90.0)

STEP = 0.05  # of a coefficient, for the slopes
ROUNDS = 8
CHEEKBONES = "bizygomaticbreadth"


@dataclass(frozen=True, eq=False)
class RestBody:
    """A body at rest: vertices (V, 3), joints (J, 3), metres, arms away from the trunk.

    achieved   the survey's measures as taken on this body, metres
    wanted     the same measures as the percentile asks
    """

    data: BodyData
    vertices: Array
    joints: Array
    achieved: dict[str, float]
    wanted: dict[str, float]


def wanted_measures(figure: Figure) -> dict[str, float]:
    """The measures a figure asks for, metres."""
    sex, age_years, face = figure.sex, figure.age_years, face_of(figure)
    if figure.stature_m is None:
        score = anthropometry.standard_score(figure.stature_percentile)
        stature_m = anthropometry.stature_at_m(sex, age_years, score)
    else:
        score = anthropometry.score_of_stature(sex, figure.stature_m, age_years)
        stature_m = figure.stature_m
    wanted = {"stature": stature_m}
    for name in [name for name in SOUGHT if name != "stature"]:
        own = anthropometry.within_survey(name, score)
        own += figure.build_number() * BUILD_SCORES.get(name, 0.0)
        if name in HEAD_MEASURES:
            own = head_score(face, name, own)
        if age_years < GROWN_YEARS:
            wanted[name] = child_measure_m(sex, age_years, name, (own, score), stature_m)
        else:
            wanted[name] = anthropometry.measure_m(sex, name, own)
    return wanted


def rest_body(data: BodyData, figure: Figure) -> RestBody:
    """The body of `figure` standing at rest; the same object for the same looks."""
    key = (figure.sex, figure.age_years, figure.stature_percentile, figure.stature_m)
    return _rest_body(data, *key, figure.build_number(), face_of(figure))


def face_of(figure: Figure) -> Face:
    """The figure's own face, or one drawn by its seed."""
    return figure.face or drawn(figure.seed, ita_of(figure.skin), scored=False)


@lru_cache(maxsize=32)
def _rest_body(
    data: BodyData,
    sex: str,
    age_years: float,
    percentile: float,
    stature_m: float | None,
    build: float,
    face: Face,
) -> RestBody:
    figure = Figure(
        sex="male" if sex == "male" else "female",
        age_years=age_years,
        stature_percentile=percentile,
        stature_m=stature_m,
        build=build,
        face=face,
    )
    wanted = wanted_measures(figure)
    # A child's cheekbones are out of the archive's reach: they are drawn in afterwards.
    child = age_years < GROWN_YEARS
    search = _Search(data, *_roughly(data, figure, wanted), wanted, [CHEEKBONES] if child else [])
    vertices, joints = search.solve(_slopes_of(data, figure.sex, min(age_years, GROWN_YEARS)))
    if child:
        middle = np.mean(_eye_middles(data, vertices), axis=0)
        vertices = drawn_in(data, vertices, middle, wanted[CHEEKBONES])
    return RestBody(data, vertices, joints, measures(data, vertices, joints), wanted)


@lru_cache(maxsize=8)
def _slopes_of(data: BodyData, sex: Sex, age_years: float) -> Array:
    """Slopes of the search on an average body of one sex and age, near to every other one.

    age_years  GROWN_YEARS stands for all who are grown
    """
    plain = Figure(sex=sex, age_years=45.0 if age_years == GROWN_YEARS else age_years, face=Face())
    wanted = wanted_measures(plain)
    return _Search(data, *_roughly(data, plain, wanted), wanted).slopes()


def _roughly(data: BodyData, figure: Figure, wanted: dict[str, float]) -> tuple[Array, Array]:
    """The body by nature alone; of a child, as tall as it should be, for the archive's are not."""
    vertices, joints = blend(data, nature(data, figure))
    if figure.age_years >= GROWN_YEARS:
        return vertices, joints
    scale = wanted["stature"] / measures(data, vertices, joints)["stature"]
    return scale * vertices, scale * joints


def nature(data: BodyData, figure: Figure) -> dict[str, float]:
    """Coefficients of sex, age, build and face: everything the survey does not measure."""
    first, last = SEATED_YEARS
    old = float(np.clip((figure.age_years - first) / (last - first), 0.0, 1.0))
    grown = maturity(figure.age_years)
    build = figure.build_number()
    found: dict[str, float] = {}
    for age, share in mixed_ages(figure.age_years, old).items():
        found[f"{figure.sex}-{age}"] = share
        if age == "baby":
            continue
        if build >= 0.0:
            found[f"{figure.sex}-{age}-heavy"] = share * 0.55 * build
        else:
            found[f"{figure.sex}-{age}-light"] = share * -0.6 * build
    found[f"{figure.sex}-muscular"] = grown * (0.25 if figure.sex == "male" else 0.05)
    return found | faces.coefficients(data, face_of(figure), figure.sex, old, grown)


def blend(data: BodyData, coefficients: dict[str, float]) -> tuple[Array, Array]:
    """Vertices (V, 3) and joints (J, 3) at the given coefficients."""
    vertices, joints = data.base.copy(), data.joints.copy()
    for name, value in coefficients.items():
        if value == 0.0:
            continue
        direction = data.shapes[name] if name in data.shapes else data.features[name]
        vertices[direction.index] += value * direction.move
        if direction.joints is not None:
            joints += value * direction.joints
    return vertices, joints


class _Search:
    """Damped chord steps over the free directions and one uniform scale."""

    def __init__(
        self,
        data: BodyData,
        vertices: Array,
        joints: Array,
        wanted: dict[str, float],
        left_out: Collection[str] = (),
    ) -> None:
        self.data, self.vertices, self.joints = data, vertices, joints
        self.names = list(FREE)
        self.near = _measured_moves(data)
        self.spread = np.array([*FREE.values(), 0.10])
        self.target = np.array([wanted[name] for name in SOUGHT])
        counts = [0.0 if name in left_out else 1.0 for name in SOUGHT]
        self.weight = np.array(counts) / np.array(list(SOUGHT.values()))

    def body(self, x: Array) -> tuple[Array, Array]:
        vertices, joints = self.vertices.copy(), self.joints.copy()
        for name, value in zip(self.names, x, strict=False):
            direction = self.data.shapes[name]
            vertices[direction.index] += value * direction.move
            if direction.joints is not None:
                joints += value * direction.joints
        scale = 1.0 + x[-1]
        return vertices * scale, joints * scale

    def measured(self, x: Array) -> Array:
        """Measures at `x`; only the vertices that count are moved."""
        vertices, joints = self.vertices.copy(), self.joints.copy()
        for name, (index, move), value in zip(self.names, self.near, x, strict=False):
            vertices[index] += value * move
            lengths = self.data.shapes[name].joints
            if lengths is not None:
                joints += value * lengths
        scale = 1.0 + x[-1]
        found = measures(self.data, vertices * scale, joints * scale)
        return np.array([found[name] for name in SOUGHT])

    def slopes(self) -> Array:
        """How the measures follow the directions, by differences about zero."""
        x = np.zeros(len(self.spread))
        now = self.measured(x)
        return np.stack([(self.measured(x + STEP * one) - now) / STEP for one in np.eye(len(x))], 1)

    def solve(self, slopes: Array) -> tuple[Array, Array]:
        """Chord steps on slopes of a like body: the measures are nearly linear."""
        x = np.zeros(len(self.spread))
        rows = np.vstack([slopes * self.weight[:, None], np.diag(0.5 / self.spread)])
        for _ in range(ROUNDS):
            error = (self.target - self.measured(x)) * self.weight
            x = x + np.linalg.lstsq(rows, np.concatenate([error, -0.5 * x / self.spread]))[0]
        return self.body(x)


@lru_cache(maxsize=2)
def _measured_moves(data: BodyData) -> tuple[tuple[Index, Array], ...]:
    """The free directions, for the vertices that any measure looks at alone."""
    marks = find_landmarks(data)
    single = (marks.head_top, marks.chin, marks.nose_root, *marks.acromion, *marks.knee_front)
    used = np.zeros(len(data.base), dtype=bool)
    used[[*single, *_shank(data), *_hollow_index(data)]] = True
    arch = np.unique(arch_edges(data))
    for group in (marks.sole, marks.skull, arch, marks.shoulder, marks.seat, marks.chest):
        used[group] = True
    for side in ("left", "right"):
        used[data.part(f"eye_{side}")] = True
    moves = []
    for name in FREE:
        direction = data.shapes[name]
        keep = used[direction.index]
        moves.append((direction.index[keep], direction.move[keep]))
    return tuple(moves)


def measures(data: BodyData, vertices: Array, joints: Array) -> dict[str, float]:
    """The survey's measures as taken on a body at rest, metres."""
    marks = find_landmarks(data)
    body = vertices[data.part("body")]
    centres = _eye_middles(data, vertices)
    floor = float(body[marks.sole, 2].min())
    seat = _seated(data, vertices, joints, marks)
    skull, chest = body[marks.skull], body[marks.chest]
    acromion = body[list(marks.acromion)]
    return {
        "stature": float(body[marks.head_top, 2] - floor),
        "sittingheight": float(body[marks.head_top, 2] - seat["seat"]),
        "eyeheightsitting": float(np.mean([c[2] for c in centres]) - seat["seat"]),
        "poplitealheight": seat["popliteal"],
        "kneeheightsitting": seat["knee"],
        "buttockkneelength": seat["buttock_knee"],
        "headbreadth": float(np.ptp(skull[:, 0])),
        "headlength": float(np.ptp(skull[:, 1])),
        "bideltoidbreadth": _over_deltoids(data, vertices, joints, marks),
        "biacromialbreadth": float(acromion[0, 0] - acromion[1, 0]),
        "mentonsellionlength": float(np.linalg.norm(body[marks.nose_root] - body[marks.chin])),
        "bizygomaticbreadth": over_cheekbones(data, body, np.mean(centres, axis=0)),
        "interpupillarybreadth": float(centres[0][0] - centres[1][0]),
        "acromialheight": float(acromion[:, 2].mean() - floor),
        "chestdepth": float(np.ptp(chest[_breast(chest[:, 2], joints, data), 1])),
    }


def _eye_middles(data: BodyData, vertices: Array) -> list[Array]:
    """Middles (3,) of the body's own eyes."""
    eyes = [vertices[data.part(f"eye_{side}")] for side in ("left", "right")]
    return [0.5 * (eye.min(axis=0) + eye.max(axis=0)) for eye in eyes]


def _breast(height: Array, joints: Array, data: BodyData) -> Array:
    low, high = joints[data.joint("spine02"), 2], joints[data.joint("spine01"), 2]
    return np.asarray((height > low) & (height < high))


def _carried(
    data: BodyData, vertices: Array, joints: Array, index: Index, turns: dict[str, Array]
) -> Array:
    moves = joint_transforms(joints, data.parents, {data.joint(k): v for k, v in turns.items()})
    return skin(vertices[index], data.weight_joints[index], data.weights[index], moves)


def erect_turns(joints: Array, data: BodyData) -> dict[str, Array]:
    """Rotations that seat a body erect: thighs level and straight ahead, shanks upright."""
    turns = {}
    for side in ("L", "R"):
        hip, knee, ankle = (
            joints[data.joint(f"{n}.{side}")] for n in ("upperleg01", "lowerleg01", "foot")
        )
        thigh = np.array([0.0, -1.0, 0.0])
        # About the hinge alone first, so that the thigh does not roll.
        hinge = about_axis(np.array([1.0, 0.0, 0.0]), -np.pi / 2)
        first = shortest(hinge @ (knee - hip), thigh) @ hinge
        turns[f"upperleg01.{side}"] = first
        down = first.T @ np.array([0.0, 0.0, -1.0])
        turns[f"lowerleg01.{side}"] = shortest(ankle - knee, down)
    return turns


def _seated(data: BodyData, vertices: Array, joints: Array, marks: Landmarks) -> dict[str, float]:
    turns = erect_turns(joints, data)
    seat_points = _carried(data, vertices, joints, marks.seat, turns)
    seat = float(seat_points[:, 2].min())
    legs = np.array([*marks.knee_front, *_shank(data)])
    carried = _carried(data, vertices, joints, legs, turns)
    hollow = _carried(data, vertices, joints, np.array(_hollow_index(data)), turns)
    soles = _carried(data, vertices, joints, marks.sole, turns)
    floor = float(soles[:, 2].min())
    back = float(seat_points[:, 1].max())
    return {
        "seat": seat,
        "popliteal": float(hollow[:, 2].min()) - floor,
        "knee": float(carried[:, 2].max()) - floor,
        "buttock_knee": back - float(carried[:, 1].min()),
    }


@lru_cache(maxsize=2)
def _shank_index(data: BodyData) -> tuple[int, ...]:
    n = data.ranges["body"][1]
    knee = data.joints[data.joint("lowerleg01.L"), 2]
    near = np.abs(data.base[:n, 2] - knee) < 0.12
    return tuple(np.flatnonzero(near & (joint_weight(data, "upperleg", "lowerleg")[:n] > 0.5)))


@lru_cache(maxsize=2)
def _hollow_index(data: BodyData) -> tuple[int, ...]:
    """Back of the thigh just above the hollow of the knee."""
    n = data.ranges["body"][1]
    knee = data.joints[data.joint("lowerleg01.L")]
    above = data.base[:n, 2] - knee[2]
    return tuple(np.flatnonzero((above > 0.06) & (above < 0.12) & (data.base[:n, 1] > knee[1])))


def _shank(data: BodyData) -> tuple[int, ...]:
    return _shank_index(data)


def _over_deltoids(data: BodyData, vertices: Array, joints: Array, marks: Landmarks) -> float:
    turns = {}
    for side in ("L", "R"):
        shoulder, elbow = (joints[data.joint(f"{n}.{side}")] for n in ("upperarm01", "lowerarm01"))
        turns[f"upperarm01.{side}"] = shortest(elbow - shoulder, np.array([0.0, 0.0, -1.0]))
    return float(np.ptp(_carried(data, vertices, joints, marks.shoulder, turns)[:, 0]))
