"""A person from the cache is the person that was built."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.people import Figure, Pose, kept


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


def test_kept_bodies_are_the_same(own_cache, monkeypatch):
    figure, pose = Figure(spectacles=True), Pose(seat_height_m=0.46)
    built = kept.build_person(figure, pose)
    assert list((own_cache / "previz" / "people").glob("*.arrays"))
    monkeypatch.setattr(kept.building, "build_person", lambda *_: pytest.fail("built again"))
    again = kept.build_person(figure, pose)
    assert [p.name for p in again.pieces] == [p.name for p in built.pieces]
    for one, other in zip(built.pieces, again.pieces, strict=True):
        np.testing.assert_array_equal(one.mesh.vertices, other.mesh.vertices)
        np.testing.assert_array_equal(one.mesh.faces, other.mesh.faces)
        assert (one.material, one.smooth, one.closed) == (
            other.material,
            other.smooth,
            other.closed,
        )
        for extra in ("colour", "grain", "roughness"):
            np.testing.assert_array_equal(getattr(one, extra), getattr(other, extra))
    for name, point in built.landmarks.items():
        np.testing.assert_array_equal(point, again.landmarks[name])
    assert built.strands is not None and again.strands is not None
    np.testing.assert_array_equal(built.strands.points, again.strands.points)


def test_a_damaged_cache_costs_nothing_but_time(own_cache):
    figure, pose = Figure(), Pose(seat_height_m=0.46)
    first = kept.eye_point(figure, pose)
    for path in (own_cache / "previz" / "eyes").iterdir():
        path.write_bytes(b"not an archive")
    np.testing.assert_array_equal(first, kept.eye_point(figure, pose))
