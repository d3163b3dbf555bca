"""Nobody claims an ability that no test holds to account."""

from __future__ import annotations

import re
from pathlib import Path

from previz.render.backends import TABLE
from previz.render.contract import Ability

HERE = Path(__file__).parent
ELSEWHERE = {
    Ability.HAIR: "render/test_hair.py",
    Ability.RELIEF: "render/test_relief.py",
}
"""Abilities that are held in other folders, without a closed form or by the proof's own stage."""


def needed() -> set[Ability]:
    """What the tests of this folder need of a back end, by their marks."""
    found: set[Ability] = set()
    for path in HERE.glob("test_*.py"):
        for marked in re.findall(r"mark\.needs\(([^)]*)\)", path.read_text(encoding="utf-8")):
            found |= {Ability[name] for name in re.findall(r"Ability\.(\w+)", marked)}
    return found


def test_only_abilities_that_are_held_to_account_are_claimed() -> None:
    claimed = {
        ability
        for row in TABLE.values()
        for variant in row.variants
        for ability in row.abilities(variant)
    }
    assert claimed - needed() == set(ELSEWHERE)
    assert all((HERE.parent / path).exists() for path in ELSEWHERE.values())
