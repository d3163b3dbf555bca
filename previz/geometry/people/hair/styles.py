"""Styles of hair as a table: how long, how combed, how it draws together.

All values are estimates, judged by eye on rendered heads; a human hair is 0.04 to 0.10 mm thick and
a head carries about 100,000 (from memory). Fewer and thicker strands cover as well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from previz.geometry.people.figure import BeardStyle

Comb = Literal["natural", "over", "parted", "middle", "out", "tie"]
Tie = Literal["nape_bun", "crown_bun", "tail", "braids"]


@dataclass(frozen=True)
class Style:
    """How one kind of hair grows and is worn.

    count        strands of `points` points each; `radius_m` at the root
    length_m     over the brow, on top, at the sides, at the nape
    comb         the way it is combed, see `combing.py`
    lift         share of the way out of the skin at the root, 0..1: on top, at the sides
    fall         how strongly it bends down along its length
    body_m       how thick hair lies over the skull
    clump        how far hairs draw together, 0..1, in locks of `cell_m`
    curl_m       radius of the curl or wave, and `pitch_m` of one turn; `tight` winds every lock
    stray        how unruly single hairs are, radians
    ragged       how unequal hairs are cut, share of their length
    level_m      cut to one level so far under the middle of the head, or None
    tie          how long hair is gathered
    recede_m     how far the hairline has gone back over the temples; `thin` at the crown, 0..1
    shade        how dark the scalp looks for the hair in it, 0..1
    over_ears    whether it falls over the ears
    """

    count: int
    points: int
    radius_m: float
    length_m: tuple[float, float, float, float]
    comb: Comb
    lift: tuple[float, float]
    fall: float
    body_m: float
    clump: float
    cell_m: float
    curl_m: float = 0.0
    pitch_m: float = 0.012
    tight: bool = False
    stray: float = 0.14
    ragged: float = 0.15
    level_m: float | None = None
    tie: Tie | None = None
    recede_m: float = 0.0
    thin: float = 0.0
    shade: float = 0.50
    over_ears: bool = False


STYLES = {
    "short": Style(
        22500, 7, 0.000085, (0.045, 0.040, 0.014, 0.008), "over", (0.50, 0.22), 0.16,
        0.012, 0.60, 0.0065, stray=0.17, ragged=0.22,
    ),
    "short_crop": Style(
        24000, 5, 0.000085, (0.014, 0.015, 0.009, 0.005), "natural", (0.55, 0.34), 0.05,
        0.006, 0.45, 0.004, stray=0.20, ragged=0.2, shade=0.62,
    ),
    "side_parting": Style(
        21000, 9, 0.000085, (0.062, 0.050, 0.016, 0.008), "parted", (0.24, 0.12), 0.30,
        0.008, 0.62, 0.007, stray=0.10, ragged=0.20,
    ),
    "shaved_sides": Style(
        22000, 7, 0.000085, (0.040, 0.036, 0.004, 0.002), "over", (0.38, 0.36), 0.24,
        0.009, 0.60, 0.006, stray=0.14, ragged=0.2, shade=0.66,
    ),
    "receding": Style(
        17000, 6, 0.000080, (0.022, 0.024, 0.014, 0.008), "natural", (0.34, 0.22), 0.16,
        0.007, 0.50, 0.006, stray=0.16, ragged=0.22, recede_m=0.034, thin=0.72, shade=0.40,
    ),
    "stubbled": Style(
        16000, 3, 0.000060, (0.0014, 0.0015, 0.0016, 0.0014), "natural", (0.8, 0.7), 0.0,
        0.002, 0.0, 0.004, stray=0.22, recede_m=0.030, thin=0.55, shade=0.34,
    ),
    "medium": Style(
        15500, 12, 0.000100, (0.205, 0.225, 0.165, 0.105), "parted", (0.30, 0.10), 1.25,
        0.013, 0.60, 0.010, 0.0050, 0.085, stray=0.10, ragged=0.42, over_ears=True,
    ),
    "bob": Style(
        15500, 12, 0.000100, (0.235, 0.260, 0.200, 0.120), "middle", (0.26, 0.08), 1.6,
        0.018, 0.52, 0.009, 0.0018, 0.09, stray=0.06, ragged=0.06, level_m=0.112, over_ears=True,
    ),
    "long_loose": Style(
        14000, 18, 0.000105, (0.36, 0.40, 0.37, 0.33), "middle", (0.26, 0.08), 1.5,
        0.016, 0.62, 0.011, 0.0075, 0.095, stray=0.09, ragged=0.22, over_ears=True,
    ),
    "long_tied": Style(
        18000, 8, 0.000092, (0.15, 0.15, 0.15, 0.15), "tie", (0.12, 0.10), 0.0,
        0.011, 0.46, 0.008, stray=0.05, tie="nape_bun",
    ),
    "bun": Style(
        18000, 8, 0.000092, (0.15, 0.15, 0.15, 0.15), "tie", (0.12, 0.10), 0.0,
        0.011, 0.46, 0.008, stray=0.05, tie="crown_bun",
    ),
    "ponytail": Style(
        13000, 18, 0.000095, (0.30, 0.30, 0.30, 0.30), "tie", (0.12, 0.10), 0.0,
        0.011, 0.46, 0.008, stray=0.05, ragged=0.3, tie="tail",
    ),
    "braids": Style(
        7500, 38, 0.000120, (0.28, 0.28, 0.28, 0.28), "tie", (0.12, 0.10), 0.0,
        0.009, 0.40, 0.008, stray=0.04, tie="braids",
    ),
    "curly": Style(
        11000, 17, 0.000100, (0.062, 0.072, 0.048, 0.026), "out", (0.80, 0.66), 0.30,
        0.016, 0.86, 0.0085, 0.0046, 0.015, tight=True, stray=0.2, ragged=0.3, shade=0.35,
    ),
    "curls": Style(
        10500, 24, 0.000105, (0.16, 0.19, 0.17, 0.13), "parted", (0.50, 0.34), 1.0,
        0.024, 0.86, 0.012, 0.0085, 0.034, tight=True, stray=0.15, ragged=0.3, over_ears=True,
    ),
    "afro": Style(
        18500, 15, 0.000130, (0.054, 0.060, 0.064, 0.052), "out", (1.0, 1.0), 0.02,
        0.004, 0.72, 0.0055, 0.0030, 0.0085, tight=True, stray=0.2, ragged=0.16,
        shade=0.4, over_ears=True,
    ),
    "locs": Style(
        11000, 22, 0.000125, (0.17, 0.20, 0.19, 0.16), "middle", (0.45, 0.30), 1.1,
        0.020, 0.985, 0.0180, 0.0034, 0.018, tight=True, stray=0.05, ragged=0.06, over_ears=True,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Beard:
    """How a beard grows: strands, their length on the lip, cheeks and chin, how curved, and
    whether the moustache grows alone."""

    count: int
    points: int
    radius_m: float
    length_m: tuple[float, float, float]
    curl_m: float
    clump: float
    shade: float
    lip_alone: bool = False


BEARDS: dict[BeardStyle, Beard] = {
    "stubble": Beard(7000, 3, 0.000038, (0.0013, 0.0011, 0.0016), 0.0, 0.0, 0.15),
    "moustache": Beard(3600, 5, 0.000070, (0.0100, 0.010, 0.010), 0.0003, 0.35, 0.30, True),
    "short_beard": Beard(12000, 5, 0.000065, (0.0065, 0.0065, 0.0095), 0.0006, 0.35, 0.36),
    "full_beard": Beard(14000, 8, 0.000075, (0.0120, 0.0260, 0.0500), 0.0016, 0.55, 0.45),
}
