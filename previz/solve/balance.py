"""Which dimmers and which ND give the light that the scene's targets ask for.

Every target says that one sum of the lights' contributions equals another: the face's lux is
what the camera is set for, the key's is four times the fill's. Contributions are in proportion
to the lights' settings. Light is judged in stops, so what is made small is the sum of the
squared errors in stops: by bounded least squares on the lights' settings in stops, made linear
anew in each round (Gauss and Newton's way). No setting can become negative, none over 100 %.
The face is held first: a ratio or a background that cannot be had beside it stays off, and
`price` says what it would cost.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from previz.model.meters import Targets
from previz.model.records import Fixture
from previz.physics.dimmer import level_for_share
from previz.physics.exposure import nd_stops, nd_transmittance
from previz.render.metering import Array
from previz.solve.posing import FACE, FACE_FIRST, WINDOW, BalanceProblem
from previz.stage.placed import StageLight
from previz.units import ratio_to_stops, stops_to_ratio

REACHED_STOPS = 0.1
"""A target this near is reached, as no meter tells less apart: an estimate."""
STAY = 0.08
"""How much a setting's staying as it is weighs against a stop off target."""
ROUNDS = 24
LONGEST_STEP = 3.0
"""Stops by which a light is moved in a round, so that no round leaps."""
LEAST_DIMMER_PCT = 0.5
ND_SHEETS = (0.0, 0.3, 0.6, 0.9, 1.2, 1.5, 1.8)
"""Densities that sheets make together: common practice, no source."""
NOT_HELD = 10.0
"""Weight of a stop by which a window is not held: ND first, before anything else bends."""


@dataclass(frozen=True)
class TargetResult:
    """One target: what was asked, what comes out, how far off, and what would reach it.

    `cures` hold what is to be known of a target that is reached, too. `unit` says what `wanted` and
    `got` are: stops, or a ratio to 1.
    """

    target: str
    wanted: float
    got: float
    unit: str
    off_stops: float
    cures: tuple[str, ...] = ()

    @property
    def reached(self) -> bool:
        """Whether it is within a tenth of a stop; a window may be darker than it has to be."""
        if self.target.startswith(WINDOW):
            return self.off_stops <= REACHED_STOPS
        return abs(self.off_stops) <= REACHED_STOPS


@dataclass(frozen=True)
class Dimmed:
    """One light's dimmer before and after, in per cent of its light; `knob_pct` as it is set."""

    before_pct: float
    after_pct: float
    knob_pct: float


@dataclass(frozen=True)
class Gelled:
    """One window's ND before and after."""

    before: float
    after: float


@dataclass(frozen=True)
class Balance:
    """Settings that come nearest to the targets."""

    camera: str
    subject: str
    lights: Mapping[str, Dimmed]
    windows: Mapping[str, Gelled]
    targets: tuple[TargetResult, ...]

    @property
    def reached(self) -> bool:
        """Whether all targets are."""
        return all(target.reached for target in self.targets)


def solve(problem: BalanceProblem) -> tuple[dict[str, float], dict[str, float]]:
    """Factors by light, and ND by window, nearest to the targets.

    ND comes in sheets of 0.3, so every choice of sheets is tried with the dimmers that suit it.
    """
    best: tuple[float, dict[str, float], dict[str, float]] | None = None
    names = list(problem.windows)
    choices = [_sheets(problem.windows[name]) for name in names]
    for densities in itertools.product(*choices) if len(names) <= 2 else [_near(problem)]:
        density = dict(zip(names, densities, strict=True))
        fixed = {
            name: nd_transmittance(density[name]) / nd_transmittance(problem.windows[name])
            for name in names
        }
        factors = {**fixed, **_dimmers(problem, fixed)}
        # The least ND that holds them: every sheet costs the room its light.
        cost = _cost(problem, factors) + STAY * sum(densities)
        if best is None or cost < best[0]:
            best = (cost, factors, density)
    assert best is not None
    return _practicable(best[1], problem), best[2]


@dataclass(frozen=True)
class Price:
    """What a target costs that is not had while the face is held.

    reached     whether dimmers alone reach it at all
    face_stops  where the face would lie against what is wanted of it
    """

    reached: bool
    face_stops: float


def price(problem: BalanceProblem, target: str, densities: Mapping[str, float]) -> Price | None:
    """What a target would cost, held before the face; None where no face is held against it.

    densities  ND by window, as the balance has it
    """
    faces = [e for e in problem.equations if e.weight == FACE_FIRST and e.target != target]
    if not faces:
        return None
    turned = tuple(
        replace(e, weight=FACE_FIRST if e.target == target else 1.0 if e in faces else e.weight)
        for e in problem.equations
    )
    fixed = {
        name: nd_transmittance(density) / nd_transmittance(problem.windows[name])
        for name, density in densities.items()
    }
    factors = {**fixed, **_dimmers(replace(problem, equations=turned), fixed)}
    own = next(e for e in problem.equations if e.target == target)
    return Price(abs(own.off_stops(factors)) <= REACHED_STOPS, faces[0].off_stops(factors))


def _sheets(present: float) -> tuple[float, ...]:
    """Densities worth trying: whole sheets, and what is there."""
    return tuple(sorted({*ND_SHEETS, present}))


