"""How long pictures take to be equally right: previz as it is used, and plain `path`, denoised.

    python tests/benchmarks/bench_equal_error.py [--width 640] [--reference 64] [--rounds 3]
        [SCENE ...]

Camera A of every scene. previz traces and cleans as `render` does, in all three qualities; the
baselines are Mitsuba's `path` on the same loaded scene, cleaned by the same library from colour
alone, and with albedo and normal of the same number of samples, whose time counts. `path` knows no
beams, views through windows or clear shadows of glass, so each is held against its own converged
picture. That is rendered in two halves of independent noise: the mean of (x - half 1) (x - half 2)
over luminance squared is the error without the reference's own noise. Halves lie in the system's
temporary folder for the next run.

Time is the processor's (all threads), the median of rounds taken in turns, of tracing once and of
cleaning by each network; the wall's stands beside it. At each error that previz comes to, the
baseline's time is read off the line through its points in logarithms, of the network that is
quickest there.
"""

from __future__ import annotations

import argparse
import itertools
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz import api
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.backends import open_back_end
from previz.render.contract import LightLayers, RenderSettings
from previz.render.denoise import CARE, Denoiser

SCENES = ("bookbinder", "harbour_pilot", "round_table")
OURS, THEIRS = (1, 2, 4), (4, 8, 16)
NETWORKS = "Fast", "Balanced", "High"
STEP = 16
PREVIZ, COLOUR, GUIDED = "previz", "path by colour", "path by guides"
FLOOR = 0.05
"""Share of the mean luminance below which an error counts no more than there."""
SPARKS = 0.02
"""Share of the pixels that is left out, see `error`."""

F32 = NDArray[np.float32]
Spent = NDArray[np.float64]
Halves = tuple[F32, F32]
Run = tuple[str, Spent, float]
"""Who and how, seconds, error."""


@dataclass(frozen=True)
class Point:
    """What a way of rendering came to: processor seconds, wall seconds and error."""

    cpu_s: float
    wall_s: float
    error: float


def error(picture: F32, halves: Halves) -> float:
    """Mean square error over luminance squared, without the noise of the reference.

    Where the two halves differ most, the reference's own sparks would drown every difference: these
    pixels are left out, the same ones for everybody.
    """
    first, second = halves
    luminance = 0.5 * (first + second) @ LUMINANCE_WEIGHTS
    scale = luminance**2 + (FLOOR * luminance.mean()) ** 2
    apart = ((first - second) ** 2).mean(axis=2) / scale
    missed = ((picture - first) * (picture - second)).mean(axis=2) / scale
    return float(missed[apart <= np.quantile(apart, 1.0 - SPARKS)].mean())


class Contest:
    """One scene loaded once, rendered by everybody."""

    def __init__(self, scene: str, width_px: int) -> None:
        opened = api.open_scene(Path("scenes") / scene)
        back_end = open_back_end()

        import mitsuba as mi

        from previz.render.pathtracer.assemble import sensor
        from previz.render.pathtracer.compiled import CompiledRenderer

        self.renderer = CompiledRenderer(opened.stage)
        self.size = opened.stage.cameras["A"].picture_size(width_px)
        self.view = sensor(opened.stage.cameras["A"], self.size)
        self.scene = self.renderer.paths("A").scene
        self.denoiser = Denoiser(card=back_end.on_card)
        self._render = mi.render
        self._path = mi.load_dict({"type": "path", "max_depth": -1})
        self._guides = mi.load_dict({"type": "aov", "aovs": "albedo:albedo,normal:sh_normal"})

    def ours(self, samples: int, seed: int) -> LightLayers:
        """Light as a render has it."""
        exposing = self.renderer.expose("A", RenderSettings(*self.size, samples, seed=seed))
        while exposing.done < samples:
            exposing.advance(min(STEP, samples - exposing.done))
        return exposing.light()

    def path(self, samples: int, seed: int) -> F32:
        """Light by `path`; what is no number is black."""
        total = np.zeros((self.size[1], self.size[0], 3), np.float32)
        for done in range(0, samples, STEP):
            step = min(STEP, samples - done)
            total += self._traced(self._path, step, seed * 1000 + done)[..., :3] * step
        return total / np.float32(samples)

    def guides(self, samples: int, seed: int) -> tuple[F32, F32]:
        """Albedo and normal of what is met first."""
        found = self._traced(self._guides, samples, seed)
        return found[..., -6:-3], found[..., -3:]

    def cleaned(self, network: str, images: dict[str, F32]) -> F32:
        """A picture of `path` cleaned in one go."""
        return np.maximum(self.denoiser._filter(images, network, hdr=True), 0.0)

    def _traced(self, integrator: Any, samples: int, seed: int) -> F32:
        image = self._render(
            self.scene, sensor=self.view, integrator=integrator, spp=samples, seed=seed
        )
        return np.nan_to_num(np.asarray(image, np.float32), posinf=0.0, neginf=0.0)


