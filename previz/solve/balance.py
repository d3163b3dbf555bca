"""Which dimmers and which ND give the light that the scene's targets ask for.

Every target says that one sum of the lights' contributions equals another: the face's lux is
what the camera is set for, the key's is four times the fill's. Contributions are in proportion
to the lights' settings. Light is judged in stops, so what is made small is the sum of the
squared errors in stops: by bounded least squares on the lights' settings in stops, made linear
anew in each round (Gauss and Newton's way). No setting can become negative, none over 100 %.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from previz.measure.light.light import LightNumbers
from previz.measure.roles import cameras_on, guest_of
from previz.model.meters import Targets
from previz.model.records import Fixture
from previz.physics.colour import luminance
from previz.physics.dimmer import level_for_share
from previz.physics.exposure import MID_GREY_REFLECTANCE, nd_stops, nd_transmittance
from previz.physics.photometry import luminance_of_diffuse_cd_m2
from previz.render.metering import Array
from previz.stage.placed import StageLight
from previz.stage.stage import Stage
from previz.units import ratio_to_stops, stops_to_ratio

REACHED_STOPS = 0.1
"""A target this near is reached, as no meter tells less apart: an estimate."""
STAY = 0.08
"""How much a setting's staying as it is weighs against a stop off target."""
KEEP_RATIO = 0.3
"""Weight of keeping key to fill when the scene asks for no ratio."""
ROUNDS = 24
LONGEST_STEP = 3.0
"""Stops by which a light is moved in a round, so that no round leaps."""
LEAST_DIMMER_PCT = 0.5
ND_SHEETS = (0.0, 0.3, 0.6, 0.9, 1.2, 1.5, 1.8)
"""Densities that sheets make together: common practice, no source."""
WINDOW = "window/"
NOT_HELD = 10.0
"""Weight of a stop by which a window is not held: ND first, before anything else bends."""


@dataclass(frozen=True, eq=False)
class Equation:
    """`given` and `wanted` are to be equal: coefficients by light, for its present setting."""

    target: str
    given: Mapping[str, float]
    wanted: Mapping[str, float]
    constant: float = 0.0
    weight: float = 1.0

    def off_stops(self, factors: Mapping[str, float]) -> float:
        """Stops by which `given` is over `wanted` when each light is `factors` times as strong."""
        got, want = self.sides(factors)
        return ratio_to_stops(max(got, 1e-12) / max(want, 1e-12))

    def sides(self, factors: Mapping[str, float]) -> tuple[float, float]:
        """Both sums."""
        got = sum(v * factors.get(k, 1.0) for k, v in self.given.items())
        want = sum(v * factors.get(k, 1.0) for k, v in self.wanted.items())
        return got, want + self.constant


