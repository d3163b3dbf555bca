"""Colours of hair: pigments, and how hair of one head differs from strand to strand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index

# Eumelanin and pheomelanin (units of the model below), and the reflectance of the mass of hair.
# The pigments were fitted on rendered heads of medium hair, lit 55 degrees from the side, until
# the picture showed that reflectance: luminance 0.015 (black) to 0.5 (white). The two browns were
# darkened by eye since, for a hair light made them blond. All reflectances are estimates by eye.
PIGMENTS = {
    "black": (5.0, 0.0, (0.017, 0.015, 0.0135)),
    "dark_brown": (2.1, 0.022, (0.036, 0.023, 0.0155)),
    "brown": (1.0, 0.040, (0.080, 0.049, 0.029)),
    "auburn": (0.11, 0.85, (0.155, 0.062, 0.030)),
    "blond": (0.06, 0.094, (0.400, 0.285, 0.155)),
    "grey": (0.11, 0.0, (0.300, 0.290, 0.270)),
    "white": (0.037, 0.0, (0.530, 0.520, 0.490)),
}

# Grey hair is white and dark hairs mixed: absorption without colour, fitted in the same way to
# estimates.
NEUTRAL = {"grey": 0.080, "white": 0.026}

SHADES = (1.45, 1.0, 0.68)
"""What the darker, the usual and the lighter strands of a head absorb against its mean: sun and
age bleach some more than others. An estimate, judged by eye."""
MIXED = {"grey": (0.62, 0.36), "white": (0.90, 0.30)}
"""Share of strands that are white in hair of that word, and how much the others send back
against the mean. Estimates."""


@dataclass(frozen=True, eq=False)
class Tones:
    """Colours of the strands of one head: number of its tone for each of n strands (n,), and of
    every tone the absorption (t, 3) and the reflectance of hair in it (t, 3)."""

    of: Index
    absorption: Array
    colour: Array


def absorption(name: str) -> Array:
    """Absorption (3,) of a hair colour, linear BT.709, per strand radius.

    What the two pigments absorb is that of d'Eon et al. 2011, "An Energy-Conserving Hair
    Reflectance Model", Computer Graphics Forum 30(4), from memory.
    """
    if name in NEUTRAL:
        return np.full(3, NEUTRAL[name])
    eumelanin, pheomelanin, _ = PIGMENTS[name]
    return eumelanin * np.array([0.419, 0.697, 1.37]) + pheomelanin * np.array([0.187, 0.4, 1.05])


def reflectance(name: str) -> Array:
    """Reflectance (3,) of a mass of hair of that colour, linear BT.709."""
    return np.array(PIGMENTS[name][2])


def white_share(age_years: float, seed: int) -> float:
    """Share of hairs that have turned white under a colour that is still there, 0 to 0.22.

    Between 45 and 65 years three people in four have some, over 27 % of their hairs in the mean
    (Panhard, Lozano and Loussouarn 2012, "Greying of the human hair: a worldwide survey,
    revisiting the '50' rule of thumb", British Journal of Dermatology 167(4), from memory).
    Half as many here, since whoever is called brown looks brown: an estimate, as is how far people
    lie apart.
    """
    early = np.random.default_rng(seed + 31).uniform(-9.0, 9.0)
    return float(np.interp(age_years + early, [34.0, 55.0, 80.0], [0.0, 0.09, 0.22]))


def tones_of(name: str, age_years: float, lock: Index, seed: int) -> Tones:
    """Tones of strands of the colour `name`; hairs of one `lock` (n,) are of about one shade."""
    random = np.random.default_rng(seed + 33)
    n = len(lock)
    base, colour = absorption(name), reflectance(name)
    if name in MIXED:
        share, dark = MIXED[name]
        white = (1.0 - dark * (1.0 - share)) / share
        # The mean of the mass stays that of the word.
        tones = np.array(
            [base * _absorbs(dark), base * _absorbs(white), 0.8 * base * _absorbs(white)]
        )
        colours = np.array([dark * colour, white * colour, np.minimum(1.12 * white * colour, 0.62)])
        leaning = 0.35 * random.normal(size=lock.max() + 1)[lock]
        rank = leaning + random.normal(size=n)
        number = np.where(rank > np.quantile(rank, 1.0 - share), 1, 0)
        number[(number == 1) & (random.random(n) < 0.3)] = 2
        return Tones(number, tones, colours)
    shades = np.array(SHADES)[:, None]
    tones = np.concatenate([shades * base, absorption("white")[None]])
    colours = np.concatenate([colour * shades**-0.75, reflectance("white")[None]])
    lean = random.normal(size=lock.max() + 1)[lock] + 0.55 * random.normal(size=n)
    number = np.digitize(lean, [-0.62, 0.62])
    number[random.random(n) < white_share(age_years, seed)] = 3
    return Tones(number, tones, np.minimum(colours, 0.62))


def _absorbs(sends_back: float) -> float:
    """How much more a strand absorbs where its mass is to send back that share of the mean."""
    return float(sends_back**-1.6)
