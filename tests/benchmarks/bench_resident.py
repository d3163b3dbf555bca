"""What an edit costs a scene that is kept open, against opening and checking it afresh.

    python tests/benchmarks/bench_resident.py [ROUNDS]

The bookbinder, all in one process and with the same warm cache folder. Processor and wall time in
milliseconds, the least of some rounds, beside those of a fresh opening (or a fresh check) of the
same edit, run in turns with it. A look is what a control does to a scene, a save what an editor
does to its file; what is told of a save is within its time.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path

from previz import api
from previz.api.resident import Resident
from previz.stage.identity import identity_of

LOOKS = {
    "a stop": "cameras.A.f_number=3.{}",
    "a focal length": "cameras.A.focal_length_mm=45.{}",
    "a camera's place, with 3 lights by it": "cameras.A.place.at_m=[0.1, -2.4{}]",
    "a camera's place, no light by it": "cameras.B.place.at_m=[-1.35, -1.9{}]",
    "a dimmer": "lights.key.dimmer_pct=18.{}",
    "a colour": "lights.key.cct_k=5500.{}",
    "a lamp's height": "lights.key.place.elevation_deg=33.{}",
    "a piece of furniture": "furniture.lamp_table.at_m=[-0.78, 2.7{}]",
    "a wall": "room.height_m=2.9{}",
    "a person, who all look at": "people.guest.at_m=[0.0{}, 0]",
}
"""Edits by name; three digits make each another one every time."""
SAVES = {
    "a title": ("title: Bookbinder", "title: {} bookbinder"),
    "a stop of both cameras": ("f_number: 2.8", "f_number: 3.{}"),
    "a plant": ("at_m: [2.75, 2.1]", "at_m: [2.75, 2.1{}]"),
    "a slip of the keyboard": ("title: Bookbinder", "titel: {}"),
}
MEASURED = (
    "a stop", "a dimmer", "a lamp's height", "a focal length",
    "a camera's place, with 3 lights by it", "a camera's place, no light by it",
)  # fmt: skip
Times = tuple[float, float]


def timed(work: Callable[[], object]) -> Times:
    """Processor and wall time of a call, milliseconds."""
    busy, began = time.process_time(), time.perf_counter()
    work()
    return 1000.0 * (time.process_time() - busy), 1000.0 * (time.perf_counter() - began)


def row(name: str, here: list[Times], fresh: list[Times]) -> None:
    """One line: the least of each time, for what else runs on the machine only ever adds."""
    busy, wall = (min(column) for column in zip(*here, strict=True))
    fresh_busy, fresh_wall = (min(column) for column in zip(*fresh, strict=True))
    shares = f"{busy / fresh_busy:9.2f}{wall / fresh_wall:9.2f}"
    print(f"{name:46}{busy:9.0f}{wall:9.0f}{fresh_busy:9.0f}{fresh_wall:9.0f}{shares}", flush=True)


def opened_and_told(path: Path, *settings: str) -> None:
    """As a page without a memory would: open, and take the digests that say what changed."""
    try:
        identity_of(api.open_scene(path, settings).stage)
    except api.opening.InputError:
        return


def main(rounds: int) -> None:
    """Print one line for each edit."""
    digits = (str(number) for number in count(101))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bookbinder" / "scene.yaml"
        shutil.copytree(Path(__file__).parents[2] / "scenes" / "bookbinder", path.parent)
        text = path.read_text(encoding="utf-8")
        opened_and_told(path)
        resident = Resident(path)
        print(f"{'':46}{'busy':>9}{'wall':>9}{'fresh':>9}{'wall':>9}{'share':>9}{'wall':>9}")
        for name, edit in LOOKS.items():
            here, fresh = [], []
            for number in (next(digits) for _ in range(rounds)):
                look = edit.format(number)
                here.append(timed(lambda look=look: resident.look((look,))))
                fresh.append(timed(lambda look=look: opened_and_told(path, look)))
            row(f"look: {name}", here, fresh)
        for name, (old, new) in SAVES.items():
            here, fresh = [], []
            for number in (next(digits) for _ in range(rounds)):
                path.write_text(text.replace(old, new.format(number)), encoding="utf-8")
                here.append(timed(resident.update))
                fresh.append(timed(lambda: opened_and_told(path)))
            row(f"save: {name}", here, fresh)
        path.write_text(text, encoding="utf-8")
        resident.update()
        resident.measure()
        for name in MEASURED:
            here, fresh = [], []
            for number in (next(digits) for _ in range(rounds)):
                looked = resident.look((LOOKS[name].format(number),))
                here.append(timed(lambda looked=looked: resident.measure(looked)))
                fresh.append(timed(lambda looked=looked: api.check_scene(looked)))
            row(f"measured: {name}", here, fresh)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
