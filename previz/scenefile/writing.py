"""Values written into a scene's file, of which everything else stays as it was written.

A value's own characters are exchanged, found by the marks of the YAML parser that reads scenes
too; the file is never dumped anew. A dump, even one that knows comments, sets indentation, quotes,
line lengths and blank lines by its own rules. So nothing is needed but the parser that is there,
and what it reads back says whether the change was right.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from previz.catalog import Catalog
from previz.errors import InputError, Place, Problem
from previz.scenefile.draft import SCENE_FILE, SceneDraft, read_scene
from previz.scenefile.entries import put, taken_out
from previz.scenefile.layers import merge, read_layers
from previz.scenefile.places import Places
from previz.scenefile.replacing import BOM, contents, refuse_other, replace_contents
from previz.scenefile.schema import model_schema
from previz.scenefile.settings import full_path, is_path
from previz.scenefile.surgery import UnwritableError
from previz.scenefile.text import decode
from previz.scenefile.wording import clipped, shown
from previz.scenefile.written import Value, as_written, same
from previz.scenefile.yaml_tree import Leaf, Mapping, Node, ReadTree, plain, read_tree

_IN_LINE = re.compile(r"\bin line \d+")


@dataclass(frozen=True)
class Edit:
    """One value for a scene's file, or None to take the entry away.

    `path` is as for --set: `cameras.A.at_m`, or `A.at_m` where only one thing is called A.
    """

    path: str
    value: Value | None


@dataclass(frozen=True)
class Written:
    """A file's text before and after it was written; alike when there was nothing to change."""

    before: str
    after: str


def edited(
    text: str,
    edits: Iterable[Edit],
    inherited: Mapping | None = None,
    file: Path = Path(SCENE_FILE),
) -> str:
    """The text of a scene with the edits made in their order, every other character kept.

    A value that already stands there is left as it is written. A new entry goes to the end of its
    group, in the group's style. `inherited` is what the scene is based on (`Layered.inherited`):
    what stands there is written over, and taken away by null. InputError, naming `file`, when
    the text is no YAML, the path leads nowhere, or the value can't be written there.
    """
    mark = BOM if text.startswith(BOM) else ""
    body = decode(text.encode("utf-8", "surrogatepass"), file)
    if isinstance(body, Problem):
        raise InputError([body])
    for edit in edits:
        body = _one_edited(body, edit, inherited, file)
    return mark + body


def write_edits(
    path: Path, edits: Iterable[Edit], catalog: Catalog, expected: str | None = None
) -> Written:
    """Make the edits in a scene's file, or in `scene.yaml` of a folder: whole or not at all.

    `expected` is the text for which the edits were thought out. InputError, and nothing is
    written, when the file holds another text by now, when an edit can't be made, or when the scene
    would have a problem that it had not before. OutputError when the file can't be written.
    """
    path = scene_file(path)
    before = contents(path)
    if expected is not None:
        refuse_other(path, before.removeprefix(BOM), expected.removeprefix(BOM))
    layers = read_layers(path, before.removeprefix(BOM))
    after = edited(before, edits, layers.inherited, path)
    if after != before:
        _refuse_new_problems(path, catalog, before, after)
        replace_contents(path, before, after)
    return Written(before, after)


def scene_file(path: Path) -> Path:
    """The file itself, or the scene in a folder."""
    return path / SCENE_FILE if path.is_dir() else path


def _one_edited(text: str, edit: Edit, inherited: Mapping | None, file: Path) -> str:
    reading = read_tree(text, file)
    own = reading.root
    if own is None:
        raise InputError(reading.problems)
    if not isinstance(own, Mapping):
        raise InputError([Problem(own.place, "a scene is keys with values; nothing was written")])
    trail: list[str] = []
    try:
        trail = _trail(edit.path, own, inherited)
        _refuse_blocked(own, trail)
        return _changed(text, reading, own, trail, edit.value, inherited)
    except (UnwritableError, ValueError) as error:
        place = Places(own).of(*trail) if trail else Place(file)
        raise InputError([Problem(place, f"{clipped(edit.path)[1:-1]}: {error}")]) from None


def _changed(
    text: str,
    reading: ReadTree,
    own: Mapping,
    trail: list[str],
    value: Value | None,
    inherited: Mapping | None,
) -> str:
    there = _node_at(own, trail)
    wanted = plain(own)
    if value is None and (inherited is None or _node_at(inherited, trail) is None):
        if there is None:
            return text
        del _group_at(wanted, trail)[trail[-1]]
        after = taken_out(text, trail)
    else:
        new = None if value is None else as_written(trail[-1], value)
        if there is not None and not _is_faulty(there) and same(plain(there), new):
            return text
        _group_at(wanted, trail)[trail[-1]] = new
        after = put(text, trail, new)
    _refuse_misread(after, wanted, len(reading.problems))
    return after


def _trail(path: str, own: Mapping, inherited: Mapping | None) -> list[str]:
    if not is_path(path):
        raise ValueError("is no path to a value, such as key.dimmer_pct")
    tree = own if inherited is None else merge(inherited, own)
    found = full_path(path.split("."), tree, tuple(model_schema()["properties"]))
    if isinstance(found, str):
        raise ValueError(found)
    return found


def _refuse_blocked(own: Mapping, trail: list[str]) -> None:
    """A value where the path needs a group cannot be given keys."""
    for length in range(1, len(trail)):
        node = _node_at(own, trail[:length])
        if node is None:
            return
        if not isinstance(node, Mapping):
            at, found = ".".join(trail[:length]), shown(plain(node))
            raise ValueError(f"{at} must be a group of keys to hold this, found {found}")


def _refuse_misread(after: str, wanted: object, most_problems: int) -> None:
    """What is read back must be what was there but for the one value."""
    reading = read_tree(after, Path())
    if (
        reading.root is None
        or len(reading.problems) > most_problems
        or not same(plain(reading.root), wanted)
    ):
        raise UnwritableError("cannot be changed without touching what is beside it; do it by hand")


def _node_at(tree: Node, trail: list[str]) -> Node | None:
    node: Node = tree
    for key in trail:
        if not isinstance(node, Mapping) or key not in node.entries:
            return None
        node = node.entries[key].node
    return node


def _group_at(data: dict[str, Any], trail: list[str]) -> dict[str, Any]:
    """The group that holds the last key of the trail, made if it is not there."""
    for key in trail[:-1]:
        data = data.setdefault(key, {})
    return data


def _is_faulty(node: Node) -> bool:
    return isinstance(node, Leaf) and node.faulty


def _refuse_new_problems(path: Path, catalog: Catalog, before: str, after: str) -> None:
    known = Counter(_gist(p) for p in _read(path, catalog, before).problems)
    new = []
    for problem in _read(path, catalog, after).problems:
        known[_gist(problem)] -= 1
        if known[_gist(problem)] < 0:
            new.append(problem)
    if new:
        raise InputError(new)


def _read(path: Path, catalog: Catalog, text: str) -> SceneDraft:
    return read_scene(path, catalog, text=text.removeprefix(BOM))


def _gist(problem: Problem) -> tuple[Path, str]:
    """A problem whatever line it stands in: the lines below an edit move."""
    return problem.place.file, _IN_LINE.sub("", problem.message)
