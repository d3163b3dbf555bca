"""What is run on a machine, stage by stage, and what is read off the output."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
SCENE = HOUSE / "scenes" / "bookbinder"
CAMERA = "A"


@dataclass(frozen=True)
class Step:
    """One process to run. `good` are exit statuses that mean done; `figures` reads its output."""

    stage: str
    label: str
    command: Sequence[str]
    figures: Callable[[str, Path], str]
    made: Path  # folder it writes into
    keep: Mapping[str, str] = field(default_factory=dict)  # file it made: name in --out
    good: tuple[int, ...] = (0,)
    keep_output: str = ""  # name in --out for its standard output
    cold: bool = False  # with empty caches, the graphics driver's too


def doctor_figures(output: str, _: Path) -> str:
    said = json.loads(output)
    ways = [f"{way['computes_on']} {'works' if way['works'] else 'no'}" for way in said["compute"]]
    parts = [f"{part['name']}: {part['detail']}" for part in said["checks"] if not part["works"]]
    return ", ".join(ways) + (f"; not working: {'; '.join(parts)}" if parts else "")


def last_line(output: str, _: Path) -> str:
    lines = output.strip().splitlines()
    return lines[-1].strip("= ") if lines else ""


def bench_figures(output: str, _: Path) -> str:
    return "; ".join(re.sub(r" {2,}", " ", line) for line in output.strip().splitlines())


def render_figures(_: str, made: Path) -> str:
    """Way to compute, and of each frame its size and samples, from a render's manifest."""
    note = json.loads((made / "manifest.json").read_text(encoding="utf-8"))
    frames = [
        f"{name} {frame['width_px']} x {frame['height_px']}, {frame['samples']} samples"
        + ("" if frame["complete"] else " (stopped early)")
        for name, frame in note["frames"].items()
    ]
    denoised = "denoised" if note["denoised"] else "not denoised"
    return "; ".join([note["computed_on"], *frames, denoised, f"{note['seconds']:.1f} s rendering"])


def meter_figures(output: str, _: Path) -> str:
    said = json.loads(output)
    shown = {**said["meters"], **said["people"]}
    readings = [
        f"{name}: "
        + ", ".join(f"{light} {lux:.1f}" for light, lux in reading["illuminance_lx"].items())
        for name, reading in shown.items()
        if reading.get("illuminance_lx")
    ]
    return "lx by light: " + "; ".join(readings)


def steps(stage: str, work: Path, compute: str | None) -> list[Step]:
    """The processes of a stage, in order. Renders of one quality share no folder."""
    python = sys.executable
    previz = [python, "-m", "previz"]
    way = ["--compute", compute] if compute else []

    def render(label: str, *more: str, cold: bool = False) -> Step:
        made = work / f"{stage}-{label.split(',', maxsplit=1)[0].replace(' ', '-')}"
        command = [*previz, "render", str(SCENE), "--quality", stage, "--out", str(made)]
        keep = {f"frame_{CAMERA}.png": f"{stage}.png"}
        return Step(stage, label, [*command, *more, *way], render_figures, made, keep, cold=cold)

    def measure(label: str) -> Step:
        command = [*previz, "measure", str(SCENE), "--json", *way]
        return Step(
            stage, label, command, meter_figures, work, good=(0, 1), keep_output="meters.json"
        )

    one = ("--camera", CAMERA)
    pytest = [python, "-m", "pytest", "tests/closed_form", "--no-header", "-rfE", "--tb=short"]
    bench = [python, "tests/benchmarks/bench_render.py", str(SCENE)]
    doctor = [*previz, "doctor", "--json"]
    return {
        "proof": [
            Step(
                stage, "previz doctor", doctor, doctor_figures, work, good=(0, 3),
                keep_output="doctor.json",
            )
        ],
        "tests": [Step(stage, "tests/closed_form", pytest, last_line, work)],
        "bench": [Step(stage, "bench_render.py", bench, bench_figures, work)],
        "draft": [
            render("cold caches, one camera", *one, cold=True),
            render("warm caches, one camera", *one),
        ],
        "review": [render("all cameras")],
        "final": [render("one camera, 1920 wide", *one, "--width", "1920")],
        "meters": [measure("light read"), measure("light kept")],
    }[stage]  # fmt: skip
