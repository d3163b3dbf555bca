"""Long hair that is gathered: drawn back to a tie, and on from there as knot, tail or braids.

In the head's own axes throughout; sizes and places are estimates, judged by eye.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.hair.form import HeadForm
from previz.geometry.people.hair.growing import GRAVITY, ROOT_M, WISPS, Roots, drawn_again, walk
from previz.geometry.people.hair.locks import LOOSE, locks_of
from previz.geometry.people.hair.styles import STYLES, Style, Tie
from previz.geometry.people.skeleton import unit
from previz.geometry.smooth import ramp
from previz.geometry.turned import torus

TIES: dict[Tie, tuple[float, float, float]] = {
    "nape_bun": (0.0, 1.09, 0.02),
    "crown_bun": (0.0, 0.66, 0.96),
    "tail": (0.0, 1.06, 0.52),
    "braids": (0.70, 0.62, -0.62),
}
"""Where hair is tied, over the radii of the head's ellipsoid; braids on both sides."""
KNOTS: tuple[Tie, ...] = ("nape_bun", "crown_bun")
BUN_M, KNOT_M = 0.0125, 0.0215  # radii of the ring and of its tube
BUN_HAIRS = 4500
TO_TIE = 8  # points of a strand up to the tie where it goes on
PLAIT_M, PITCH_M, ROPE_M = 0.0085, 0.046, 0.0062  # half the width, a turn, and a strand of three


def gathered(style: Style, form: HeadForm, roots: Roots, random: np.random.Generator) -> Array:
    """Strands (n, points, 3) of hair that is tied; a few wisps at its edge stay loose."""
    assert style.tie is not None
    at = roots.place / form.radii
    side = np.where(at[:, 0] + 0.012 * random.normal(size=len(at)) >= 0.02, 1.0, -1.0)
    tie = np.array(TIES[style.tie]) * form.radii
    ties = np.tile(tie, (len(at), 1))
    if style.tie == "braids":
        ties[:, 0] *= side
    knot = style.tie in KNOTS
    head = _to_tie(style, form, roots, ties, style.points if knot else TO_TIE, random)
    if knot:
        curve = np.concatenate([head, _bun(form, style, random)])
    elif style.tie == "tail":
        curve = np.concatenate([head, _tail(style, form, head[:, -1], tie, random)], axis=1)
    else:
        curve = np.concatenate([head, _plaits(style, form, ties, random)], axis=1)
    return np.concatenate([curve, _wisps(style, form, roots, ties, random)])


def _to_tie(
    style: Style,
    form: HeadForm,
    roots: Roots,
    ties: Array,
    points: int,
    random: np.random.Generator,
) -> Array:
    """Drawn back over the skull to the tie, in strands that keep beside each other."""
    own, n = roots.place, len(roots.place)
    group = locks_of(own, 1.2 * style.cell_m, random)
    layer = 0.7 * random.random(group.max() + 1)[group] + 0.3 * random.random(n)
    sway = 0.0035 * (
        random.normal(size=(group.max() + 1, 3))[group] + 0.4 * random.normal(size=(n, 3))
    )
    loose = np.where(random.random(n) < LOOSE, 1.5, 1.0)
    goal = ties + 0.0055 * random.normal(size=(n, 3))
    curve = [own - ROOT_M * roots.out]
    for share in np.linspace(0.0, 1.0, points)[1:]:
        arch = np.sin(np.pi * share**0.6)
        here = own + (goal - own) * share + (arch * loose)[:, None] * sway
        # It rises off the skin at once and lies fuller over the back of the head.
        height = 0.0016 + style.body_m * arch * layer * loose
        curve.append(form.clear(here, height))
    return np.stack(curve, axis=1)


def _wisps(
    style: Style, form: HeadForm, roots: Roots, ties: Array, random: np.random.Generator
) -> Array:
    """Fine short hairs along the hairline that the tie does not reach."""
    at_edge = (roots.grown < 0.009) & (random.random(len(roots.grown)) < WISPS)
    some = roots.some(at_edge)
    back = unit(ties[at_edge] - some.place)
    flow = unit(back + 0.45 * random.normal(size=back.shape) + 0.15 * GRAVITY)
    length = random.gamma(1.5, 0.006, len(flow)) + 0.005
    wisp = replace(STYLES["short"], points=style.points, fall=0.22, lift=(0.2, 0.2))
    return walk(wisp, form, some, flow, length, random)


def _axes(form: HeadForm, tie: Array) -> tuple[Array, Array, Array]:
    """Out of the head at a tie, to the left of it, and square to both."""
    out = unit(tie / form.radii)
    left = unit(np.cross(np.array([0.0, 0.3, 1.0]), out)) * -1.0
    return out, left, np.cross(out, left)


def knot_middle(form: HeadForm, tie: Tie) -> Array:
    """Middle of a knot of hair (3,)."""
    place = np.array(TIES[tie]) * form.radii
    on_skull = form.clear(place[None], 0.0)[0]
    return np.asarray(on_skull + 0.55 * KNOT_M * _axes(form, place)[0])


