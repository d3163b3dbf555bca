"""What a page may say, what is turned, and the steps that are taken back."""

from __future__ import annotations

import json

import pytest

from previz.watch.jobs import View
from previz.watch.overrides import Overrides, edits_from
from previz.watch.timeline import Timeline
from previz.watch.wire import Forget, Press, Seen, Show, Turn, read


def said(**message: object) -> object:
    return read(json.dumps(message), 1280)


def test_every_message_of_a_page_is_understood() -> None:
    assert said(kind="seen", number=7) == Seen(7)
    assert said(kind="undo") == Press("undo")
    assert said(kind="show", move="slide", at_s=1.5, running=True) == Show("slide", 1.5, True)
    assert said(kind="show", move=None) == Show(None, 0.0, False)
    assert said(kind="forget", paths=["lights.key.on"]) == Forget(("lights.key.on",))
    turned = said(kind="turn", values={"cameras.A.place.at_m": [1, -2.00004]}, goes_on=True)
    assert turned == Turn({"cameras.A.place.at_m": (1.0, -2.0)}, True)


@pytest.mark.parametrize(
    ("asked", "given"), [(0, 0), (1, 160), (641, 672), (1280, 1280), (9000, 1280)]
)
def test_a_picture_is_as_wide_as_its_place_in_steps_and_within_bounds(
    asked: int, given: int
) -> None:
    assert said(kind="view", cameras=["A"], width=asked) == View(("A",), given)


@pytest.mark.parametrize(
    "message",
    [
        "[]", "{}", "no json", '{"kind": "stop"}', '{"kind": "seen", "number": -1}',
        '{"kind": "seen", "number": true}', '{"kind": "view", "cameras": ["../A"], "width": 9}',
        '{"kind": "view", "cameras": "A", "width": 9}', '{"kind": "turn", "values": {}}',
        '{"kind": "show", "move": "../a"}', '{"kind": "show", "move": "a", "at_s": -1}',
        '{"kind": "show", "move": "a", "at_s": true}', '{"kind": "show", "move": "a", "at_s": NaN}',
        '{"kind": "turn", "values": {"look.lut": "x.cube"}}',
        '{"kind": "turn", "values": {"room.scan.file": "x"}}',
        '{"kind": "turn", "values": {"lights.key.ies": "x"}}',
        '{"kind": "turn", "values": {"lights.key.dimmer_pct": NaN}}',
        '{"kind": "turn", "values": {"lights.key.dimmer_pct": 1e300}}',
        '{"kind": "turn", "values": {"lights.key.dimmer_pct": {"a": 1}}}',
        '{"kind": "turn", "values": {"cameras.A.place.at_m": [1, 2, 3]}}',
        '{"kind": "turn", "values": {"cameras.A.lens": "x\\ny: 1"}}',
        '{"kind": "turn", "values": {"cameras.A.lens=1 #.f_number": 1}}',
    ],
)  # fmt: skip
def test_what_no_page_sends_is_refused(message: str) -> None:
    with pytest.raises(ValueError, match=r"\S"):
        read(message, 1280)


def test_what_is_turned_reads_as_settings() -> None:
    turned = edits_from(
        {
            "lights.key.dimmer_pct": 40,
            "cameras.A.place.at_m": [1.5, -2],
            "cameras.A.place.height": None,
            "cameras.A.lens": "prime_50_f1.4",
            "lights.key.on": False,
        }
    )
    assert Overrides(turned).settings() == (
        "lights.key.dimmer_pct=40.0",
        "cameras.A.place.at_m=[1.5, -2.0]",
        "cameras.A.place.height=null",
        'cameras.A.lens="prime_50_f1.4"',
        "lights.key.on=false",
    )


def turned(timeline: Timeline, value: float, *, goes_on: bool = False) -> None:
    path = "lights.key.dimmer_pct"
    after = timeline.now.with_values({path: value})
    timeline.change(after, frozenset({path}), goes_on=goes_on)


def test_a_gesture_is_one_step() -> None:
    timeline = Timeline()
    for value in (10, 20, 30):
        turned(timeline, value, goes_on=value > 10)
    timeline.close()
    turned(timeline, 40, goes_on=True)
    timeline.back()
    assert timeline.now.values == {"lights.key.dimmer_pct": 30}
    timeline.back()
    assert timeline.now.values == {} and timeline.last is None
    timeline.again()
    timeline.again()
    assert timeline.now.values == {"lights.key.dimmer_pct": 40} and timeline.next is None


def test_what_was_written_is_turned_again_when_the_write_is_taken_back() -> None:
    timeline = Timeline()
    turned(timeline, 10)
    timeline.written()
    assert timeline.now.values == {} and timeline.last is not None and timeline.last.wrote
    timeline.back()
    assert timeline.now.values == {"lights.key.dimmer_pct": 10}
    turned(timeline, 50)
    assert timeline.next is None, "a new step ends what was undone"
