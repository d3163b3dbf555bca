"""What to bring for a day of scenes: counted, put into cases, written as page, workbook and CSV."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from previz.api.opening import OpenScene, Source, default_folder
from previz.api.progress import Progress, Silence
from previz.api.several import all_open
from previz.deliver.files import writable_folder
from previz.deliver.kit.page import write_pdf
from previz.deliver.kit.table import write_csv
from previz.deliver.kit.workbook import write_xlsx
from previz.measure.gear.stands import BAG_KG, POUND_BAG_KG
from previz.measure.kit.day import Day, day_of
from previz.measure.kit.needs import Needs, needs_of
from previz.measure.rules.cautions import cautions_for
from previz.telling.cautions import printed
from previz.telling.kit import Units, Words


@dataclass(frozen=True)
class PackOptions:
    """How a list is written. `settings` belong to one scene alone."""

    out: Path | None = None
    paper: Literal["a4", "letter"] = "a4"
    units: Units = "metres"
    settings: tuple[str, ...] = ()

    @property
    def words(self) -> Words:
        """How it says lengths and weights."""
        return Words(self.units)


@dataclass(frozen=True, eq=False)
class Packed:
    """A day's list and the files that hold it."""

    day: Day
    files: tuple[Path, ...]
    cautions: tuple[str, ...]


def pack_scenes(
    sources: Sequence[Source],
    options: PackOptions | None = None,
    progress: Progress | None = None,
) -> Packed:
    """Count what the scenes of a day need and write the list; nothing is rendered.

    InputError with the problems of every scene; ValueError for settings to several scenes.
    """
    options, watch = options or PackOptions(), progress or Silence()
    opened = all_open(sources, options.settings, watch)
    day = day_of({name: needs_in(scene, options.units) for name, scene in opened.items()})
    rules = {c.rule for scene in opened.values() for c in cautions_for(scene.stage)}
    cautions = printed(rules)
    return Packed(day, _written(day, _folder(opened, options), options, cautions), cautions)


def needs_in(scene: OpenScene, units: Units = "metres") -> Needs:
    """What a scene needs, its gels in the catalogue's words, its bags as they are sold there."""
    gels = {name: scene.catalog.gel(name).label for name in scene.catalog.names("gels")}
    return needs_of(scene.stage, gels, BAG_KG if units == "metres" else POUND_BAG_KG)


def _folder(opened: Mapping[str, OpenScene], options: PackOptions) -> Path:
    if options.out is not None:
        return writable_folder(options.out)
    if len(opened) == 1:
        return writable_folder(default_folder(next(iter(opened.values())).path) / "kit")
    return writable_folder(Path("out") / "kit")


def _written(
    day: Day, folder: Path, options: PackOptions, cautions: tuple[str, ...]
) -> tuple[Path, ...]:
    page, book, table = (folder / f"kit.{ending}" for ending in ("pdf", "xlsx", "csv"))
    write_pdf(page, day, options.words, options.paper, cautions)
    write_xlsx(book, day, options.words, options.paper)
    write_csv(table, day, options.words)
    return page, book, table
