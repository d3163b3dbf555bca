"""Playing a move: its frames at their pace, standing where it is scrubbed to, and giving way."""

from __future__ import annotations

import threading
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from stand_ins import Ear, FlatDrawing, Running, no_numbers, until

from previz.api.resident import Resident
from previz.errors import MissingError
from previz.watch.drawing import Drawer
from previz.watch.engine import Engine, Hands
from previz.watch.jobs import Job, Picture, View
from previz.watch.latest import Latest
from previz.watch.playing import Play, frame_at, last_s, moves_json
from previz.watch.work import Work

AT_FIRST = (80, 143, 70)
DIM = "lights.key.dimmer_pct"


def frames(running: Running) -> list[Picture]:
    return [picture for picture in running.ear.pictures if picture.move]


def played(running: Running) -> list[dict[str, Any]]:
    return [content for kind, content in running.ear.told if kind == "playing"]


def test_a_clock_begins_with_the_first_frame_and_ends_with_the_last() -> None:
    now = [100.0]
    play = Play("slide", 0.5, True, lambda: now[0])
    now[0] = 107.0
    assert play.now_s(2.0) == 0.5
    play.begin()
    now[0] = 107.5
    play.begin()
    assert play.now_s(2.0) == 1.0
    now[0] = 120.0
    assert play.now_s(2.0) == 2.0
    still = Play("slide", 0.5, False, lambda: now[0])
    still.begin()
    now[0] = 130.0
    assert still.now_s(2.0) == 0.5


def test_a_moment_has_the_frame_that_was_taken_last(room: Path) -> None:
    opened = Resident(room).opened
    assert opened is not None
    move = opened.stage.moves["slide"]
    assert [frame_at(move, s) for s in (0.0, 0.039, 0.04, 1.99, 2.0)] == [
        0, 0, 1, 49, 49,
    ]  # fmt: skip
    assert last_s(move) == pytest.approx(1.96)
    told = moves_json(opened)["slide"]
    assert told["camera"] == "A" and told["frame_s"] == 0.04
    assert told["path"][0] == [0.5, -2.0] and told["path"][-1] == [1.5, -2.0]


def test_a_move_plays_at_its_pace_to_its_end_and_stands_there(room: Path) -> None:
    with Running(room, slow_s=0.1) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.show(Play("slide", 0.0, True))
        until(lambda: running.ear.last("playing").get("running") is False)
        shown = played(running)
        times = [one["at_s"] for one in shown]
        assert times == sorted(set(times)) and times[0] == 0.0 and times[-1] == 1.96
        assert 5 <= len(times) < 25, "drawing takes 0.1 s: more than half of 50 are left out"
        assert shown[-1]["at"] == [1.48, -2.0]
        assert {(p.camera, p.move) for p in frames(running)} == {("A", "slide")}
        running.until_colour("A", (80, 172, 70))
        drew = running.drawings[0].threads
        assert len(drew) == 1 and threading.get_ident() not in drew


def test_it_stands_where_it_is_scrubbed_to_and_the_cameras_come_back(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.show(Play("slide", 0.0, True))
        until(lambda: len(frames(running)) > 2)
        running.engine.show(Play("slide", 1.0, False))
        running.until_colour("A", (80, 158, 70))
        assert running.ear.last("playing") == {
            "move": "slide", "at_s": 1.0, "running": False, "at": [1.0, -2.0],
        }  # fmt: skip
        running.engine.show(None)
        running.until_colour("A", AT_FIRST)
        assert running.ear.last("playing") == {"move": None}
        assert running.ear.pictures[-1].move == ""


def test_a_change_of_the_scene_ends_it_at_once(room: Path) -> None:
    with Running(room, slow_s=0.02) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.show(Play("slide", 0.0, True))
        until(lambda: len(frames(running)) > 1)
        running.engine.reader.change({DIM: 60.0}, goes_on=False)
        until(lambda: running.ear.last("playing") == {"move": None})
        running.until_colour("A", (120, 143, 70))
        seen = len(frames(running))
        told = [one["at_s"] for one in played(running) if one["move"]]
        assert told[-1] < 1.9, "it gave way in the middle"
        until(lambda: running.colour("B") == pytest.approx((120, 98, 100), abs=2))
        assert running.ear.last("playing") == {"move": None}, "whatever frame was told of last"
        assert len(frames(running)) == seen


def test_it_goes_on_in_another_size_and_ends_where_nobody_looks(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.show(Play("slide", 0.0, True))
        until(lambda: len(frames(running)) > 2)
        running.engine.look_at(View(("A",), 320))
        until(lambda: frames(running)[-1].width_px == 320)
        times = [one["at_s"] for one in played(running)]
        assert times == sorted(times), "it did not begin anew"
        running.engine.look_at(View())
        until(lambda: running.ear.last("playing") == {"move": None})
        running.engine.show(Play("slide", 0.0, True))
        running.engine.show(Play("pull", 0.0, True))
        assert running.ear.last("playing") == {"move": None}


def test_a_move_waits_for_its_light_and_for_no_path_tracer(room: Path) -> None:
    opened = Resident(room).opened
    assert opened is not None

    class Dark(FlatDrawing):
        ready = done = False  # type: ignore[assignment]

        def bake(self, _progress: Any) -> Any:
            self.ready = self.done = True
            return SimpleNamespace(better=True, done=True)

    jobs, ear, drawing = Latest[Job](), Ear(), Dark(opened)
    work = Work(ear, drawn=True, traces=True)
    jobs.put(Job(1, opened, View(("A",), 160), play=Play("slide", 1.0, False)))
    thread = threading.Thread(target=Drawer(jobs, ear, lambda *_: drawing, work).run)
    thread.start()
    until(lambda: any(picture.move for picture in ear.pictures))
    jobs.close()
    thread.join()


def test_without_what_draws_it_says_so(room: Path) -> None:
    def nothing(*_: object) -> FlatDrawing:
        raise MissingError("no OpenGL here")

    ear, failures = Ear(), list[BaseException]()
    hands = Hands(lambda: Resident(room), drawing=nothing, measure=no_numbers, traces=False)
    engine = Engine(room, hands, ear, failures.append)
    engine.look_at(View(("A",), 160))
    engine.start()
    until(lambda: "pictures are traced" in ear.last("said").get("text", ""))
    until(lambda: not engine._work.drawn)
    engine.show(Play("slide", 0.0, True))
    assert "plays only where pictures are drawn" in ear.last("said")["text"]
    engine.stop()
    assert failures == []
