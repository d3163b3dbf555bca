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
from numpy.typing import NDArray

from previz.model.growth import GROWN_YEARS, stature_knots_m, statures_cm

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

LAST_SCORE = 1.645
"""Standard score of the 95th percentile, and less of the 5th: as far as the table here goes."""
# Beyond it a measure follows the stature less, as in a regression on stature: who is far taller
# than others sits less far above them. Of lengths this is the correlation with stature in ANSUR II,
# rounded from memory; of breadths and depths less, so that four scores out they are near what the
# regression gives (its correlations 0.5, 0.4 and 0.2, from memory too).
WITH_STATURE: Mapping[str, float] = MappingProxyType(
    {
        "stature": 1.0,
        "sittingheight": 0.80,
        "eyeheightsitting": 0.78,
        "poplitealheight": 0.82,
        "kneeheightsitting": 0.88,
        "acromialheight": 0.95,
        "buttockkneelength": 0.80,
        "biacromialbreadth": 0.25,
        "bideltoidbreadth": 0.15,
        "chestdepth": 0.05,
    }
)
HEAD_WITH_STATURE = 0.30
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
    return float(values[1] + _slope(values, side) * score)


def score_of_stature(sex: str, stature_m: float, age_years: float = GROWN_YEARS) -> float:
    """Standard score of a stature in metres, of a child among its age. ValueError if no body is
    built for it."""
    low_cm, high_cm = statures_cm(sex, age_years)
    if not low_cm <= 100.0 * stature_m + 1e-6 <= high_cm + 2e-6:
        raise ValueError(
            f"stature must lie between {low_cm / 100.0:.2f} and {high_cm / 100.0:.2f} m, "
            f"not {stature_m!r}"
        )
    values = _stature_m(sex, age_years)
    side = 1 if stature_m > values[1] else 0
    return float((stature_m - values[1]) / _slope(values, side))


def stature_at_m(sex: str, age_years: float, score: float) -> float:
    """Stature in metres at a standard score, of a child among its age."""
    values = _stature_m(sex, age_years)
    return float(values[1] + _slope(values, 1 if score > 0.0 else 0) * score)


def within_survey(name: str, score: float) -> float:
    """Standard score of a measure at one of stature: the same, but beyond the survey drawn in."""
    inside = float(np.clip(score, -LAST_SCORE, LAST_SCORE))
    return inside + WITH_STATURE.get(name, HEAD_WITH_STATURE) * (score - inside)


def _stature_m(sex: str, age_years: float) -> NDArray[np.float64]:
    if age_years < GROWN_YEARS:
        return np.array(stature_knots_m(sex, age_years))
    return np.array(ANSUR_II_MM[sex]["stature"]) / 1000.0


def _slope(values: NDArray[np.float64], side: int) -> float:
    return float((values[side + 1] - values[side]) / (_KNOTS[side + 1] - _KNOTS[side]))
