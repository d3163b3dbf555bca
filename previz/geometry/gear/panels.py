"""Gear without a lamp: bounce boards, diffusion frames, flags, held at their back or side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.gear.stands import StandShape, build_stand
from previz.geometry.piece import Array, Piece, moved
from previz.geometry.primitives import block, box, rod, sheet, tube
from previz.geometry.shell import Z, look_along, piece, unit


@dataclass(frozen=True, kw_only=True)
class PanelShape:
    """A flat panel of `width_m` by `height_m`.

    kind  board      stiff board 10 mm thick, its other face white
          diffusion  thin cloth in a tube frame
          flag       cloth in a thin wire frame
    face  material of the board's face or of the cloth; None: the usual one of its kind
    """

    kind: Literal["board", "diffusion", "flag"] = "board"
    width_m: float = 1.0
    height_m: float = 1.0
    face: str | None = None

    @property
    def material(self) -> str:
        """Material of the board's face or of the cloth."""
        return self.face or USUAL[self.kind]


USUAL = {"board": "reflector_white", "diffusion": "diffusion_cloth", "flag": "fabric_black"}


def build_panel(
    panel: PanelShape,
    position_m: ArrayLike,
    aim_m: ArrayLike,
    stand: StandShape | None = None,
) -> tuple[Piece, ...]:
    """Panel whose middle is at `position_m` and whose face looks at `aim_m`, both (3,).

    A board is held by a clamp at its back, a frame or flag by a grip head at its left edge, seen
    from behind. The stand's feet are on z = 0.
    """
    position = np.asarray(position_m, float)
    pose = look_along(position, np.asarray(aim_m, float) - position)
    board = panel.kind == "board"
    parts = moved(_board(panel) if board else _framed(panel), pose)
    if stand is None:
        return parts
    holder, mount = _clamp(panel, pose) if board else _side_grip(panel, pose)
    return (*parts, *holder, *build_stand(mount, float(mount[2]), stand))


def _board(panel: PanelShape) -> tuple[Piece, ...]:
    """Foam board: its face at z = 0, a core and a white back behind it."""
    w, h = panel.width_m / 2, panel.height_m / 2
    face = box((-w, -h, -0.003), (w, h, 0), 0.0008)
    core = box((-w, -h, -0.01), (w, h, -0.0032), 0.001)
    return (
        piece("face", face, panel.material),
        piece("core", core, "reflector_white"),
    )


def _framed(panel: PanelShape) -> tuple[Piece, ...]:
    """Cloth at z = 0, its edge on the middle line of the frame's tubes."""
    thick = 0.0125 if panel.kind == "diffusion" else 0.005
    w, h = panel.width_m / 2 - thick, panel.height_m / 2 - thick
    corners = [(-w, -h, 0), (w, -h, 0), (w, h, 0), (-w, h, 0)]
    # Four-sided tubes turned by 45 degrees would lose the exact size; eight sides keep it.
    frame = tube(corners, thick, 8, closed=True)
    x, y = np.linspace(-w, w, 13), np.linspace(-h, h, 13)
    slack = 0.004 * np.outer(1 - (x / w) ** 2, 1 - (y / h) ** 2)
    grid = np.stack([*np.meshgrid(x, y, indexing="ij"), -slack], axis=-1)
    diffusion = panel.kind == "diffusion"
    cloth = sheet(grid)
    return (
        piece("frame", frame, "aluminium" if diffusion else "steel_black", smooth=True),
        piece(
            "cloth",
            cloth,
            panel.material,
            smooth=True,
            closed=False,
        ),
    )


def _clamp(panel: PanelShape, pose: Array) -> tuple[tuple[Piece, ...], Array]:
    """Plate clamp on the back of a board, with an arm that clears the tilted board, and a grip."""
    tilt = abs(float(pose[2, 2]))
    lower = panel.height_m / 2 * tilt
    back = -pose[:3, 2]
    level = unit(back * [1, 1, 0] + 1e-9 * pose[:3, 1])
    root = pose[:3, 3] + 0.01 * back
    elbow = root + 0.06 * back
    mount = elbow + (lower + 0.06) * level
    plate = block((0.16, 0.12, 0.006), (0, 0, -0.0132), 0.001)
    arm = tube([root, elbow, mount + 0.05 * level], 0.008, 12)
    grip = rod(mount - 0.028 * pose[:3, 0], mount + 0.028 * pose[:3, 0], 0.03, sections=20)
    local = moved((piece("clamp plate", plate, "steel"),), pose)
    return (
        *local,
        piece("arm", arm, "steel", smooth=True),
        piece("grip head", grip, "steel", smooth=True),
    ), mount


def _side_grip(panel: PanelShape, pose: Array) -> tuple[tuple[Piece, ...], Array]:
    """Pin on the middle of the frame's edge, held by a grip head on top of the stand."""
    side = -pose[:3, 0]
    edge = pose[:3, 3] + (panel.width_m / 2 - 0.004) * side
    mount = edge + 0.07 * side
    pin = rod(edge, mount + 0.02 * side, 0.006)
    across = unit(np.cross(side, Z))
    grip = rod(mount - 0.028 * across, mount + 0.028 * across, 0.03, sections=20)
    return (
        piece("pin", pin, "steel", smooth=True),
        piece("grip head", grip, "steel", smooth=True),
    ), mount
