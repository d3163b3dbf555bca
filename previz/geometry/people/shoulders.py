"""Shoulders of an arm that hangs: as broad as the survey says, not pushed out by the turn.

Turning the upper arm down from the rest pose carries the flesh over the joint outwards, as linear
skinning does. The acromion of a person stays where it is.
The search for the body's shape also leaves it too far in or out on slim and heavy builds, because
the breadth over the deltoids counts for more; that is put right here too, up to a limit beyond
which skin would crease. What comes out is within 10 mm of the survey.
"""

from __future__ import annotations

import numpy as np

from previz.geometry.people.archive import Array
from previz.geometry.people.landmarks import find_landmarks
from previz.geometry.people.posture import Posed
from previz.geometry.people.rig import SIDES
from previz.geometry.people.shape import RestBody
from previz.geometry.people.skeleton import apply

REACH_M = 0.055  # how far round the acromion the flesh follows it
LIMIT_M = 0.036


def settle(rest: RestBody, posed: Posed, moved: Array) -> Array:
    """`moved` (V, 3) with each acromion brought back to half the biacromial breadth."""
    data = rest.data
    chest = posed.transforms[data.joint("spine01")]
    middle = apply(posed.transforms[data.joint("neck01")], rest.joints[data.joint("neck01")])
    wanted = 0.5 * rest.wanted["biacromialbreadth"]
    out = moved.copy()
    for (_, sign), index in zip(SIDES, find_landmarks(data).acromion, strict=True):
        across = sign * chest[:3, 0]
        top = moved[index]
        over = float(np.clip((top - middle) @ across - wanted, -LIMIT_M, LIMIT_M))
        share = np.exp(-0.5 * ((moved - top) ** 2).sum(axis=1) / REACH_M**2)
        out -= over * share[:, None] * across
    return out
