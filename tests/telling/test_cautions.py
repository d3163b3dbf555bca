"""Cautions as they are printed: whole sentences in one order, and who decides."""

from __future__ import annotations

from collections.abc import Callable

from previz.measure.report import Report
from previz.measure.rules.cautions import SENTENCES
from previz.telling.cautions import CLOSING, printed, printed_for

HOT = (
    "{fixture: fresnel_tungsten_650, aim: guest, stand: boom_arm, "
    "place: {at_m: [1.5, -1.5], height_m: 2.6}}"
)


def test_sentences_come_in_the_order_of_the_rules_and_end_with_who_decides() -> None:
    first, second, last = printed(["exits", "hot_lamp"])
    assert first == f"H{SENTENCES['hot_lamp'][1:]}." and second == f"K{SENTENCES['exits'][1:]}."
    assert last == CLOSING and printed(()) == (CLOSING,)


def test_a_sets_own_cautions(measure: Callable[[str], Report]) -> None:
    said = printed_for(measure(f"lights: {{key: {HOT}}}\n").measured.stage)
    assert said[-1] == CLOSING and any("heat-rated gel" in line for line in said)
    cold = printed_for(measure("").measured.stage)
    assert not any("heat-rated gel" in line for line in cold)
