"""The threads behind the page: what is newest wins, a broken file breaks nothing, all end."""

from __future__ import annotations

import json
import threading
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from stand_ins import ROOM, Ear, FlatDrawing, Running, no_numbers, own_threads, until

from previz.api.opening import OpenScene
from previz.api.resident import Resident
from previz.errors import InputError, MissingError, Place, Problem
from previz.watch.drawing import Drawer
from previz.watch.engine import Engine, Hands
from previz.watch.jobs import Job, View
from previz.watch.latest import Latest, Overtaken
from previz.watch.tracing import Patience, Tracer
from previz.watch.work import Work

AT_FIRST = (80, 143, 70)  # dimmer 40, camera A at x = 0.5, 35 mm
DIM = "lights.key.dimmer_pct"


def test_a_save_is_drawn(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.until_colour("B", (80, 98, 100))
        running.save(("dimmer_pct: 40", "dimmer_pct: 60"), ("[0.5, -2.0]", "[1.5, -2.0]"))
        running.until_colour("A", (120, 173, 70))
        until(lambda: running.ear.last("scene")["plan"]["cameras"]["A"]["at"] == [1.5, -2.0])


def test_a_broken_file_shows_its_lines_and_the_last_good_version_stays(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.save(("fixture: panel_60x40", "fixture: panel_60x4"))
        until(lambda: bool(running.ear.last("state").get("problems")))
        (line,) = running.ear.last("state")["problems"]
        assert line.startswith(f"{room}:31:14: lights.key.fixture: no fixture is called")
        # What is turned meanwhile is refused or drawn on the last good version, never on nothing.
        running.save(("panel_60x4\n", "panel_60x40\n"), ("dimmer_pct: 40", "dimmer_pct: 50"))
        until(lambda: not running.ear.last("state")["problems"])
        running.until_colour("A", (100, 143, 70))


def test_a_file_that_does_not_hold_from_the_start_is_followed(room: Path) -> None:
    good = room.read_text(encoding="utf-8")
    room.write_text("previz: 1\ntitle: [\n", encoding="utf-8")
    with Running(room) as running:
        until(lambda: bool(running.ear.last("state").get("problems")))
        assert running.ear.pictures == []
        room.write_text(good, encoding="utf-8")
        running.until_colour("A", AT_FIRST)
        until(lambda: running.ear.last("state")["problems"] == [])


def test_what_is_turned_is_drawn_without_the_file(room: Path) -> None:
    before = room.read_text(encoding="utf-8")
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.reader.change({DIM: 20.0}, goes_on=False)
        running.until_colour("A", (40, 143, 70))
        until(lambda: running.ear.last("state")["turned"] == [DIM])
        running.save(("focal_length_mm: 35", "focal_length_mm: 50"))
        running.until_colour("A", (40, 143, 100))
        running.engine.reader.forget((DIM,))
        running.until_colour("A", (80, 143, 100))
    assert room.read_text(encoding="utf-8") == before.replace("mm: 35", "mm: 50")


def test_what_cannot_be_is_refused_in_words_and_can_be_turned_back(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.reader.change({"cameras.A.focal_length_mm": 300.0}, goes_on=False)
        until(lambda: bool(running.ear.last("state").get("refused")))
        (line,) = running.ear.last("state")["refused"]
        assert "cameras.A.focal_length_mm" in line and "300" in line
        assert running.colour("A") == pytest.approx(AT_FIRST, abs=2)
        running.engine.reader.undo()
        until(lambda: not running.ear.last("state")["refused"])


def test_writing_undoing_and_doing_again(room: Path) -> None:
    before = room.read_text(encoding="utf-8")
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        reader = running.engine.reader
        reader.change({DIM: 20.0, "cameras.A.f_number": 5.6}, goes_on=False)
        reader.preview()
        until(lambda: bool(running.ear.last("lines")))
        assert "+    f_number: 5.6  # as it was on the day" in running.ear.last("lines")["lines"]
        reader.write()
        written = before.replace("dimmer_pct: 40", "dimmer_pct: 20")
        written = written.replace("number: 4 ", "number: 5.6 ")
        until(lambda: room.read_text(encoding="utf-8") == written)
        until(lambda: running.ear.last("state")["turned"] == [])
        running.until_colour("A", (40, 143, 70))
        reader.undo()
        until(lambda: room.read_text(encoding="utf-8") == before)
        until(lambda: len(running.ear.last("state")["turned"]) == 2)
        running.until_colour("A", (40, 143, 70))
        reader.undo()
        running.until_colour("A", AT_FIRST)
        reader.redo()
        reader.redo()
        until(lambda: "dimmer_pct: 20" in room.read_text(encoding="utf-8"))


def test_a_write_that_is_refused_is_told_and_nothing_is_lost(
    room: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.reader.change({DIM: 20.0}, goes_on=False)

        def refused(values: object) -> None:
            raise InputError([Problem(Place(room), "another wrote here")])

        monkeypatch.setattr(running.writer, "write", refused)
        running.engine.reader.write()
        until(lambda: "another wrote here" in running.ear.last("said").get("text", ""))
        until(lambda: running.ear.last("state")["turned"] == [DIM])


def test_another_hand_in_the_file_is_not_undone(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.engine.reader.change({DIM: 20.0}, goes_on=False)
        running.engine.reader.write()
        until(lambda: "dimmer_pct: 20" in room.read_text(encoding="utf-8"))
        running.save(("title: Try room", "title: By hand"))
        until(lambda: running.ear.last("scene")["title"] == "By hand")
        running.engine.reader.undo()
        until(lambda: "changed since" in running.ear.last("said").get("text", ""))
        assert "By hand" in room.read_text(encoding="utf-8")
        running.save(("title: By hand", "title: Try room"))
        running.engine.reader.undo()
        until(lambda: room.read_text(encoding="utf-8") == ROOM)


def test_writing_what_the_file_says_already_is_no_write(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        reader = running.engine.reader
        reader.change({DIM: 20.0}, goes_on=False)
        reader.write()
        until(lambda: "dimmer_pct: 20" in room.read_text(encoding="utf-8"))
        reader.change({DIM: 20.0}, goes_on=False)
        reader.write()
        until(lambda: "says so already" in running.ear.last("said").get("text", ""))
        for _ in range(2):  # the step that wrote nothing, and the change before it
            reader.undo()
        until(lambda: running.ear.last("said").get("text") == "Taken back.")
        assert "dimmer_pct: 20" in room.read_text(encoding="utf-8")
        reader.undo()
        until(lambda: room.read_text(encoding="utf-8") == ROOM)


def test_of_many_changes_the_last_is_drawn_and_most_never_are(room: Path) -> None:
    with Running(room, slow_s=0.2, view=View(("A",), 160)) as running:
        running.until_colour("A", AT_FIRST)
        drawn = running.drawings[0].drawn
        for value in range(1, 61):
            running.engine.reader.change({DIM: float(value)}, goes_on=value > 1)
        running.until_colour("A", (120, 143, 70))
        assert running.drawings[0].drawn - drawn <= 30
        assert running.ear.last("state")["can_undo"]
        running.engine.reader.undo()
        running.until_colour("A", AT_FIRST)


def test_one_thread_alone_draws(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("A", AT_FIRST)
        running.save(("dimmer_pct: 40", "dimmer_pct: 60"))
        running.until_colour("A", (120, 143, 70))
        (drawing,) = running.drawings
        (drew,) = drawing.threads
        assert drew not in (threading.get_ident(), None)


def test_the_camera_that_was_turned_comes_first(room: Path) -> None:
    with Running(room) as running:
        running.until_colour("B", (80, 98, 100))
        running.ear.pictures.clear()
        running.engine.reader.change({"cameras.B.place.at_m": (1.0, -2.0)}, goes_on=False)
        running.until_colour("A", AT_FIRST)
        assert running.ear.pictures[0].camera == "B"


def test_nobody_looks_and_nothing_is_drawn(room: Path) -> None:
    with Running(room, view=View()) as running:
        until(lambda: bool(running.ear.last("scene")))
        running.engine.look_at(View(("B",), 160))
        running.until_colour("B", (80, 98, 100))
        assert {picture.camera for picture in running.ear.pictures} == {"B"}
        drawn = running.drawings[0].drawn
        running.engine.look_at(View())
        running.save(("dimmer_pct: 40", "dimmer_pct: 60"))
        until(lambda: "60" in json.dumps(running.ear.last("scene")["controls"]["lights"]))
    assert running.drawings[0].drawn == drawn


def test_numbers_are_measured_where_it_comes_to_rest(room: Path) -> None:
    ear, failures = Ear(), list[BaseException]()
    measured: list[OpenScene] = []

    def measure(opened: OpenScene) -> Any:
        measured.append(opened)
        return no_numbers(opened)

    hands = Hands(lambda: Resident(room), measure=measure, traces=False)
    engine = Engine(room, hands, ear, failures.append)
    engine.look_at(View(("A",), 160))
    engine.start()
    until(lambda: len(measured) == 1)
    for value in range(1, 6):
        engine.reader.change({DIM: float(value)}, goes_on=True)
    until(lambda: measured[-1].stage.lights["key"].output == pytest.approx(0.05))
    engine.look_at(View(("B",), 160))
    engine.stop()
    assert failures == [] and len(measured) < 6, "not at every step, nor for another view"
    assert ear.last("facts")["findings"] == []


def test_all_threads_end_in_the_middle_of_their_work(room: Path) -> None:
    with Running(room, slow_s=0.05) as running:
        running.engine.reader.change({DIM: 20.0}, goes_on=False)
        assert len(own_threads()) == 3
    assert own_threads() == []


def test_what_no_thread_should_raise_is_told(room: Path) -> None:
    def broken(*_: object) -> FlatDrawing:
        raise RuntimeError("no context")

    failures: list[BaseException] = []
    hands = Hands(lambda: Resident(room), drawing=broken, measure=no_numbers, traces=False)
    engine = Engine(room, hands, Ear(), failures.append)
    engine.look_at(View((), 160))
    engine.start()
    until(lambda: bool(failures))
    engine.stop()
    assert str(failures[0]) == "no context"


class Baking(FlatDrawing):
    """Draws black until its light is baked, which takes three steps; knows what was asked of it."""

    def __init__(self, opened: OpenScene) -> None:
        super().__init__(opened)
        self.lit: OpenScene | None = None
        self.baking: OpenScene | None = None
        self.asked: list[str] = []
        self.steps = 0

    def follow(self, opened: OpenScene) -> None:
        self.asked.append("follow")
        super().follow(opened)

    @property
    def ready(self) -> bool:  # type: ignore[override]
        return self.lit is not None

    @property
    def done(self) -> bool:  # type: ignore[override]
        return self.lit is self.opened

    def bake(self, progress: Any) -> Any:
        self.asked.append("bake")
        self.steps = 0 if self.baking is not self.opened else self.steps + 1
        self.baking = self.opened
        progress.advance(self.steps)
        if self.steps == 2:
            self.lit = self.opened
        return SimpleNamespace(better=self.steps == 2, done=self.steps == 2)

    def draw(self, camera: Any, width_px: int, *, fine: bool = False) -> np.ndarray:
        self.asked.append(("fine " if fine else "") + ("lit" if self.done else "old"))
        return super().draw(camera, width_px)


def test_light_is_baked_once_and_drawn_with_the_old_light_meanwhile(room: Path) -> None:
    opened, other = Resident(room).opened, Resident(room).opened
    assert opened is not None and other is not None
    jobs, drawing = Latest[Job](), Baking(opened)
    drawer = Drawer(jobs, Ear(), lambda *_: drawing, Work(Ear(), drawn=True))
    thread = threading.Thread(target=drawer.run, name="watch drawing")
    thread.start()
    one, wide = View(("A",), 160), View(("A",), 320)
    for job, asked in (
        (Job(1, opened, View()), []),
        (Job(1, opened, one), ["follow", *["bake"] * 3, "lit", "fine lit"]),
        (Job(1, opened, wide), ["follow", "lit", "fine lit"]),
        (Job(2, other, wide), ["follow", "old", *["bake"] * 3, "lit", "fine lit"]),
    ):
        drawing.asked.clear()
        jobs.put(job)
        until(lambda: not jobs.overtaken)
        until(lambda wanted=asked: drawing.asked == wanted)
    jobs.close()
    thread.join()


def test_without_what_draws_the_path_tracer_takes_over(room: Path) -> None:
    def nothing(*_: object) -> FlatDrawing:
        raise MissingError("no OpenGL here: install libosmesa6")

    opened = Resident(room).opened
    assert opened is not None
    ear, jobs = Ear(), Latest[Job]()
    work = Work(ear, drawn=True)
    jobs.put(Job(1, opened, View(("A",), 160)))
    Drawer(jobs, ear, nothing, work).run()
    assert not work.drawn
    assert ear.last("said")["text"] == "no OpenGL here: install libosmesa6; pictures are traced"


def test_a_traced_picture_follows_what_was_drawn_and_stops_when_overtaken(room: Path) -> None:
    opened = Resident(room).opened
    assert opened is not None
    ear, jobs = Ear(), Latest[Job]()
    work, read = Work(ear, drawn=True), []
    work.lit = True

    def reading(job: Job, _work: Work, _jobs: Latest[Job]) -> None:
        read.append(job.version)

    patience = Patience(0.0, 0.0, (1, 2, 24, 1 << 20), better_from=2)
    tracer = Tracer(jobs, ear, work, reading, patience)
    thread = threading.Thread(target=tracer.run, name="watch tracing")
    jobs.put(Job(5, opened, View(("A",), 64)))
    thread.start()
    try:
        until(lambda: len(ear.pictures) >= 2)
        until(lambda: read == [5])
        jobs.put(Job(6, opened, View(("B",), 64)))
        until(lambda: ear.pictures[-1].camera == "B")
    finally:
        jobs.close()
        thread.join()
    seen = [(p.camera, p.version, p.samples) for p in ear.pictures]
    assert seen[:3] == [("A", 5, 2), ("A", 5, 24), ("B", 6, 2)]
    assert ear.last("work") == {"text": "", "done_pct": None}


def test_what_is_held_is_overtaken_until_something_newer_is_there() -> None:
    place = Latest[int]()
    assert not place.overtaken and place.quiet(0.01)
    place.hold()
    assert place.overtaken and not place.quiet(5.0)
    place.put(1)
    place.put(2)
    assert place.take() == 2 and not place.overtaken
    shown = Work(Ear()).shown(lambda: place.overtaken)
    shown.start("baking", 3)
    place.put(3)
    with pytest.raises(Overtaken):
        shown.advance(1)
    place.close()
    assert place.take() is None
