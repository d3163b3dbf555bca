"""What balancing found, in sentences, as JSON and as a scene file's remarks."""

from __future__ import annotations

from previz.deliver.override import override_text
from previz.solve.balance import Balance, Dimmed, Gelled, TargetResult
from previz.telling.balance import balance_json, balance_lines

FOUND = Balance(
    camera="A",
    subject="guest",
    lights={"key": Dimmed(80.0, 25.0, 32.64), "fill": Dimmed(50.0, 9.5, 9.5)},
    windows={"window": Gelled(0.0, 0.6)},
    targets=(
        TargetResult("key_to_fill", 4.0, 3.98765, "ratio", -0.00446),
        TargetResult("window/window", 1.5, 2.25, "stops over key", 0.75, ("close a blind",)),
    ),
)


def test_sentences_name_the_control_only_where_it_stands_elsewhere() -> None:
    assert list(balance_lines(FOUND)) == [
        "key: 80 % -> 25 % of its light (dimmer at 33)",
        "fill: 50 % -> 9.5 % of its light",
        "window: ND 0 -> 0.6",
        "key to fill: 4.0 : 1, wanted 4.0: reached",
        "window window: +2.2 stops over key, wanted +1.5: 0.8 stops over",
        "  close a blind",
    ]


def test_json_has_the_control_and_both_sides_of_a_target() -> None:
    found = balance_json(FOUND)
    assert found["lights"]["key"] == {
        "dimmer_pct_before": 80.0,
        "dimmer_pct": 25.0,
        "dimmer_setting_pct": 32.6,
    }
    assert found["windows"] == {"window": {"gel_nd_before": 0.0, "gel_nd": 0.6}}
    ratio, window = found["targets"]
    assert (ratio["got"], ratio["off_stops"], ratio["reached"]) == (3.988, -0.004, True)
    assert (window["cures"], found["reached"]) == (["close a blind"], False)


def test_the_settings_file_says_what_was_and_how_the_control_is_set() -> None:
    assert override_text("scene.yaml", "A talk", FOUND) == (
        "# A talk: dimmers and ND by previz balance,\n"
        "# for camera A on guest. Dimmers are in per cent of the light.\n"
        "based_on: scene.yaml\n\n"
        "lights:\n"
        "  key: {dimmer_pct: 25}  # was 80; set its dimmer to 33\n"
        "  fill: {dimmer_pct: 9.5}  # was 50\n"
        "openings:\n"
        "  window: {gel_nd: 0.6}\n"
    )
