"""Scene files: YAML text to a checked scene whose every value knows where it is written."""

from previz.scenefile.draft import SCENE_FILE, SceneDraft, draft_of, read_scene, scene_file
from previz.scenefile.layers import Layered, read_layers
from previz.scenefile.paths import PathError, resolve_inside
from previz.scenefile.places import Places
from previz.scenefile.schema import scene_schema

__all__ = [
    "SCENE_FILE",
    "Layered",
    "PathError",
    "Places",
    "SceneDraft",
    "draft_of",
    "read_layers",
    "read_scene",
    "resolve_inside",
    "scene_file",
    "scene_schema",
]
