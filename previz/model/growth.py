"""How tall people are who still grow, and which statures are modelled at all.

Source: Kuczmarski et al. 2002, "2000 CDC Growth Charts for the United States: Methods and
Development", Vital and Health Statistics 11(246); its data file statage.csv, stature for age.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from types import MappingProxyType

YOUNGEST_YEARS = 6.0
GROWN_YEARS = 18.0
"""From here on the survey of grown-ups holds (`geometry.people.anthropometry`)."""
GROWN_CM = (135.0, 220.0)
"""Statures of grown-ups that a body is built for; short stature as of slight people, not of one of
the growth disorders that change proportions. Judged by bodies that came out, no source."""
FARTHEST_SCORE = 3.5
"""How far from the middle of the chart children are built, in standard scores: no source."""
SCORE_95 = 1.6449

Knots = tuple[float, float, float]

# Millimetres at the 5th, 50th and 95th percentile, at 6 to 18 years (and half a month, as the
# chart counts).
_BOYS = (
    (1073, 1157, 1239), (1132, 1220, 1310), (1188, 1281, 1378), (1238, 1337, 1441),
    (1282, 1388, 1499), (1324, 1437, 1555), (1373, 1493, 1619), (1436, 1564, 1695),
    (1505, 1641, 1770), (1567, 1701, 1824), (1608, 1736, 1855), (1631, 1753, 1870),
    (1642, 1762, 1878),
)  # fmt: skip
_GIRLS = (
    (1069, 1150, 1239), (1131, 1218, 1313), (1185, 1278, 1379), (1232, 1331, 1438),
    (1275, 1382, 1496), (1324, 1443, 1564), (1392, 1515, 1635), (1459, 1573, 1686),
    (1497, 1605, 1713), (1513, 1619, 1726), (1519, 1626, 1732), (1523, 1629, 1736),
    (1525, 1631, 1738),
)  # fmt: skip
STATURE_FOR_AGE_MM: Mapping[str, tuple[Knots, ...]] = MappingProxyType(
    {"male": _BOYS, "female": _GIRLS}
)


def stature_knots_m(sex: str, age_years: float) -> Knots:
    """Stature in metres at the 5th, 50th and 95th percentile, at an age of 6 to 18 years."""
    table = STATURE_FOR_AGE_MM[sex]
    at = min(max(age_years - YOUNGEST_YEARS, 0.0), len(table) - 1.0)
    first = min(bisect_right(range(len(table)), at) - 1, len(table) - 2)
    share = at - first
    low, middle, high = (
        (a + share * (b - a)) / 1000.0 for a, b in zip(table[first], table[first + 1], strict=True)
    )
    return low, middle, high


def statures_cm(sex: str, age_years: float) -> tuple[float, float]:
    """The shortest and the tallest stature that a body is built for, whole centimetres."""
    if age_years >= GROWN_YEARS:
        return GROWN_CM
    low, middle, high = (100.0 * knot for knot in stature_knots_m(sex, age_years))
    far = FARTHEST_SCORE / SCORE_95
    return float(round(middle - far * (middle - low))), float(round(middle + far * (high - middle)))
