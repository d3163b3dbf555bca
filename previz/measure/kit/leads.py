"""From the sockets to the lights along the walls: leads, what they plug into, doors they cross."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from previz.measure.gear.floor import Outlines
from previz.measure.gear.power import Load
from previz.measure.kit.item import ESTIMATE, Item
from previz.measure.setting_out.cables import cable_runs, fed_lights
from previz.stage.stage import Array, Stage

RESERVE = 1.15
"""For bends, and so that no plug hangs on its lead: common practice, no source."""
HEAD_LEAD_M = 3.0
"""Of a light's own lead, which reaches from its head down to the floor: an estimate."""
LEADS_M = (5.0, 10.0, 25.0)
"""Usual lengths of an extension lead: common practice, no source."""
FOOT_LEADS_M = (7.62, 15.24, 30.48)
"""The same where leads come in 25, 50 and 100 feet: common practice, no source."""
SOCKET_M = 0.3
"""Height of a socket that nobody has seen yet: an estimate."""
SHORTEST_M = 1.0
"""A light that stands by its socket gets a lead as well, for it will be moved: an estimate."""
LEAD_KG_PER_M = 0.17
"""Three wires of 1.5 mm2 in rubber, with its plugs: an estimate."""
WAYS = 4
"""Sockets on a distribution block: common practice, no source."""
RAMP_M = 1.0
"""Length of a piece of cable ramp: common practice, no source."""
TAPE_PER_LEAD_M = 3.0
"""Gaffer tape that holds down a lead where it leaves the wall: an estimate."""
ROLL_M = 50.0
"""Gaffer tape on a roll: common practice, no source."""


@dataclass(frozen=True)
class Lead:
    """The way to one light: up to its socket, along the walls, over the floor, up to the lamp.

    length_m  metres with reserve
    doors     those it passes on the way
    """

    light: str
    length_m: float
    doors: tuple[str, ...]


def leads_of(stage: Stage, outlines: Outlines) -> tuple[Lead, ...]:
    """The way from a socket to each light that is plugged in, as the plan draws it.

    Sockets are those that the scene shows; none shown: one in the middle of each wall, an estimate.
    Where there is no way along walls, as in a scan, a light is as far as the longest usual lead.
    """
    runs = cable_runs(stage, outlines, stage.sockets or dict(_middles(stage)))
    if runs:
        return tuple(Lead(run.light, RESERVE * run.length_m, run.doors) for run in runs)
    return tuple(Lead(light.name, LEADS_M[-1], ()) for light in fed_lights(stage))


def _middles(stage: Stage) -> Iterator[tuple[str, Array]]:
    for number, wall in stage.room.walls.items():
        yield str(number), np.append(0.5 * (wall.left_m + wall.right_m), SOCKET_M)


def power_items(stage: Stage, load: Load, leads: tuple[Lead, ...]) -> Iterator[Item]:
    """Leads by length, blocks by circuit, ramps by the doors that leads pass, tape."""
    lengths = LEADS_M if load.mains_v > FEET_BELOW_V else FOOT_LEADS_M
    wanted: Counter[float] = Counter()
    for lead in leads:
        left_m = lead.length_m - HEAD_LEAD_M
        if left_m > 0.0 or not stage.lights[lead.light].practical:
            wanted.update(_made_of(max(left_m, SHORTEST_M), lengths))
    for length_m, count in sorted(wanted.items()):
        yield Item(
            "power", "Extension lead", count, size_m=(length_m,), source=ESTIMATE,
            weight_kg=round(LEAD_KG_PER_M * length_m, 1),
            note="for the load of its light; unwound wholly",
        )  # fmt: skip
    blocks = sum(math.ceil(len(c.lights) / WAYS) for c in load.circuits.values())
    if blocks:
        yield Item("power", f"Distribution block, {WAYS} sockets", blocks, weight_kg=0.7,
                   source=ESTIMATE, note="one at least on each circuit")  # fmt: skip
        yield Item("power", "Residual-current plug", blocks, weight_kg=0.2, source=ESTIMATE,
                   note="where the place has no residual-current protection")  # fmt: skip
        yield Item("power", "Socket tester", 1, weight_kg=0.1, source=ESTIMATE)
    ramps = ramps_of(stage, leads)
    if ramps:
        yield Item("power", "Cable ramp", ramps, size_m=(RAMP_M,), weight_kg=6.0,
                   note="over the doorways that leads pass", source=ESTIMATE)  # fmt: skip
    if leads:
        rolls = math.ceil(TAPE_PER_LEAD_M * len(leads) / ROLL_M)
        yield Item("consumables", "Gaffer tape, roll", rolls, size_m=(ROLL_M,), weight_kg=0.7,
                   source=ESTIMATE, adds=True)  # fmt: skip


FEET_BELOW_V = 130.0
"""Where the mains is under this, leads are sold by the foot: an estimate for what is usual."""


def _made_of(length_m: float, lengths_m: tuple[float, ...]) -> Iterator[float]:
    """The leads that reach so far: the shortest that does alone, else the longest, one after
    another.
    """
    left_m = length_m
    while left_m > lengths_m[-1]:
        yield lengths_m[-1]
        left_m -= lengths_m[-1]
    yield next(length for length in lengths_m if length >= left_m)


def ramps_of(stage: Stage, leads: tuple[Lead, ...]) -> int:
    """Pieces of ramp over every doorway that some lead passes."""
    passed = {door for lead in leads for door in lead.doors}
    openings = stage.room.openings
    return sum(math.ceil(openings[door].width_m / RAMP_M) for door in passed)
