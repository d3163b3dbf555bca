"""What it costs to come from a command to a loaded stage, and to measure it.

    python tests/benchmarks/bench_preparation.py [SCENE] [ROUNDS]

Processor time and wall time of whole processes, the least of some rounds, and each as a multiple
of a baseline that is run in turns with it: a process that imports numpy and leaves. Cold has an
empty cache folder, warm one that the run before filled; both have compiled bytecode.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PYTHON = (sys.executable, "-P")
BASELINE = (*PYTHON, "-c", "import numpy")
OPEN = "import sys, pathlib; from previz import api; api.open_scene(pathlib.Path(sys.argv[1]))"
CHANGED = ("--set", "cameras.A.f_number=5.6")


def commands(scene: str) -> dict[str, tuple[str, ...]]:
    """What is timed, by name."""
    previz = (*PYTHON, "-m", "previz")
    return {
        "import": (*PYTHON, "-c", "import previz.api.opening, previz.measure.report"),
        "open": (*PYTHON, "-c", OPEN, scene),
        "check": (*previz, "check", scene),
        "check, a value changed": (*previz, "check", *CHANGED, scene),
        "measure --no-light": (*previz, "measure", "--no-light", scene),
    }


def timed(command: tuple[str, ...], environment: dict[str, str]) -> tuple[float, float]:
    """Processor time, of the user and the system, and wall time of a process, seconds."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(command, check=False, env=environment, stdout=subprocess.DEVNULL)
    after, wall_s = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter() - began
    busy_s = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    return busy_s, wall_s


def best(
    command: tuple[str, ...], cache: Path | None, code: Path, rounds: int
) -> tuple[float, float, float, float]:
    """Least times of the command and of the baseline; a fresh cache folder each time for None."""
    found = []
    for _ in range(rounds):
        with tempfile.TemporaryDirectory() as empty:
            environment = {
                **os.environ,
                "XDG_CACHE_HOME": str(cache or empty),
                "PYTHONPYCACHEPREFIX": str(code),
                "PYTHONDONTWRITEBYTECODE": "",
            }
            found.append((*timed(command, environment), *timed(BASELINE, environment)))
    busy_s, wall_s, base_busy_s, base_wall_s = (min(column) for column in zip(*found, strict=True))
    return busy_s, wall_s, base_busy_s, base_wall_s


def main() -> None:
    """Print one line for each command, cold and warm."""
    here = Path(__file__).parents[2]
    scene = sys.argv[1] if len(sys.argv) > 1 else str(here / "scenes" / "bookbinder")
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    print(f"{'':32}{'busy s':>9}{'x numpy':>9}{'wall s':>9}{'x numpy':>9}")
    with tempfile.TemporaryDirectory() as folder:
        cache, code = Path(folder) / "cache", Path(folder) / "code"
        for name, command in commands(scene).items():
            for state, kept in (("cold", None), ("warm", cache)):
                best(command, cache, code, 1)  # fills the cache and compiles
                busy_s, wall_s, base_busy_s, base_wall_s = best(command, kept, code, rounds)
                print(
                    f"{name + ', ' + state:32}{busy_s:9.2f}{busy_s / base_busy_s:9.1f}"
                    f"{wall_s:9.2f}{wall_s / base_wall_s:9.1f}"
                )


if __name__ == "__main__":
    main()