@dataclass(frozen=True)
class TargetResult:
    """One target: what was asked, what comes out, how far off, and what would reach it.

    `unit` says what `wanted` and `got` are: stops, or a ratio to 1.
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


@dataclass(frozen=True, eq=False)
class BalanceProblem:
    """What is to be solved.

    free     most that each light may be strengthened by: 100 % over its present dimmer
    windows  windows whose ND is free, with the density they have
    """

    camera: str
    subject: str
    equations: tuple[Equation, ...]
    free: Mapping[str, float]
    windows: Mapping[str, float]


def pose(stage: Stage, targets: Targets, light: LightNumbers) -> BalanceProblem:
    """The equations of the targets. ValueError, a sentence, when there are none to solve."""
    subject = targets.subject or guest_of(stage)
    if subject is None:
        raise ValueError("no camera is on a person, so there is no face to balance for")
    on = cameras_on(stage, subject)
    camera = targets.camera or (on[0] if on else None)
    if camera is None or camera not in light.faces[subject].by_camera:
        raise ValueError(f"camera {camera} is not on {subject}; name one in targets.camera that is")
    equations = tuple(_equations(targets, light, camera, subject))
    if not equations:
        raise ValueError("targets are empty; give face, key_to_fill, background, hair or window")
    face = light.faces[subject]
    roles = {face.key, face.hair, *face.fill}
    asked = {equation.target for equation in equations}
    wanted = set()
    if asked & {"face", "key_to_fill", "lighting_ratio"}:
        wanted |= {face.key, *(face.fill if len(face.fill) == 1 or _named(face.fill) else ())}
    if "hair" in asked:
        wanted.add(face.hair)
    if "background" in asked:
        wanted |= {name for name in stage.lights if name not in roles}
    free = {
        name: 100.0 / placed.setting.dimmer_pct
        for name, placed in stage.lights.items()
        if name in wanted and name in face.toward.illuminance_lx and placed.fixture.emits
    }
    windows = {}
    if "window" in {name.partition("/")[0] for name in asked}:
        seen = light.cameras[camera].frame.windows
        windows = {name: stage.room.openings[name].gel_nd for name in seen}
    return BalanceProblem(camera, subject, equations, free, windows)


def _named(fill: Sequence[str]) -> bool:
    return all(name.startswith("fill") for name in fill)


def _equations(targets: Targets, light: LightNumbers, camera: str, subject: str) -> list[Equation]:
    exposure = light.cameras[camera]
    face = light.faces[subject]
    lux = light.readings.points[f"face/{subject}/{camera}"].by_light
    on_face = {name: float(luminance(rgb)) for name, rgb in lux.items()}
    card = {k: luminance_of_diffuse_cd_m2(v, MID_GREY_REFLECTANCE) for k, v in on_face.items()}
    key = {face.key: on_face[face.key]} if face.key in on_face else {}
    fill = {name: on_face[name] for name in face.fill if name in on_face}
    found = []
    if targets.face:
        right = exposure.set_for_lx * stops_to_ratio(targets.face.stops_over_grey)
        found.append(Equation("face", on_face, {}, right))
    ratio = targets.key_to_fill or (targets.lighting_ratio or 0.0) - 1.0
    if ratio > 0.0:
        name = "key_to_fill" if targets.key_to_fill else "lighting_ratio"
        _need(key, "no key light is on", name)
        _need(fill, "no fill light is on", name)
        found.append(Equation(name, key, {k: ratio * v for k, v in fill.items()}))
    elif key and fill and targets.face:
        present = face.key_to_fill or 1.0
        found.append(
            Equation("", key, {k: present * v for k, v in fill.items()}, weight=KEEP_RATIO)
        )
    if targets.background:
        region = exposure.frame.background
        _need(region, f"camera {camera} sees none", "background")
        assert region is not None
        down = stops_to_ratio(-targets.background.stops_under_key)
        found.append(
            Equation("background", region.luminance_cd_m2, {k: down * v for k, v in card.items()})
        )
    if targets.hair:
        _need(face.hair, "no light behind the subject is on", "hair")
        _need(key, "no key light is on", "hair")
        assert face.hair is not None
        reading = light.readings.points[f"hair/{subject}/{face.hair}"].by_light[face.hair]
        up = stops_to_ratio(targets.hair.stops_over_key)
        on_hair = {face.hair: float(luminance(reading))}
        found.append(Equation("hair", on_hair, {k: up * v for k, v in key.items()}))
    if targets.window:
        _need(exposure.frame.windows, f"no window is in the frame of camera {camera}", "window")
        up = stops_to_ratio(targets.window.stops_over_key)
        for name, region in exposure.frame.windows.items():
            held = {k: up * v for k, v in card.items()}
            found.append(Equation(f"{WINDOW}{name}", region.luminance_cd_m2, held))
    return found


def _need(there: object, lacking: str, target: str) -> None:
    if not there:
        raise ValueError(
            f"targets.{target} cannot be met, {lacking}; bring one there, or drop the target"
        )


# --- solving ---------------------------------------------------------------------------------


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
    if kind == "face":
        assert targets.face is not None
        return targets.face.stops_over_grey, "stops over grey"
    if kind == "background":
        assert targets.background is not None
        return targets.background.stops_under_key, "stops under key"
    over = targets.hair if kind == "hair" else targets.window
    assert over is not None
    return over.stops_over_key, "stops over key"
