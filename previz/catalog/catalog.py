"""The catalogue: records by kind and name, read when first asked for."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Literal, Self, TypeVar, get_args

from previz.catalog import checking, folders, yaml_text
from previz.errors import CatalogError, InputError, Place, Problem
from previz.model.faces import FaceRecord
from previz.model.records import (
    Adapter,
    Fixture,
    FurnitureRecord,
    Gel,
    Lens,
    Material,
    Record,
    Sensor,
)
from previz.model.sets import SetRecord

RecordKind = Literal[
    "sensors", "lenses", "adapters", "fixtures", "gels", "materials", "furniture", "sets", "faces"
]
KINDS: tuple[RecordKind, ...] = get_args(RecordKind)
MODELS: Mapping[RecordKind, type[Record]] = MappingProxyType(
    {
        "sensors": Sensor,
        "lenses": Lens,
        "adapters": Adapter,
        "fixtures": Fixture,
        "gels": Gel,
        "materials": Material,
        "furniture": FurnitureRecord,
        "sets": SetRecord,
        "faces": FaceRecord,
    }
)
SINGULAR: Mapping[RecordKind, str] = MappingProxyType(
    {
        "sensors": "sensor",
        "lenses": "lens",
        "adapters": "adapter",
        "fixtures": "fixture",
        "gels": "gel",
        "materials": "material",
        "furniture": "piece of furniture",
        "sets": "set",
        "faces": "face",
    }
)

# Faces lie beside the body that they are shaped from.
_IN_FOLDER: Mapping[RecordKind, str] = MappingProxyType({"faces": "people"})

R = TypeVar("R", bound=Record)
_Use = tuple[RecordKind, str, tuple[str, ...], str]
"""Where a record names another: its kind, its name, the keys in it, and the name it gives."""


@dataclass(frozen=True)
class Hit:
    """One record found by a search."""

    kind: RecordKind
    name: str
    record: Record


@dataclass(frozen=True, eq=False)
class Catalog:
    """Sensors, lenses, adapters, fixtures, gels, materials, furniture, sets and faces by name.

    folders  where it reads, first one first: a record in the user's folder replaces the
             built-in one of the same name as a whole
    """

    folders: tuple[Path, ...]
    _tables: dict[RecordKind, Mapping[str, Record]] = field(default_factory=dict, repr=False)

    @classmethod
    def load(cls, folder: Path | None = None) -> Self:
        """The catalogue with `folder`, else the folder in PREVIZ_CATALOG, laid over it.

        Files are read when first asked for. Raises CatalogError if the folder does not exist,
        InputError if it holds a file the catalogue would never read (`lense.yaml`).
        """
        found = folders.folders(folder)
        for user in found[:-1]:
            _refuse_stray_files(user)
        return cls(found)

    @property
    def root(self) -> Path:
        """The built-in folder."""
        return self.folders[-1]

    def sensor(self, name: str) -> Sensor:
        """Sensor by name. Like its siblings below it raises CatalogError with the nearest name."""
        return self._record("sensors", Sensor, name)

    def lens(self, name: str) -> Lens:
        """Lens by name."""
        return self._record("lenses", Lens, name)

    def adapter(self, name: str) -> Adapter:
        """Focal reducer or extender by name."""
        return self._record("adapters", Adapter, name)

    def fixture(self, name: str) -> Fixture:
        """Light, board, frame or flag by name."""
        return self._record("fixtures", Fixture, name)

    def gel(self, name: str) -> Gel:
        """Gel by name."""
        return self._record("gels", Gel, name)

    def material(self, name: str) -> Material:
        """Surface by name."""
        return self._record("materials", Material, name)

    def furniture(self, name: str) -> FurnitureRecord:
        """Piece of furniture or prop by name."""
        return self._record("furniture", FurnitureRecord, name)

    def furniture_set(self, name: str) -> SetRecord:
        """Set of furniture by name."""
        return self._record("sets", SetRecord, name)

    def face(self, name: str) -> FaceRecord:
        """Face of a stand-in by name."""
        return self._record("faces", FaceRecord, name)

    def names(self, kind: RecordKind) -> tuple[str, ...]:
        """Names of all records of a kind, in the order of the files."""
        return tuple(self.records(kind))

    def records(self, kind: RecordKind) -> Mapping[str, Record]:
        """All records of a kind by name.

        Raises InputError with one problem for each thing wrong in the files.
        """
        if kind not in self._tables:
            merged: dict[str, Record] = {}
            for folder in reversed(self.folders):
                path = _file_of(folder, kind)
                if path.is_file():
                    stamp = path.stat()
                    merged |= _read_once(path, kind, stamp.st_mtime_ns, stamp.st_size)
            self._tables[kind] = MappingProxyType(merged)
        return self._tables[kind]

    def data_file(self, *parts: str) -> Path:
        """Path of other shared data, such as `data_file("people", "body.npz")`.

        Raises CatalogError if there is no such file or it would lie outside the catalogue.
        """
        return folders.find_file(self.folders, *parts)

    def search(self, text: str) -> tuple[Hit, ...]:
        """Records in which every word of `text` occurs, those with it in the name first.

        A word finds words that begin with it; a number finds only itself.
        """
        wanted = _words(text)
        hits: list[tuple[bool, Hit]] = []
        for kind in KINDS:
            for name, record in self.records(kind).items():
                in_name = _words(f"{kind} {SINGULAR[kind]} {name}")
                everywhere = in_name | _words(_prose(record))
                if wanted and all(_occurs(word, everywhere) for word in wanted):
                    whole = all(_occurs(word, in_name) for word in wanted)
                    hits.append((not whole, Hit(kind, name, record)))
        return tuple(hit for _, hit in sorted(hits, key=lambda pair: pair[0]))

    def check(self) -> None:
        """Read everything. Raises InputError with all problems of all files in one pass.

        Finds what a single file cannot know: a material or a piece that no record describes.
        """
        problems: list[Problem] = []
        for kind in KINDS:
            try:
                self.records(kind)
            except InputError as error:
                problems += error.problems
        if not problems:
            problems = [*self._dangling("materials"), *self._dangling("furniture")]
        if problems:
            raise InputError(problems)

    def _record(self, kind: RecordKind, model: type[R], name: str) -> R:
        records = self.records(kind)
        if name not in records:
            close = checking.nearest(name, records)
            hint = f"; nearest: {close}" if close else f" (previz catalog list {kind})"
            raise CatalogError(f"no {SINGULAR[kind]} {name!r} in the catalogue{hint}")
        record = records[name]
        assert isinstance(record, model)
        return record

    def _dangling(self, wanted: RecordKind) -> list[Problem]:
        """Records of one kind that others name and nobody describes."""
        known = self.records(wanted)
        used = self._materials_used() if wanted == "materials" else self._pieces_used()
        problems = []
        for kind, name, keys, other in used:
            if other not in known:
                close = checking.nearest(other, known)
                hint = f"; nearest: {close}" if close else ""
                message = f"{'.'.join((name, *keys))}: no {SINGULAR[wanted]} {other!r}{hint}"
                problems.append(Problem(self._place(kind, name, keys), message))
        return problems

    def _materials_used(self) -> list[_Use]:
        used: list[_Use] = []
        for name in self.names("fixtures"):
            material = self.fixture(name).material
            if material is not None:
                used.append(("fixtures", name, ("material",), material))
        for name in self.names("furniture"):
            for role, material in self.furniture(name).materials.items():
                used.append(("furniture", name, ("materials", role), material))
        for name in self.names("sets"):
            for part, piece in self.furniture_set(name).pieces.items():
                if piece.material is not None:
                    used.append(("sets", name, ("pieces", part, "material"), piece.material))
        return used

    def _pieces_used(self) -> list[_Use]:
        return [
            ("sets", name, ("pieces", part, "piece"), piece.piece)
            for name in self.names("sets")
            for part, piece in self.furniture_set(name).pieces.items()
        ]

    def _place(self, kind: RecordKind, name: str, keys: tuple[str, ...]) -> Place:
        """Place of a record's value, in the first file that has the record."""
        for folder in self.folders:
            path = _file_of(folder, kind)
            if path.is_file():
                place, found = yaml_text.locate(path, (name, *keys))
                if found:
                    return place
        return Place(_file_of(self.root, kind))


