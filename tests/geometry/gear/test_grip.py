"""Panels, sound and grip: closed, in place, on the floor."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from previz.geometry.gear.grip import (
    APPLE_BOXES,
    MonitorShape,
    build_apple_boxes,
    build_cable,
    build_grey_card,
    build_monitor,
    build_sandbag,
)
from previz.geometry.gear.panels import PanelShape, build_panel
from previz.geometry.gear.sound import (
    MicrophoneShape,
    build_boom_microphone,
    build_lavalier,
    build_microphone,
)
from previz.geometry.gear.stands import StandShape
from previz.geometry.piece import Piece, bounds
from previz.geometry.shell import unit

AT, AIM = np.array([0.3, -0.5, 1.5]), np.array([0.9, -2.0, 1.1])
STAND = StandShape(kind="turtle")
Maker = Callable[[], tuple[Piece, ...]]
STANDING: dict[str, Maker] = {
    "white board": lambda: build_panel(PanelShape(), AT, AIM, STAND),
    "silver board": lambda: build_panel(
        PanelShape(face="reflector_silver", height_m=1.2), AT, AIM, STAND
    ),
    "diffusion": lambda: build_panel(PanelShape(kind="diffusion"), AT, AIM, STAND),
    "flag": lambda: build_panel(PanelShape(kind="flag", width_m=0.6), AT, AIM, STAND),
    "boom": lambda: build_boom_microphone(MicrophoneShape(), AT, AIM, (2.0, 0.4)),
    "furry boom": lambda: build_boom_microphone(MicrophoneShape(cover="fur"), AT, AIM, (2.0, 0.4)),
    "monitor": lambda: build_monitor(MonitorShape(), AT, AIM, STAND),
    "cable": lambda: build_cable([(0, 0), (1, 0.3), (2, -0.4), (2.5, 1)]),
    "apple boxes": lambda: build_apple_boxes(("full", "half", "quarter"), (1, 2), 0.3),
    "sand bag": lambda: build_sandbag((1, 1), 0.4),
}
FLOATING: dict[str, Maker] = {
    "grey card": lambda: build_grey_card(AT, AIM),
    "lavalier": lambda: build_lavalier(AT, AIM - AT),
    "bare microphone": lambda: build_microphone(MicrophoneShape(cover="bare"), AT, AIM),
}


@pytest.mark.parametrize(
    "make", [*STANDING.values(), *FLOATING.values()], ids=[*STANDING, *FLOATING]
)
def test_closed_outward_bodies(make: Maker) -> None:
    pieces = make()
    for piece in pieces:
        if piece.closed:
            assert piece.mesh.exact.is_watertight, piece.name
            assert piece.mesh.exact.is_winding_consistent, piece.name
            assert piece.mesh.exact.volume > 0, piece.name
    assert sum(len(p.mesh.faces) for p in pieces) < 15_000


@pytest.mark.parametrize("make", STANDING.values(), ids=STANDING)
def test_stands_on_the_floor(make: Maker) -> None:
    assert bounds(make())[0, 2] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("kind", ["board", "diffusion", "flag"])
def test_panel_has_its_size_and_looks_at_its_aim(kind: str) -> None:
    shape = PanelShape(kind=kind, width_m=1.2, height_m=0.8)  # type: ignore[arg-type]
    pieces = build_panel(shape, AT, AIM)
    axis = unit(AIM - AT)
    right = unit(np.cross([0, 0, 1], axis))
    points = np.concatenate([p.mesh.vertices for p in pieces]) - AT
    assert np.ptp(points @ right) == pytest.approx(1.2, abs=2e-3)
    assert np.ptp(points @ np.cross(axis, right)) == pytest.approx(0.8, abs=2e-3)
    assert (points @ axis).max() < 0.013
    face = next(p for p in pieces if p.name in ("face", "cloth")).mesh
    centre = face.exact.ray.intersects_location([AIM], [-axis])[0]
    assert np.linalg.norm(centre - AT, axis=1).min() < 0.005


def test_cloth_is_the_only_open_piece() -> None:
    pieces = build_panel(PanelShape(kind="diffusion"), AT, AIM, STAND)
    assert [p.name for p in pieces if not p.closed] == ["cloth"]


@pytest.mark.parametrize("cover", ["bare", "foam", "fur"])
def test_microphone_ends_at_its_tip(cover: str) -> None:
    shape = MicrophoneShape(cover=cover)  # type: ignore[arg-type]
    axis = unit(AIM - AT)
    for pieces in (
        build_microphone(shape, AT, AIM),
        build_boom_microphone(shape, AT, AIM, (2.0, 0.4)),
    ):
        head = np.concatenate([p.mesh.vertices for p in pieces[:4]])
        assert ((head - AT) @ axis).max() == pytest.approx(0, abs=1e-9)


def test_boom_pole_passes_from_microphone_to_its_stand() -> None:
    pieces = {p.name: p for p in STANDING["boom"]()}
    pole = pieces["pole"].mesh.vertices
    assert np.linalg.norm(pole - AT, axis=1).min() < 0.25
    assert np.hypot(*(pole[:, :2] - [2.0, 0.4]).T).min() < 0.6
    assert np.linalg.norm(pieces["stand spigot"].mesh.bounds.mean(axis=0)[:2] - [2.0, 0.4]) < 1e-6


def test_lavalier_stays_outside_the_cloth() -> None:
    axis = unit(AIM - AT)
    for piece in FLOATING["lavalier"]():
        assert ((piece.mesh.vertices - AT) @ axis).min() > 0


def test_grey_card_is_eighteen_percent_and_faces_its_aim() -> None:
    face = build_grey_card(AT, AIM)[0]
    assert face.colour is not None
    np.testing.assert_array_equal(face.colour, [0.18, 0.18, 0.18])
    assert ((face.mesh.vertices - AT) @ unit(AIM - AT)).max() == pytest.approx(0, abs=1e-9)


def test_apple_boxes_stack_to_their_sum() -> None:
    top = bounds(build_apple_boxes(("full", "half", "pancake")))[1, 2]
    assert top == pytest.approx(sum(APPLE_BOXES[k] for k in ("full", "half", "pancake")))


def test_cable_passes_through_its_points() -> None:
    points = np.array([(0, 0), (1, 0.3), (2, -0.4)])
    cable = build_cable(points)[0].mesh.vertices
    for point in points:
        assert np.hypot(*(cable[:, :2] - point).T).min() < 0.012