def _near(problem: BalanceProblem) -> tuple[float, ...]:
    """For many windows: each held by itself, with the lights as they are."""
    found = []
    for name, present in problem.windows.items():
        own = next(e for e in problem.equations if e.target == f"{WINDOW}{name}")
        over = own.off_stops({})
        holding = [d for d in _sheets(present) if nd_stops(d) - nd_stops(present) >= over - 0.1]
        found.append(min(holding, default=ND_SHEETS[-1]))
    return tuple(found)


def _cost(problem: BalanceProblem, factors: Mapping[str, float]) -> float:
    cost = 0.0
    for equation in problem.equations:
        off = equation.off_stops(factors)
        if equation.target.startswith(WINDOW):
            cost += NOT_HELD * max(off - REACHED_STOPS, 0.0)
        else:
            cost += (equation.weight * off) ** 2
    return cost


def _dimmers(problem: BalanceProblem, fixed: Mapping[str, float]) -> dict[str, float]:
    """Factors of the free lights. Unknown are the stops by which each is raised."""
    from scipy.optimize import lsq_linear  # noqa: PLC0415 - half a second that only this needs

    names = list(problem.free)
    if not names:
        return {}
    high = np.log2([problem.free[name] for name in names])
    low = np.minimum(high + ratio_to_stops(LEAST_DIMMER_PCT / 100.0), high - 0.01)
    raised = np.clip(np.zeros(len(names)), low, high)
    for _ in range(ROUNDS):
        factors = dict(zip(names, (float(v) for v in 2.0**raised), strict=True))
        rows, right = _system(problem, {**fixed, **factors}, names)
        step = (np.maximum(low, raised - LONGEST_STEP), np.minimum(high, raised + LONGEST_STEP))
        raised = lsq_linear(rows, right, bounds=step, method="bvls").x
    return dict(zip(names, (float(v) for v in 2.0**raised), strict=True))


def _system(
    problem: BalanceProblem, factors: Mapping[str, float], names: Sequence[str]
) -> tuple[Array, Array]:
    """Rows and right side, linear about `factors`, whose residuals are stops off target.

    A light that gives the share p of a sum raises it by p stops for each stop of its own.
    """
    present = np.array([ratio_to_stops(factors[name]) for name in names])
    rows, right = [], []
    for equation in problem.equations:
        if equation.target.startswith(WINDOW):
            continue  # windows are held by ND, not by bending the light on the face
        got, want = (max(side, 1e-9) for side in equation.sides(factors))
        row = np.array(
            [
                factors[n] * (equation.given.get(n, 0.0) / got - equation.wanted.get(n, 0.0) / want)
                for n in names
            ]
        )
        rows.append(equation.weight * row)
        right.append(equation.weight * (row @ present - equation.off_stops(factors)))
    stay = STAY * np.eye(len(names))
    return np.vstack([*rows, stay]), np.concatenate([right, np.zeros(len(names))])


def _practicable(factors: Mapping[str, float], problem: BalanceProblem) -> dict[str, float]:
    """Factors rounded to what a dimmer shows: whole per cents, tenths below ten."""
    found = dict(factors)
    for name, most in problem.free.items():
        before = 100.0 / most
        found[name] = rounded_pct(before * factors[name]) / before
    return found


def rounded_pct(value: float) -> float:
    """A dimmer's setting as it can be read off."""
    return round(value, 1) if value < 10.0 else float(round(value))


def dimmed(light: StageLight, factor: float) -> Dimmed:
    """A light's dimmer when the light is to be `factor` times as strong."""
    before_pct = light.setting.dimmer_pct
    after_pct = rounded_pct(before_pct * factor)
    return Dimmed(before_pct, after_pct, knob_pct(light.fixture, after_pct))


def knob_pct(fixture: Fixture, output_pct: float) -> float:
    """Where a light's dimmer stands for an output, by its fixture's curve."""
    return 100.0 * level_for_share(output_pct / 100.0, fixture.dimmer_curve)


def results(
    problem: BalanceProblem, factors: Mapping[str, float], targets: Targets
) -> list[TargetResult]:
    """What each target comes to."""
    found = []
    for equation in problem.equations:
        if not equation.target:
            continue
        off = equation.off_stops(factors)
        kind = equation.target.partition("/")[0]
        wanted, unit = _wanted(kind, targets)
        got = (
            wanted * stops_to_ratio(off)
            if unit == "ratio"
            else wanted + (-off if kind == "background" else off)
        )
        if kind == "lighting_ratio":
            got = (wanted - 1.0) * stops_to_ratio(off) + 1.0
        found.append(TargetResult(equation.target, wanted, got, unit, off))
    return found


def _wanted(kind: str, targets: Targets) -> tuple[float, str]:
    if kind in ("key_to_fill", "lighting_ratio"):
        return float(targets.key_to_fill or targets.lighting_ratio or 1.0), "ratio"
    if kind == FACE:
        assert targets.face is not None
        return targets.face.stops_over_grey, "stops over grey"
    if kind == "background":
        assert targets.background is not None
        return targets.background.stops_under_key, "stops under key"
    over = targets.hair if kind == "hair" else targets.window
    assert over is not None
    return over.stops_over_key, "stops over key"
