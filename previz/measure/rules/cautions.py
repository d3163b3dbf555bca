"""The usual words of caution, in one place: findings, commands and sheets say them from here.

They remind. None of them makes a set safe: each set of them ends with who decides. All are common
practice, no source, where nothing else is said.
"""

from __future__ import annotations

from dataclasses import dataclass

from previz.measure.gear.reach import has_film, out_of_reach
from previz.model.growth import GROWN_YEARS
from previz.stage.placed import StageLight
from previz.stage.stage import Stage

DECIDE = "local code and licensed practice decide"
TWO_PEOPLE_KG = 10.0
"""What weighs as much is lifted onto a stand by two. Health and Safety Executive, "Manual handling
at work: A brief guide" (INDG143), 2012, from memory: held away from the body at knuckle height,
10 kg for women and 15 kg for men; a filter for risk and no limit. The lower holds while the crew is
not known; `measure.kit.day.LIFT_KG` is the same guideline's for what is carried close to the body.
"""
HUNG_M = 1.9
"""What hangs higher than this without a stand is rigged over heads."""
DARK_ND = 0.6
"""Film from this density on takes in enough sun to heat the glass (estimate)."""

SENTENCES = {
    "hot_lamp": "hot lamps burn skin, cloth and paper: keep their stand-off distance, put only "
    "heat-rated gel before them, in a frame and never wrapped round, and let them cool before "
    "they are moved",
    "overhead": "over a person, move the stand or the seat first; what has to hang there needs a "
    "point rated for it, a second safety and a licensed rigger",
    "stand_weight": "weigh down every stand, low, and on the leg under the load",
    "two_people": "two people lift what weighs 10 kg (22 lb) or more, and hold the stand while it "
    "goes up",
    "ladder": "panes and ceilings above reach take a ladder, and somebody to hold it",
    "dark_film": "dark film on double glazing in the sun can crack it: ask whoever owns the glass",
    "cables": "lay cables along the walls, taped down or under a ramp where people walk; unwind "
    "reels wholly; use residual-current protection and earthing; keep plugs off damp floors",
    "background": "a background on stands catches wind as a sail does: a bag on each stand before "
    "it goes up, two people to raise it, a clamp on each end of the roll so that it cannot run "
    "out, and the edge on the floor taped down",
    "exits": "keep exits, and the ways to them, clear",
    "minor": "who is under 18 is filmed with a guardian's written consent and a grown-up by them; "
    "local law sets hours, breaks and permits, and may ask more: find out before the day",
}
BOOM = "sound.boom"
"""The thing that a microphone hangs from."""
ALWAYS = ("stand_weight", "cables", "exits")
"""What holds for every set with lights."""


@dataclass(frozen=True)
class Caution:
    """One caution: its rule, and the lights, openings, backgrounds or people it is about."""

    rule: str
    names: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """The words, without a full stop."""
        return SENTENCES[self.rule]


def cautions_for(stage: Stage) -> tuple[Caution, ...]:
    """What to say of a set's kit and people; the findings say what only its geometry tells."""
    lights, openings = stage.lights.values(), stage.room.openings
    found = {
        "hot_lamp": [light.name for light in lights if light.fixture.hot and light.on],
        "overhead": [light.name for light in lights if _hangs(light)],
        "stand_weight": [
            light.name for light in lights if light.on_stand and light.fixture.body is None
        ],
        "two_people": [n.name for n in lights if n.fixture.weight_kg >= TWO_PEOPLE_KG],
        "ladder": [n for n, o in openings.items() if has_film(o) and out_of_reach(o)],
        "dark_film": [n for n, density in stage.room.film_density.items() if density >= DARK_ND],
        "cables": [light.name for light in lights if light.fixture.emits],
        "background": [
            name.partition(".")[2] for name, piece in stage.pieces.items() if piece.on_stands
        ],
        "exits": [n for n, o in openings.items() if o.kind != "window"],
        "minor": [p.name for p in stage.people.values() if p.age_years < GROWN_YEARS],
    }
    if BOOM in stage.object_ids:
        found["overhead"].append("boom")
    always = ALWAYS if stage.lights else ("exits",)
    return tuple(
        Caution(rule, tuple(names)) for rule, names in found.items() if names or rule in always
    )


def _hangs(light: StageLight) -> bool:
    stand = light.setting.stand
    return stand == "boom_arm" or (stand == "none" and not light.practical)
