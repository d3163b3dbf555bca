"""A key that no noun has: which key was meant?"""

from __future__ import annotations

from previz.scenefile.schema import UNITS, keys_at, model_schema, shapes
from previz.scenefile.scope import built_instead, out_of_scope
from previz.scenefile.settings import COLLECTIONS
from previz.scenefile.wording import Trail, clipped, listed, nearest

# Words people use for a key that has another name here; tried where that key is valid.
_OTHER_WORDS = {
    "aperture": "f_number", "stop": "f_number", "iris": "f_number", "t_number": "f_number",
    "fstop": "f_number", "f_stop": "f_number",
    "kelvin": "cct_k", "temperature": "cct_k", "color_temperature": "cct_k",
    "colour_temperature": "cct_k",
    "intensity": "dimmer_pct", "brightness": "dimmer_pct", "level": "dimmer_pct",
    "frame_rate": "fps", "framerate": "fps", "shutter": "shutter_deg", "nd": "nd_density",
    "position": "at_m", "pos": "at_m", "location": "at_m", "place": "at_m", "xy": "at_m",
    "target": "aim", "look_at": "aim", "looks_at": "gaze", "length": "depth_m",
    "model": "fixture", "type": "kind", "color": "colour", "rotation": "turn_deg",
    "angle": "turn_deg", "percentile": "stature_percentile", "height_cm": "stature_cm",
    "age": "age_years", "gel": "gel_nd", "name": "title",
}  # fmt: skip
# Keys of earlier versions, with what they are called now.
_RENAMED = {"deliver": "picture", "rate_mb_s": "rate_mbit_s", "dressing": "covering"}
_SPOKEN = {
    "mm": "millimetres", "cm": "centimetres", "m": "metres", "s": "seconds",
    "deg": "degrees", "pct": "per cent",
    "k": "kelvin", "lx": "lux", "years": "years",
}  # fmt: skip
_FOREIGN_UNITS = {
    "inch", "in", "ft", "feet", "kelvin", "percent", "degrees", "lux", "metres", "meters",
}  # fmt: skip


def meant_key(trail: Trail) -> str | None:
    """The valid key beside an unknown one that was most likely meant."""
    word, valid = str(trail[-1]), keys_at(trail[:-1])
    if out_of_scope(word):
        return None
    other = _RENAMED.get(word) or _OTHER_WORDS.get(word.lower())
    if other in valid:
        return other
    stem = _stem(word.lower())
    same_stem = [key for key in valid if _stem(key) == stem]
    if same_stem:
        return nearest(word, same_stem) or same_stem[0]
    return nearest(word, valid)


def unknown_key_message(trail: Trail, value: object = None) -> str:
    """`unknown key "focal_lenght_mm"; did you mean "focal_length_mm"?`

    `value` is what is written there: it may ask for what previz does not build.
    """
    word = str(trail[-1])
    start = f"unknown key {clipped(word)}"
    now = _RENAMED.get(word)
    if now in keys_at(trail[:-1]):
        return f"{clipped(word)} is called {now} now"
    near = meant_key(trail)
    if near:
        return f'{start}; did you mean "{near}"{_unit_note(word, near)}?'
    instead = built_instead(word, value)
    if instead:
        return f"{start}; {instead}"
    homes = _homes(word)
    if len(homes) == 1:
        return f"{start}; it belongs in {homes[0]}"
    return f"{start}; valid keys are {listed(keys_at(trail[:-1]), 'and')}"


def _stem(key: str) -> str:
    words = key.split("_")
    has_unit = len(words) > 1 and (words[-1] in UNITS or words[-1] in _FOREIGN_UNITS)
    return "_".join(words[:-1]) if has_unit else key


def _unit_note(word: str, key: str) -> str:
    """Say the unit when the two keys differ in nothing else."""
    if word == key or _stem(word.lower()) != _stem(key) or "_" not in key:
        return ""
    unit = _SPOKEN.get(key.rsplit("_", 1)[1])
    return f" (in {unit})" if unit else ""


def _homes(word: str) -> list[str]:
    """Where in a scene a key of this name is valid, up to two nouns down."""
    homes = []
    for key, value in model_schema()["properties"].items():
        if key in COLLECTIONS:
            inner = next(iter(value["patternProperties"].values()))
            if any(word in shape.get("properties", {}) for shape in shapes(inner)):
                homes.append(f"an entry of {key}")
        elif any(word in shape.get("properties", {}) for shape in shapes(value)):
            homes.append(key)
    return ["the scene itself"] if word in model_schema()["properties"] else homes
