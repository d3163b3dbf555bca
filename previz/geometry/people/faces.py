"""What makes one face unlike another: descent, features, and how the head measures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import BodyData
from previz.geometry.people.features import targets, uneven

# How far a face's features lie from the middle: standard deviations, in shares of a target.
# Estimates, judged by eye on rows of faces: more of any makes a caricature.
SPREAD = {
    "head_oval": 0.25, "head_round": 0.20, "head_square": 0.20, "head_rectangular": 0.20,
    "head_triangular": 0.12, "head_diamond": 0.15, "head_invertedtriangular": 0.15,
    "head_fat": 0.20, "forehead_nubian": 0.10, "forehead_temple": 0.25,
    "forehead_trans_forward": 0.08, "forehead_scale_vert": 0.10,
    "eyebrows_angle_up": 0.30, "eyebrows_trans_up": 0.30, "eyebrows_trans_forward": 0.20,
    "eye_scale": 0.20, "eye_height1": 0.20, "eye_height2": 0.15, "eye_height3": 0.20,
    "eye_corner1_up": 0.25, "eye_corner2_up": 0.35, "eye_push1_out": 0.25, "eye_push2_out": 0.25,
    "eye_eyefold_up": 0.35, "eye_eyefold_convex": 0.35, "eye_eyefold_angle_up": 0.35,
    "eye_epicanthus_out": 0.20, "eye_bag": 0.15, "eye_trans_up": 0.15,
    "cheek_volume": 0.25, "cheek_inner": 0.25, "cheek_bones": 0.25, "cheek_trans_up": 0.25,
    "nose_scale_horiz": 0.25, "nose_scale_depth": 0.25, "nose_scale_vert": 0.25,
    "nose_volume": 0.25, "nose_width1": 0.35, "nose_width2": 0.30, "nose_width3": 0.30,
    "nose_hump": 0.35, "nose_curve_convex": 0.25, "nose_greek": 0.25, "nose_point_up": 0.25,
    "nose_point_width": 0.35, "nose_flaring": 0.30, "nose_base_up": 0.25,
    "nose_septumangle": 0.30, "nose_nostrils_width": 0.25, "nose_compression_uncompress": 0.20,
    "mouth_scale_horiz": 0.25, "mouth_scale_vert": 0.20, "mouth_scale_depth": 0.20,
    "mouth_trans_up": 0.15, "mouth_upperlip_height": 0.25, "mouth_lowerlip_height": 0.25,
    "mouth_upperlip_volume": 0.25, "mouth_lowerlip_volume": 0.25, "mouth_cupidsbow": 0.35,
    "mouth_cupidsbow_width": 0.30, "mouth_philtrum_volume": 0.35, "mouth_angles_up": 0.20,
    "chin_prominent": 0.25, "chin_width": 0.30, "chin_bones": 0.30, "chin_jaw_drop": 0.25,
    "chin_cleft": 0.20, "chin_prognathism": 0.20, "chin_height": 0.15,
    "ear_scale": 0.30, "ear_wing": 0.25, "ear_lobe": 0.40, "ear_rot_forward": 0.25,
    "ear_shape_round": 0.40, "ear_shape_pointed": 0.15, "ear_trans_up": 0.20, "ear_flap": 0.30,
}  # fmt: skip
WIDEST = 1.8  # standard deviations
# Standard scores of the head's measures about what the stature lets expect, when drawn.
HEAD_SPREAD = 0.8
HEAD = ("headbreadth", "headlength", "mentonsellionlength", "bizygomaticbreadth")
# A head follows the stature loosely: a share of its standard score, near the correlations of these
# measures with stature in ANSUR II (0.2 to 0.4, from memory).
WITH_STATURE = 0.35
FARTHEST = 2.2  # standard scores: within the 1st and the 99th percentile of the survey

# What years do, at 90, over what the directions of age do by themselves: skin sinks, cartilage
# grows, lips and cheeks thin. Judged by eye, no source.
AGED = {
    "ear_scale": 0.20,
    "ear_lobe": 0.50,
    "nose_scale_vert": 0.20,
    "nose_point_up": -0.30,
    "nose_volume": 0.15,
    "mouth_upperlip_height": -0.35,
    "mouth_lowerlip_height": -0.25,
    "mouth_upperlip_volume": -0.30,
    "mouth_laugh_lines_out": 0.50,
    "mouth_angles_up": -0.20,
    "eye_bag": 0.40,
    "eye_eyefold_up": -0.45,
    "eye_height3": -0.25,
    "eyebrows_trans_up": -0.20,
    "cheek_volume": -0.25,
    "cheek_trans_up": -0.35,
    "chin_jaw_drop": 0.35,
    "head_age": 0.60,
    "neck_double": 0.25,
}
CHILDS = 0.5
"""How far a child's features lie from the middle, as a share of a grown-up's. By eye, no source."""
# What tells a man's face from a woman's beyond the directions of sex, and for her the other way
# round. Judged by eye, no source.
MANLY = {
    "chin_width": 0.18,
    "chin_bones": 0.20,
    "eyebrows_trans_up": -0.18,
    "eyebrows_trans_forward": 0.10,
    "eye_scale": -0.08,
    "mouth_upperlip_height": -0.08,
    "mouth_lowerlip_height": -0.08,
    "nose_volume": 0.10,
}

# The direction of male bodies has half shut eyes; these open them. Judged by eye, no source.
MEN_AWAKE = {"eye_height1": 0.15, "eye_height2": 0.25, "eye_height3": 0.15}


@dataclass(frozen=True)
class Face:
    """One face among many.

    africa, asia, europe   shares of descent, which sum to 1
    features               word of `features.py` and amount, each once
    scores                 measure of the survey and standard scores over what is usual at a stature
    seed                   how its left differs from its right
    """

    africa: float = 1.0 / 3.0
    asia: float = 1.0 / 3.0
    europe: float = 1.0 / 3.0
    features: tuple[tuple[str, float], ...] = ()
    scores: tuple[tuple[str, float], ...] = ()
    seed: int = 1


def drawn(seed: int, ita_deg: float, scored: bool = True) -> Face:
    """A face by chance, of a descent that goes with a skin of this typology angle.

    scored  whether its head measures differ too from what is usual at a stature
    """
    random = np.random.default_rng(seed)
    # Dark skin is seldom of European, light skin seldom of African descent: estimates.
    light = float(np.clip((ita_deg + 30.0) / 80.0, 0.0, 1.0))
    weights = np.array([0.15 + 2.5 * (1.0 - light) ** 2, 0.6, 0.15 + 2.5 * light**2])
    africa, asia, europe = (float(share) for share in random.dirichlet(weights))
    values = np.clip(random.normal(size=len(SPREAD)), -WIDEST, WIDEST)
    features = {word: float(v * s) for v, (word, s) in zip(values, SPREAD.items(), strict=True)}
    # A shape has no less of it.
    shapes = ("head_o", "head_r", "head_s", "head_t", "head_d", "head_i", "ear_shape")
    kept = {w: v for w, v in features.items() if v > 0.0 or not w.startswith(shapes)}
    own = np.clip(random.normal(0.0, HEAD_SPREAD, len(HEAD)), -1.5, 1.5)
    scores = zip(HEAD, (float(v) for v in own), strict=True)
    return Face(africa, asia, europe, tuple(kept.items()), tuple(scores) if scored else (), seed)


def coefficients(
    data: BodyData, face: Face, sex: str, old: float, grown: float
) -> dict[str, float]:
    """Shares of the targets of a face and of its descent.

    old    from 0 at 25 years to 1 at 90
    grown  from 0 at 10 years to 1 at 18: children are less unlike, and boys less unlike girls
    """
    amounts = {word: value * (CHILDS + (1.0 - CHILDS) * grown) for word, value in face.features}
    manly = grown * (1.0 if sex == "male" else -1.0)
    for word, value in MANLY.items():
        amounts[word] = amounts.get(word, 0.0) + manly * value
    for word, value in AGED.items():
        amounts[word] = amounts.get(word, 0.0) + old * value
    for word, value in MEN_AWAKE.items() if sex == "male" else ():
        amounts[word] = amounts.get(word, 0.0) + value
    descent = {"african": face.africa, "asian": face.asia, "caucasian": face.europe}
    found = {f"{sex}-{name}": share for name, share in descent.items()}
    return found | targets(data, amounts, face.seed) | uneven(data, face.seed)


def head_score(face: Face, measure: str, of_stature: float) -> float:
    """Standard score of a measure of the head for a face, at a stature's standard score."""
    own = dict(face.scores)
    if not own:
        return of_stature
    return float(np.clip(WITH_STATURE * of_stature + own.get(measure, 0.0), -FARTHEST, FARTHEST))
