"""Scene files: YAML text to a checked scene whose every value knows where it is written."""

from previz.scenefile.draft import SCENE_FILE, SceneDraft, read_scene
from previz.scenefile.paths import PathError, resolve_inside
from previz.scenefile.places import Places
from previz.scenefile.schema import scene_schema

__all__ = [
    "SCENE_FILE",
    "PathError",
    "Places",
    "SceneDraft",
    "read_scene",
    "resolve_inside",
    "scene_schema",
]