def halves(contest: Contest, scene: str, samples: int) -> tuple[Halves, Halves]:
    """Converged pictures of previz and of `path`, each in two halves, kept between runs."""
    size = "x".join(map(str, contest.size))
    file = Path(tempfile.gettempdir()) / "previz-equal-error" / f"{scene}-{size}-{samples}.npz"
    if not file.exists():
        file.parent.mkdir(exist_ok=True)
        pictures = [contest.ours(samples, seed).beauty for seed in (9001, 9002)]
        pictures += [contest.path(2 * samples, seed) for seed in (9003, 9004)]
        np.savez(file, *pictures)
    kept = np.load(file)
    first, second, third, fourth = (kept[name] for name in kept.files)
    return (first, second), (third, fourth)


def timed(work: Callable[[], Any]) -> tuple[Any, Spent]:
    """What some work gives, and its processor's and wall's seconds."""
    cpu_s, wall_s = time.process_time(), time.perf_counter()
    found = work()
    return found, np.array([time.process_time() - cpu_s, time.perf_counter() - wall_s])


def our_turn(contest: Contest, truth: Halves, samples: int, seed: int) -> Iterator[Run]:
    """previz, in all three qualities."""
    light, traced = timed(lambda: contest.ours(samples, seed))
    clean = contest.denoiser.clean
    for quality in CARE:
        picture, cleaned = timed(partial(clean, light.beauty, light.albedo, light.normal, quality))
        yield f"{PREVIZ} {quality} {samples}", traced + cleaned, error(picture, truth)


def their_turn(contest: Contest, truth: Halves, samples: int, seed: int) -> Iterator[Run]:
    """`path` through every network, by colour alone and by guides."""
    colour, traced = timed(lambda: contest.path(samples, seed))
    (albedo, normal), guided = timed(lambda: contest.guides(samples, seed))
    seen = {"color": colour}
    guides = {"albedo": np.clip(albedo, 0.0, 1.0), "normal": normal}
    ways = ((COLOUR, seen, traced), (GUIDED, seen | guides, traced + guided))
    for network, (label, images, before) in itertools.product(NETWORKS, ways):
        picture, cleaned = timed(partial(contest.cleaned, network, images))
        name = f"{label} {network} {samples}"
        yield name, before + cleaned, error(picture, truth)


def measured(contest: Contest, mine: Halves, path: Halves, rounds: int) -> dict[str, Point]:
    """Everybody in turns: median times and mean error over the rounds."""
    runs: dict[str, list[tuple[Spent, float]]] = {}
    for seed in range(1, rounds + 1):
        ours = (our_turn(contest, mine, samples, seed) for samples in OURS)
        theirs = (their_turn(contest, path, samples, seed) for samples in THEIRS)
        for name, spent, missed in itertools.chain(*ours, *theirs):
            runs.setdefault(name, []).append((spent, missed))
    points = {}
    for name, found in runs.items():
        cpu_s, wall_s = np.median([spent for spent, _ in found], axis=0)
        points[name] = Point(cpu_s, wall_s, statistics.fmean(missed for _, missed in found))
    return points


def best(points: list[Point]) -> list[Point]:
    """Those that nothing quicker beats, the quickest first."""
    kept: list[Point] = []
    for point in sorted(points, key=lambda p: p.cpu_s):
        if not kept or point.error < kept[-1].error:
            kept.append(point)
    return kept


def time_for(wanted: float, points: list[Point]) -> float:
    """Processor seconds to come to an error, on the straight line through all points in logarithms
    of error and time."""
    errors, times = np.log([[point.error, point.cpu_s] for point in points]).T
    slope, start = np.polyfit(errors, times, 1)
    return float(np.exp(start + slope * np.log(wanted)))


def report(scene: str, points: dict[str, Point]) -> None:
    """Print every point, and for the best of previz how much longer the baselines take."""
    for name, point in points.items():
        print(f"{name:32s} {point.cpu_s:7.2f} s  wall {point.wall_s:7.2f} s  {point.error:.5f}")
    mine = [point for name, point in points.items() if name.startswith(PREVIZ)]
    for point in best(mine):
        for label in (COLOUR, GUIDED):
            took = min(
                time_for(point.error, [points[f"{label} {network} {n}"] for n in THEIRS])
                for network in NETWORKS
            )
            print(
                f"{scene}: error {point.error:.5f} in {point.cpu_s:.2f} s, "
                f"{label} in {took:.2f} s: {took / point.cpu_s:.2f} x"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("scenes", nargs="*", default=SCENES)
    parser.add_argument("--width", type=int, default=640)
    parser.add_argument("--reference", type=int, default=64)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    for scene in options.scenes:
        contest = Contest(scene, options.width)
        mine, path = halves(contest, scene, options.reference)
        list(our_turn(contest, mine, 1, 0)), list(their_turn(contest, path, 1, 0))  # compile
        report(scene, measured(contest, mine, path, options.rounds))


if __name__ == "__main__":
    main()
