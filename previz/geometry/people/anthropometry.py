"""Body measures by percentile, from the ANSUR II survey.

Source: Gordon et al. 2014, "2012 Anthropometric Survey of U.S. Army Personnel", report
NATICK/TR-15/007, computed from its public data (ANSUR_II_MALE_Public.csv, n = 4082;
ANSUR_II_FEMALE_Public.csv, n = 1986). Soldiers, unshod, in an erect posture.
"""

from __future__ import annotations

from collections.abc import Mapping
from statistics import NormalDist
from types import MappingProxyType

import numpy as np

# Millimetres at the 5th, 50th and 95th percentile; the names are the columns of the data.
_MALE = {
    "stature": (1648, 1755, 1870),
    "sittingheight": (860, 918, 977),
    "eyeheightsitting": (750, 804, 860),
    "poplitealheight": (390, 430, 471),
    "headbreadth": (146, 154, 163),
    "headlength": (188, 200, 211),
    "bideltoidbreadth": (459, 509, 567),
    "biacromialbreadth": (384, 415, 447),
    "mentonsellionlength": (112, 123, 134),
    "bizygomaticbreadth": (133, 143, 153),
    "interpupillarybreadth": (58.5, 64.0, 70.0),
    "acromialheight": (1339, 1439, 1546),
    "buttockkneelength": (569, 617, 669),
    "kneeheightsitting": (509, 553, 602),
    "chestdepth": (211, 253, 298),
}
_FEMALE = {
    "stature": (1525, 1626, 1740),
    "sittingheight": (803, 857, 912),
    "eyeheightsitting": (698, 748, 799),
    "poplitealheight": (350, 387, 428),
    "headbreadth": (140, 147, 156),
    "headlength": (178, 190, 202),
    "bideltoidbreadth": (406, 450, 499),
    "biacromialbreadth": (335, 365, 396),
    "mentonsellionlength": (104, 113, 123),
    "bizygomaticbreadth": (125, 134, 143),
    "interpupillarybreadth": (55.5, 62.0, 67.5),
    "acromialheight": (1242, 1332, 1434),
    "buttockkneelength": (541, 589, 646),
    "kneeheightsitting": (469, 510, 557),
    "chestdepth": (205, 245, 296),
}
ANSUR_II_MM: Mapping[str, Mapping[str, tuple[float, float, float]]] = MappingProxyType(
    {"male": MappingProxyType(_MALE), "female": MappingProxyType(_FEMALE)}
)

FARTHEST_SCORE = 3.5
"""How far from the middle of the survey bodies are built: a woman of 1.41 to 1.87 m, a man of 1.53
to 2.00 m. Farther out the search for a body still ends, but the head is a child's or a giant's.
Judged by the measures it leads to, no source; children are not in the survey."""
SLACK = 0.02
_PERCENTILES = (5.0, 50.0, 95.0)
_KNOTS = np.array([NormalDist().inv_cdf(p / 100.0) for p in _PERCENTILES])


def standard_score(percentile: float) -> float:
    """Standard score of a percentile, kept within 0.1 to 99.9 %."""
    return NormalDist().inv_cdf(float(np.clip(percentile, 0.1, 99.9)) / 100.0)


def measure_m(sex: str, name: str, score: float) -> float:
    """One measure in metres at a standard score.

    Between the tabled percentiles, and beyond them, straight in the standard score: exact at 5,
    50 and 95 %, within 2 mm of a normal distribution between 1 and 99 %.
    """
    values = np.array(ANSUR_II_MM[sex][name]) / 1000.0
    side = 1 if score > 0.0 else 0
    slope = (values[side + 1] - values[side]) / (_KNOTS[side + 1] - _KNOTS[side])
    return float(values[1] + slope * score)


def score_of_stature(sex: str, stature_m: float) -> float:
    """Standard score of a stature in metres. ValueError beyond `FARTHEST_SCORE`.

    Beyond the 1st and the 99th percentile it is drawn out straight, and all other measures with
    it: an estimate, for short and tall people's heads differ less than their legs.
    """
    values = np.array(ANSUR_II_MM[sex]["stature"]) / 1000.0
    side = 1 if stature_m > values[1] else 0
    slope = (values[side + 1] - values[side]) / (_KNOTS[side + 1] - _KNOTS[side])
    score = float((stature_m - values[1]) / slope)
    if abs(score) > FARTHEST_SCORE + SLACK:
        low, high = (measure_m(sex, "stature", s) for s in (-FARTHEST_SCORE, FARTHEST_SCORE))
        raise ValueError(f"stature must lie between {low:.3f} and {high:.3f} m, not {stature_m!r}")
    return score
