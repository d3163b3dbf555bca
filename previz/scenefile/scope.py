"""What people ask a scene for and previz does not build, and what it has instead."""

from __future__ import annotations

_OUT_OF_SCOPE = {
    "outdoors", "outdoor", "outside", "exterior", "terrain", "landscape", "ground", "street",
    "garden", "park", "forest", "woods", "meadow", "beach", "sea", "lake", "river",
    "mountain", "mountains", "desert", "road", "roadside", "plaza", "courtyard", "terrace",
    "vehicle", "vehicles", "car", "cars", "van", "truck", "lorry", "bus", "taxi", "tram", "train",
    "boat", "ship", "aircraft", "plane", "helicopter", "motorbike", "bicycle",
}  # fmt: skip
"""Words for where people are filmed and what previz does not build."""
ONLY_ROOMS = (
    "previz builds rooms: outdoors and vehicles are out of its scope; a window shows what lies "
    "outside (daylight.view), and a scan may be any space (room.scan)"
)
_BEHIND = {"backdrop", "backdrops", "background", "scenery", "cyclorama"}
"""Words for what is seen behind people."""
_BEHIND_PEOPLE = (
    "what hangs or stands behind people is furniture (piece: white_sweep, or another of previz "
    "catalog list furniture), a wall swept into the floor (room.sweep), or a set (sets); what lies "
    "outside a window is daylight.view"
)


def out_of_scope(word: str) -> bool:
    """Whether a word asks for a set outdoors or for a vehicle."""
    return bool(_OUT_OF_SCOPE & set(word.lower().replace("-", "_").replace(" ", "_").split("_")))


def built_instead(word: str, value: object = None) -> str | None:
    """What previz has in place of a key that asks for a place, or of a key's value that does."""
    if out_of_scope(word) or (isinstance(value, str) and out_of_scope(value)):
        return ONLY_ROOMS
    return _BEHIND_PEOPLE if word.lower() in _BEHIND else None
