"""Variants: a file `based_on` others, merged key by key, and settings put on top.

Files are merged in the order given, then the file's own keys win. Groups of keys merge
deeply, lists are replaced whole, `null` takes an inherited entry away. Every value keeps the
place it came from, so a message points to the file that must be corrected.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from previz.errors import Place, Problem
from previz.memory import remembered
from previz.scenefile.paths import PathError, resolve_inside
from previz.scenefile.text import read_text
from previz.scenefile.wording import clipped, nearest, shown
from previz.scenefile.yaml_tree import MAX_NODES, Entry, Leaf, Mapping, Node, Sequence, read_tree

MAX_LAYERS = 8
MAX_FILES = 32
BASED_ON = "based_on"
_WORDS = ("side", "azimuth_deg", "elevation_deg", "distance_m", "camera")
_FRAMING = ("frame", "from_deg", "headroom_pct", "look_room_pct")
_RECTANGLE = ("width_m", "depth_m", "centre_m")
REPLACES: dict[str, tuple[str, ...]] = {
    "at_m": (*_WORDS, *_FRAMING, "wall", "along_m"),
    **dict.fromkeys(("side", "azimuth_deg", "elevation_deg", "distance_m"), ("at_m", "height_m")),
    "frame": ("at_m",),
    "wall": ("at_m",),
    "height": ("height_m",),
    "height_m": ("height",),
    "aim": ("aim_m",),
    "aim_m": ("aim",),
    "faces": ("turn_deg",),
    "turn_deg": ("faces",),
    "cct_k": ("card",),
    "card": ("cct_k",),
    "floor_m": (*_RECTANGLE, "scan"),
    "scan": (*_RECTANGLE, "floor_m"),
    "stature_cm": ("stature_percentile",),
    "stature_percentile": ("stature_cm",),
}
"""Other ways of saying the same: who gives one in a variant does not mean the inherited other."""


@dataclass(frozen=True)
class Layered:
    """A scene's merged tree; None when a file could not be read at all.

    path       the scene file
    inherited  what it finds below its own keys, None when it is based on nothing
    files      it and all it is based on, as far as they were found
    sought     all files that were looked for, there or not
    """

    path: Path
    tree: Mapping | None
    inherited: Mapping | None
    problems: list[Problem]
    files: tuple[Path, ...]
    sought: tuple[Path, ...]


def read_layers(path: Path, text: str | None = None) -> Layered:
    """Read a scene file and all it is based on. Never raises for anything in the files.

    `text` is read in place of what `path` holds.
    """
    reader = _Reader(path.parent, text)
    tree = reader.load(path, ())
    files = tuple(dict.fromkeys(reader.files))
    problems = sorted(set(reader.problems), key=lambda p: (files.index(p.place.file), p))
    sought = tuple(dict.fromkeys((*files, *reader.missed)))
    whole = None if reader.broken else tree
    return Layered(path, whole, reader.inherited, problems, files, sought)


class _Reader:
    def __init__(self, folder: Path, text: str | None) -> None:
        self.folder = folder
        self.text = text
        self.inherited: Mapping | None = None
        self.files: list[Path] = []
        self.missed: list[Path] = []
        self.problems: list[Problem] = []
        self.nodes = 0
        self.broken = False

    def load(self, path: Path, above: tuple[Path, ...]) -> Mapping | None:
        self.files.append(path)
        given = None if above else self.text
        own = self._read_one(path, read_text(path) if given is None else given)
        if own is None:
            self.broken = True
            return None
        entry = own.entries.get(BASED_ON)
        if entry is None:
            return own
        own = Mapping({k: e for k, e in own.entries.items() if k != BASED_ON}, own.place)
        merged = Mapping({}, own.place)
        for leaf in self._base_leaves(entry.node):
            base = self._load_base(leaf, path, (*above, path))
            if base is not None:
                merged = merge(merged, base)
        if not above:
            self.inherited = merged
        return merge(merged, own)

    def _read_one(self, path: Path, text: str | Problem) -> Mapping | None:
        if isinstance(text, Problem):
            self.problems.append(text)
            return None
        reading = remembered(("tree", path, text), lambda: read_tree(text, path))
        self.problems += reading.problems
        self.nodes += reading.weight.nodes
        if reading.root is None:
            return None
        if self.nodes > MAX_NODES:
            self.problems.append(
                Problem(Place(path, 1, 1), f"all files together hold more than {MAX_NODES} values")
            )
            return None
        if not isinstance(reading.root, Mapping):
            self._refuse_root(reading.root)
            return None
        return reading.root

    def _refuse_root(self, root: Leaf | Sequence) -> None:
        if isinstance(root, Leaf) and root.faulty:
            return
        found = "a list" if isinstance(root, Sequence) else shown(root.value)
        message = f"a scene is keys with values, such as title: and room:, found {found}"
        self.problems.append(Problem(root.place, message))

    def _base_leaves(self, node: Node) -> list[Leaf]:
        items = node.items if isinstance(node, Sequence) else (node,)
        good = []
        for item in items:
            if isinstance(item, Leaf) and isinstance(item.value, str):
                good.append(item)
            elif not (isinstance(item, Leaf) and item.faulty):
                self._say(item.place, "must be a file name or a list of file names")
        return good

    def _load_base(self, leaf: Leaf, path: Path, above: tuple[Path, ...]) -> Mapping | None:
        name = str(leaf.value)
        try:
            target = self._target(path, name)
        except PathError as error:
            self.missed.append(path.parent / name)
            self._say(leaf.place, f"{clipped(name)}: {error}{self._meant(path.parent, name)}")
            return None
        if any(target.resolve() == file.resolve() for file in above):
            self._say(leaf.place, f"{clipped(name)} is based on this file in turn")
            return None
        if len(above) >= MAX_LAYERS:
            self._say(leaf.place, f"more than {MAX_LAYERS} files based on one another")
            return None
        if len(self.files) >= MAX_FILES:
            self._say(leaf.place, f"more than {MAX_FILES} files make up this scene")
            return None
        return self.load(target, above)

    def _target(self, path: Path, name: str) -> Path:
        """Names count from the folder of the file that gives them, inside the scene's folder."""
        inner = path.parent.relative_to(self.folder) if path.parent != self.folder else Path()
        resolve_inside(path.parent, name)
        return resolve_inside(self.folder, (inner / name).as_posix())

    def _meant(self, folder: Path, name: str) -> str:
        try:
            there = sorted(p.name for p in folder.iterdir() if p.suffix in (".yaml", ".yml"))
        except OSError:
            return ""
        near = nearest(name, there[:200])
        return f'; did you mean "{near}"?' if near and near != name else ""

    def _say(self, place: Place, message: str) -> None:
        self.broken = True
        self.problems.append(Problem(place, f"{BASED_ON}: {message}"))


def merge(base: Mapping, own: Mapping) -> Mapping:
    """`own` laid over `base`; a null that takes nothing away stays, to be judged later.

    A later way of saying where something is replaces an earlier one, as `REPLACES` has it.
    """
    given = [key for key, entry in own.entries.items() if not _is_null(entry.node)]
    replaced = {other for key in given for other in REPLACES.get(key, ())}
    entries = {k: e for k, e in base.entries.items() if k not in replaced or k in own.entries}
    for key, entry in own.entries.items():
        below = entries.get(key)
        node = entry.node
        if below is not None and _is_null(node):
            del entries[key]
        elif below is not None and isinstance(node, Mapping) and isinstance(below.node, Mapping):
            entries[key] = Entry(entry.key_place, merge(below.node, node))
        else:
            entries[key] = entry
    return Mapping(entries, own.place)


def _is_null(node: Node) -> bool:
    return isinstance(node, Leaf) and node.value is None and not node.faulty
