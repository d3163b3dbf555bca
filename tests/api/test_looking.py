"""A scene looked at from anywhere: baked in steps, turned, moved, and read anew."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from previz import api
from previz.api.looking import Look
from previz.api.resident import Resident
from previz.cache import nothing_written
from previz.render.backends import open_back_end
from previz.render.bake.baking import Bake
from previz.render.bake.lit import Lit
from previz.render.bake.moved import carried_over
from previz.stage.stage import Stage

ROOM = """\
previz: 1
title: A corner
room: {width_m: 4, depth_m: 4, height_m: 2.6}
furniture:
  table: {piece: round_table, at_m: [0.4, 0.8]}
cameras:
  A:
    sensor: super35_3perf
    lens: zoom_24_70_f2.8
    focal_length_mm: 35
    f_number: 2.8
    shutter_deg: 180
    iso: 800
    place: {at_m: [0, -1.6], height_m: 1.3}
    aim_m: [0.4, 0.8, 0.8]
    focus_distance_m: 2.4
lights:
  key:
    fixture: panel_60x40
    place: {at_m: [-1.2, 0.2], height_m: 1.9}
    aim_m: [0.4, 0.8, 0.7]
    dimmer_pct: 60
  fill:
    fixture: panel_60x40
    place: {at_m: [1.4, -0.6], height_m: 1.6}
    aim_m: [0.4, 0.8, 0.7]
    dimmer_pct: 20
"""
KEY_AT = "lights.key.place.at_m=[-1.0, -0.6]"
TABLE_AT = "furniture.table.at_m=[-0.3, 1.0]"


@pytest.fixture(scope="module")
def resident(tmp_path_factory: pytest.TempPathFactory) -> Resident:
    path = tmp_path_factory.mktemp("corner") / "scene.yaml"
    path.write_text(ROOM, encoding="utf-8")
    resident = Resident(path)
    assert resident.problems == ()
    return resident


@pytest.fixture(scope="module")
def look(resident: Resident) -> Iterator[Look]:
    assert resident.opened is not None
    with nothing_written():
        look = Look(resident.opened)
        shares = []
        while not look.done:
            assert not look.bake(Told(shares)).better or look.ready
        assert shares == sorted(shares)
        assert shares[-1] == 100
        yield look
        look.close()


class Told(api.Silence):
    def __init__(self, shares: list[int]) -> None:
        self._shares = shares

    def advance(self, done: int) -> None:
        self._shares.append(done)


def drawn(look: Look, opened: api.OpenScene) -> np.ndarray:
    look.follow(opened)
    return look.light(opened.stage.cameras["A"], 160)


def finished(look: Look) -> None:
    while not look.bake(api.Silence()).done:
        pass


def baked(stage: Stage) -> Lit:
    renderer = open_back_end().load(stage)
    return [step.lit for step in Bake(stage, renderer.arriving()).steps() if step.lit][-1]


def test_what_only_a_dimmer_or_a_lens_changes_needs_no_bake(look: Look, resident: Resident) -> None:
    usual = drawn(look, resident.look(()))
    without = drawn(look, resident.look(("lights.fill.dimmer_pct=0",)))
    key = drawn(look, resident.look(("lights.fill.dimmer_pct=0", "lights.key.dimmer_pct=30")))
    fill = drawn(look, resident.look(("lights.key.dimmer_pct=0",)))
    assert look.done
    np.testing.assert_allclose(without + fill, usual, rtol=2e-3, atol=2e-3 * usual.max())
    lit = without[60:, 40:120]
    np.testing.assert_allclose(2.0 * key[60:, 40:120], lit, rtol=2e-3, atol=2e-3 * lit.max())
    closer = drawn(look, resident.look(("cameras.A.focal_length_mm=70",)))
    assert look.done
    assert np.abs(closer - usual).mean() > 0.05 * usual.mean()


def test_what_moves_is_drawn_at_once_where_it_is(look: Look, resident: Resident) -> None:
    drawn(look, resident.look(()))
    moved = resident.look((TABLE_AT,))
    before = look.guides(moved.stage.cameras["A"], 160).objects
    look.follow(moved)
    after = look.guides(moved.stage.cameras["A"], 160).objects
    assert not look.done
    number = moved.stage.object_ids["furniture.table"]
    columns = [np.flatnonzero((things == number).any(axis=0)).mean() for things in (before, after)]
    assert columns[1] < columns[0] - 10.0
    look.follow(resident.look(()))
    finished(look)


def test_a_light_that_moved_is_read_alone_and_as_a_whole_bake_reads_it(
    look: Look, resident: Resident, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = resident.look((KEY_AT,))
    whole = baked(opened.stage)
    look.follow(resident.look(()))
    finished(look)
    look.follow(opened)
    assert not look.done

    def again(*_: object) -> None:
        raise AssertionError("the set stands: only the light is read")

    monkeypatch.setattr("previz.api.looking.baking", again)
    finished(look)
    assert look.baked is not None
    anew = look.baked.lit
    floor = {}
    for name, lit in (("whole", whole), ("anew", anew)):
        net = lit.surfaces
        near = (net.places[:, 2] > 0.6) & (np.abs(net.places[:, :2]).max(axis=1) < 1.9)
        floor[name] = lit.light[lit.receptor[near & (net.facings[:, 2] > 0.9)]].mean(axis=0)
    np.testing.assert_allclose(floor["anew"], floor["whole"], rtol=0.06)


def test_what_stands_keeps_its_light_and_what_is_new_has_some(resident: Resident) -> None:
    assert resident.opened is not None
    before, after = resident.opened.stage, resident.look((TABLE_AT,)).stage
    lit = baked(before)
    carried = carried_over(lit, before, after)
    number = after.object_ids["furniture.table"]
    own = np.array([kind.thing == number for kind in carried.surfaces.table])
    faces = own[carried.surfaces.kinds]
    assert faces.any()
    middle = carried.surfaces.places[np.unique(carried.surfaces.faces[faces])].mean(axis=0)
    np.testing.assert_allclose(middle[:2], [-0.3, 1.0], atol=0.05)
    light = carried.light[carried.receptor[carried.surfaces.faces[faces]]]
    assert light.mean() > 0.0
    table = [kind.thing == before.object_ids["furniture.table"] for kind in lit.surfaces.table]
    rest = ~np.array(table)[lit.surfaces.kinds]
    np.testing.assert_allclose(
        carried.light[carried.receptor[carried.surfaces.faces[~faces]]].sum(axis=0),
        lit.light[lit.receptor[lit.surfaces.faces[rest]]].sum(axis=0),
        rtol=1e-4,
    )
