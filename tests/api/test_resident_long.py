"""A scene kept open through a long day: right after every edit, and no larger at its end."""

from __future__ import annotations

import gc
import random
import re
from pathlib import Path

import pytest

from previz import api
from previz.api.resident import Resident
from previz.errors import InputError
from previz.stage.stage import Stage, Thing

pytestmark = pytest.mark.usefixtures("mannequins")

NUMBER = re.compile(r"(?<=[ \[])-?[0-9]+(\.[0-9]+)?(?=[,\]}\n])")
BROKEN = ("x", "-1", "1e9", "[1", "null", "'2'", "")
EDITS = 200
EACH = 8
"""Every so many edits the scene is opened afresh to compare."""


def edited(text: str, rng: random.Random) -> str:
    """The text with one of its numbers a little or altogether another, or no number at all."""
    found = rng.choice(list(NUMBER.finditer(text)))
    value = float(found.group())
    nearby = f"{value * rng.uniform(0.9, 1.1) + rng.uniform(-0.05, 0.05):.3f}"
    word = rng.choice(BROKEN) if rng.random() < 0.3 else nearby
    return text[: found.start()] + word + text[found.end() :]


def alive(kind: type) -> int:
    gc.collect()
    return sum(isinstance(thing, kind) for thing in gc.get_objects())


def test_two_hundred_edits_end_right_every_time_and_leave_nothing(
    lit: str, tmp_path: Path, same
) -> None:
    rng, path = random.Random(12), tmp_path / "scene.yaml"
    path.write_text(lit, encoding="utf-8")
    resident = Resident(path)
    text, good, bad = lit, 0, 0
    stages, things = alive(Stage), alive(Thing)
    for number in range(EDITS):
        attempt = edited(text, rng)
        path.write_text(attempt, encoding="utf-8")
        resident.update()
        if resident.problems:
            bad += 1
        else:
            # What holds is edited further, so that it wanders far from where it began.
            text, good = attempt, good + 1
        if number % EACH == 0:
            try:
                wanted = api.open_scene(path)
            except InputError as error:
                assert list(resident.problems) == error.problems
                path.write_text(text, encoding="utf-8")
                resident.update()
                wanted = api.open_scene(path)
            assert resident.problems == () and resident.opened is not None
            same(resident.opened, wanted)
            del wanted
    assert good > EDITS // 4 and bad > EDITS // 8
    assert alive(Stage) <= stages
    # Those of the last round but one are kept as well.
    assert alive(Thing) <= 2 * things