def _file_of(folder: Path, kind: RecordKind) -> Path:
    return folder / _IN_FOLDER.get(kind, "") / f"{kind}.yaml"


@functools.lru_cache(maxsize=32)
def _read_once(path: Path, kind: RecordKind, mtime_ns: int, size: int) -> Mapping[str, Record]:
    """Records of one file; `mtime_ns` and `size` make an edited file another one."""
    del mtime_ns, size
    return MappingProxyType(checking.read_records(path, MODELS[kind]))


def _refuse_stray_files(folder: Path) -> None:
    """A misspelt file name must not silently leave the user's records out."""
    problems = []
    read = {f"{kind}.yaml" for kind in KINDS}
    read |= {path.name for path in folders.built_in_folder().glob("*.yaml")}
    for path in sorted(folder.glob("*.y*ml")):
        if path.name not in read:
            close = checking.nearest(path.stem, KINDS) or ", ".join(KINDS)
            problems.append(Problem(Place(path), f"is not read: the name would be {close}.yaml"))
    if problems:
        raise InputError(problems)


def _prose(record: Record) -> str:
    """What a search looks through: the label, and the words among the values."""
    values = record.model_dump(exclude={"source", "kind"})
    words = [str(value) for value in values.values() if isinstance(value, str)]
    for table in (values.get("modes"), values.get("materials")):
        words += [str(key) for key in table or {}]
    return " ".join(words)


def _words(text: str) -> set[str]:
    return set(re.findall(r"[0-9]+(?:\.[0-9]+)?|[^\W\d_]+", text.lower()))


def _occurs(word: str, among: set[str]) -> bool:
    if word[0].isdigit() or len(word) < 3:
        return word in among
    stem = word.removesuffix("es") if word.endswith("xes") else word.removesuffix("s")
    return any(other.startswith(stem) for other in among)
