"""How a child is built beside a grown-up: measures by age, 6 to 18 years.

Lengths of the body are shares of the stature, those of the head stand by themselves, for a head is
nearly grown at 6. Figures at 6, 10 and 14 years, rounded from memory: body and skull after Snyder
et al. 1977, "Anthropometry of Infants, Children, and Youths to Age 18 for Product Safety Design"
(UM-HSRI-77-17); the face after Farkas 1994, "Anthropometry of the Head and Face"; the distance of
the pupils after MacLachlan and Howland 2002, "Normal values and standard deviations for pupil
diameter and interpupillary distance in subjects aged 1 month to 19 years". At 18 a child is the
grown-up of `anthropometry`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from previz.geometry.people.anthropometry import measure_m
from previz.model.growth import GROWN_YEARS, YOUNGEST_YEARS

AGES = (6.0, 10.0, 14.0, GROWN_YEARS)
Three = tuple[float, float, float]

# The archive's child is 10 years old; what is still a baby's at 6, as a share, and when it is gone:
# rounder cheeks, softer bones. Judged by eye, no source.
CHILD_YEARS = 10.0
BABY_AT_FIRST, BABY_UNTIL_YEARS = 0.30, 14.0

# Thousandths of the stature.
_BOY: dict[str, Three] = {
    "sittingheight": (549, 525, 514),
    "eyeheightsitting": (456, 445, 445),
    "poplitealheight": (240, 246, 250),
    "kneeheightsitting": (305, 313, 318),
    "buttockkneelength": (330, 343, 349),
    "acromialheight": (790, 806, 814),
    "bideltoidbreadth": (254, 252, 258),
    "biacromialbreadth": (220, 217, 221),
    "chestdepth": (122, 119, 119),
}
_GIRL: dict[str, Three] = {
    "sittingheight": (547, 526, 524),
    "eyeheightsitting": (457, 448, 456),
    "poplitealheight": (240, 245, 243),
    "kneeheightsitting": (304, 312, 314),
    "buttockkneelength": (334, 347, 355),
    "acromialheight": (790, 806, 814),
    "bideltoidbreadth": (252, 251, 259),
    "biacromialbreadth": (218, 216, 219),
    "chestdepth": (120, 118, 124),
}
BODY_SHARES: Mapping[str, Mapping[str, Three]] = MappingProxyType({"male": _BOY, "female": _GIRL})

# Millimetres.
_BOYS_HEAD: dict[str, Three] = {
    "headlength": (182, 187, 193),
    "headbreadth": (142, 146, 150),
    "mentonsellionlength": (97, 105, 115),
    "bizygomaticbreadth": (117, 125, 134),
    "interpupillarybreadth": (53.0, 56.5, 60.5),
}
_GIRLS_HEAD: dict[str, Three] = {
    "headlength": (177, 182, 187),
    "headbreadth": (138, 142, 145),
    "mentonsellionlength": (94, 102, 109),
    "bizygomaticbreadth": (115, 122, 129),
    "interpupillarybreadth": (52.0, 55.5, 59.0),
}
HEAD_MM: Mapping[str, Mapping[str, Three]] = MappingProxyType(
    {"male": _BOYS_HEAD, "female": _GIRLS_HEAD}
)


def child_measure_m(
    sex: str, age_years: float, name: str, scores: tuple[float, float], stature_m: float
) -> float:
    """One measure in metres of a child of this age and stature.

    scores  standard scores of the measure and of the stature: who is unlike the middle child is
            so in the same proportion as a grown-up
    """
    grown = {key: measure_m(sex, key, 0.0) for key in (name, "stature")}
    unlike = measure_m(sex, name, scores[0]) / grown[name]
    if name in HEAD_MM[sex]:
        by_age = (*HEAD_MM[sex][name], 1000.0 * grown[name])
        return unlike * float(np.interp(age_years, AGES, by_age)) / 1000.0
    by_age = (*BODY_SHARES[sex][name], 1000.0 * grown[name] / grown["stature"])
    share = float(np.interp(age_years, AGES, by_age)) / 1000.0
    # What the score says of the stature is in `stature_m` already.
    return unlike * share * stature_m * grown["stature"] / measure_m(sex, "stature", scores[1])


def maturity(age_years: float) -> float:
    """How far somebody is from a child of 10 (0) to a grown-up (1)."""
    return float(np.clip((age_years - CHILD_YEARS) / (GROWN_YEARS - CHILD_YEARS), 0.0, 1.0))


def mixed_ages(age_years: float, old: float) -> dict[str, float]:
    """How far a body is of each of the archive's ages."""
    if age_years >= GROWN_YEARS:
        return {"young": 1.0 - old, "old": old}
    grown = maturity(age_years)
    baby = BABY_AT_FIRST * (BABY_UNTIL_YEARS - age_years) / (BABY_UNTIL_YEARS - YOUNGEST_YEARS)
    baby = max(baby, 0.0)
    return {"baby": baby, "child": 1.0 - baby - grown, "young": grown}
