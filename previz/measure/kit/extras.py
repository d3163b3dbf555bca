"""What is never in the plan and always missed: card, tape, ladder, gloves."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.gear.reach import has_film, out_of_reach
from previz.measure.gear.stands import BAG_KG
from previz.measure.kit.item import ESTIMATE, Item
from previz.stage.stage import Stage


def extra_items(stage: Stage) -> Iterator[Item]:
    """Tools and small things, each for what in the scene asks for it."""
    filmed = [o for o in stage.room.openings.values() if has_film(o)]
    whose = f"held at the face of {stage.white_card_of}" if stage.white_card_of else ""
    yield Item("tools", "Grey and white card", 1, weight_kg=0.2, source=ESTIMATE, note=whose)
    yield Item("tools", "Tape measure", 1, size_m=(5.0,), weight_kg=0.3, source=ESTIMATE)
    yield Item("tools", "Light and colour meter", 1, weight_kg=0.2, source=ESTIMATE)
    yield Item("tools", "First-aid kit", 1, weight_kg=0.5, source=ESTIMATE)
    yield Item("consumables", "Paper tape for marks, roll", 1, weight_kg=0.2, adds=True)
    yield Item("consumables", "Lens tissue and blower", 1, weight_kg=0.2)
    for name, piece in stage.pieces.items():
        if piece.on_stands:
            yield from _background(name.partition(".")[2], piece.label)
    if filmed:
        yield Item("tools", "Squeegee, water spray and blade for film", 1, weight_kg=0.6,
                   source=ESTIMATE)  # fmt: skip
    if any(out_of_reach(o) for o in filmed):
        yield Item("tools", "Ladder", 1, size_m=(2.0,), weight_kg=7.0, case="", source=ESTIMATE,
                   note="somebody holds it")  # fmt: skip
    if any(light.fixture.hot and not light.practical for light in stage.lights.values()):
        yield Item("tools", "Pair of heat-proof gloves", 2, weight_kg=0.2, source=ESTIMATE)
    if any(not light.practical and light.fixture.emits for light in stage.lights.values()):
        yield Item("tools", "Clothes pegs and clamps, bag", 1, weight_kg=1.0, source=ESTIMATE)


def _background(name: str, label: str) -> Iterator[Item]:
    """A background, and what carries it."""
    whose = f"for {name}"
    yield Item("grip", label.partition(",")[0], 1, weight_kg=6.0, case="", source=ESTIMATE,
               note=whose)  # fmt: skip
    yield Item("grip", "Background stand", 2, weight_kg=2.5, source=ESTIMATE, note=whose)
    yield Item("grip", "Cross bar for a background", 1, weight_kg=2.0, source=ESTIMATE, note=whose)
    yield Item("grip", "Bag for a background stand, filled", 2, weight_kg=BAG_KG, case="",
               source=ESTIMATE, note=whose)  # fmt: skip
    yield Item("grip", "Clamp", 4, weight_kg=0.15, source=ESTIMATE, note=whose)