def bun_core(form: HeadForm, tie: Tie) -> tuple[Array, Index]:
    """The inside of the knot, which light does not get through: vertices in the world, faces."""
    ring = torus(BUN_M, 0.75 * KNOT_M, sections=32, sides=16)
    out, left, up = _axes(form, np.array(TIES[tie]) * form.radii)
    local = np.asarray(ring.vertices) @ np.stack([left, up, out])
    return form.world(knot_middle(form, tie) + local), np.asarray(ring.faces)


def _bun(form: HeadForm, style: Style, random: np.random.Generator) -> Array:
    """A knot of hair at the tie: a rope of hair wound round an axis that points out of it."""
    assert style.tie is not None
    count = BUN_HAIRS
    start = random.uniform(0.0, 2.0 * np.pi, count)
    tube = random.uniform(0.0, 2.0 * np.pi, count)
    depth = KNOT_M * np.sqrt(random.uniform(0.60, 1.0, count))
    depth *= np.where(random.random(count) < LOOSE, random.uniform(1.02, 1.3, count), 1.0)
    turn = np.linspace(0.0, 1.6, style.points)[None, :]
    angle = start[:, None] + turn
    tubes = tube[:, None] + 1.1 * turn + random.normal(0.0, 0.10, (count, 1))
    # Three strands to the rope: its section swells and sinks as it goes round.
    thick = depth[:, None] * (1.0 + 0.16 * np.cos(3.0 * tubes - 2.0 * angle))
    ring = np.abs(BUN_M + thick * np.cos(tubes))
    local = np.stack([ring * np.cos(angle), ring * np.sin(angle), thick * np.sin(tubes)], axis=2)
    out, left, up = _axes(form, np.array(TIES[style.tie]) * form.radii)
    return np.asarray(knot_middle(form, style.tie) + local @ np.stack([left, up, out]))


def _tail(
    style: Style, form: HeadForm, begin: Array, tie: Array, random: np.random.Generator
) -> Array:
    """From the tie out of the head, over and down."""
    n, points = len(begin), style.points - TO_TIE
    out = _axes(form, tie)[0]
    down = unit(GRAVITY @ form.turn)
    length = style.length_m[1] * (1.0 - style.ragged * random.beta(1.2, 1.8, n))
    offset = random.normal(size=(n, 3))
    offset *= (np.sqrt(random.random(n)) / np.linalg.norm(offset, axis=1))[:, None]
    # Half of where a hair lies is where its lock does.
    group = locks_of(offset, 0.4, random)
    offset = 0.6 * offset + 0.4 * random.permutation(offset)[group]
    way, line, curve = out + 0.25 * np.array([0.0, 0.0, 1.0]), tie + 0.0 * out, []
    for i in range(1, points + 1):
        share = i / points
        way = unit(way + 0.55 * down)
        line = line + way * (style.length_m[1] / points)
        reach = np.minimum(share * length / style.length_m[1], 1.0)
        wide = (
            0.010
            + 0.021 * np.sin(np.pi * min(share, 0.75))
            - 0.010 * ramp(np.array(share), 0.7, 1.0)
        )
        curve.append((line + wide * offset, reach))
    path = np.stack([np.broadcast_to(tie, (n, 3)), *(p for p, _ in curve)], axis=1)
    where = np.stack([reach * points for _, reach in curve], axis=1)
    tail = drawn_again(path, where)
    return np.stack([form.clear(tail[:, i], 0.004) for i in range(points)], axis=1)


def _plaits(style: Style, form: HeadForm, ties: Array, random: np.random.Generator) -> Array:
    """Two braids of three strands that fall over the shoulders in front."""
    n, points = len(ties), style.points - TO_TIE
    side = np.sign(ties[:, 0])
    length = style.length_m[1]
    which = random.integers(0, 3, n) * (2.0 * np.pi / 3.0)
    rope = random.normal(size=(n, 2))
    rope *= (ROPE_M * np.sqrt(random.random(n)) / np.linalg.norm(rope, axis=1))[:, None]
    line, down = np.array(TIES["braids"]) * form.radii, GRAVITY @ form.turn
    way, curve = unit(np.array([0.22, -0.25, -1.0])), []
    for i in range(1, points + 1):
        share = i / points
        way = unit(way + 0.10 * down + np.array([0.0, -0.035, 0.0]))
        line = form.clear((line + way * (length / points))[None], 2.0 * PLAIT_M)[0]
        turn = 2.0 * np.pi * share * length / PITCH_M + which
        # It thins towards its end and opens under the last tie.
        thin = np.interp(share, [0.0, 0.08, 0.75, 0.88, 0.90, 1.0], [0.7, 1, 0.85, 0.55, 0.5, 0.95])
        across = thin * (PLAIT_M * np.sin(turn) + rope[:, 0])
        deep = thin * (0.55 * PLAIT_M * np.sin(2.0 * turn) + rope[:, 1])
        here = np.stack([line[0] * side, np.full(n, line[1]), np.full(n, line[2])], axis=1)
        wide, front = unit(np.array([0.8, -0.6, 0.0])), unit(np.array([0.6, 0.8, 0.0]))
        mirror = np.stack([side, np.ones(n), np.ones(n)], axis=1)
        curve.append(here + mirror * (across[:, None] * wide + deep[:, None] * front))
    return np.stack(curve, axis=1)
