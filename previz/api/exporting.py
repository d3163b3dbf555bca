"""A scene as files that other programs open."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import cached_property
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from previz.api.measuring import measure_scene
from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.progress import Progress, Silence
from previz.deliver.files import writable_folder
from previz.errors import MissingError
from previz.measure.report import Report
from previz.telling.cautions import printed_for
from previz.version import version

if TYPE_CHECKING:
    from previz.deliver.exports.scenery import Item

Format = Literal["gltf", "usd", "guides", "csv"]
FORMATS: tuple[Format, ...] = get_args(Format)

NO_USD = "usd: the OpenUSD library is not installed; pip install 'previz[usd]' brings it"


@dataclass(frozen=True)
class ExportOptions:
    """Which files to write, and where to.

    formats  None: all that this machine can write
    light    read the light too, for the table of numbers
    """

    out: Path | str | None = None
    formats: tuple[Format, ...] | None = None
    light: bool = True
    variant: str | None = None
    settings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Exported:
    """What was written. `left_out` says which format was not, and why."""

    folder: Path
    files: tuple[Path, ...]
    left_out: tuple[str, ...]
    seconds: float
    cautions: tuple[str, ...]


def export_scene(
    source: Source, options: ExportOptions | None = None, progress: Progress | None = None
) -> Exported:
    """Write a scene as glTF, OpenUSD, framing guides and a table of all that is measured.

    MissingError where a format is asked for by name whose library is not there.
    """
    options, watch = options or ExportOptions(), progress or Silence()
    began = time.monotonic()
    formats, left_out = _possible(options.formats)
    opened = opened_from(source, options.settings)
    folder = writable_folder(Path(options.out or default_folder(opened.path) / "export"))
    export = _Export(opened, folder, options, watch)
    files = export.write(formats)
    seconds = time.monotonic() - began
    return Exported(folder, tuple(files), left_out, seconds, printed_for(opened.stage))


def _possible(wanted: tuple[Format, ...] | None) -> tuple[tuple[Format, ...], tuple[str, ...]]:
    """What to write, and what to leave out of all there is."""
    if find_spec("pxr") is not None:
        return wanted or FORMATS, ()
    if wanted is None:
        return tuple(name for name in FORMATS if name != "usd"), (NO_USD,)
    if "usd" in wanted:
        raise MissingError(NO_USD)
    return wanted, ()


class _Export:
    """One export: what it is made of, and a way to write each format."""

    def __init__(
        self, opened: OpenScene, folder: Path, options: ExportOptions, watch: Progress
    ) -> None:
        self.opened, self.folder, self.options, self.watch = opened, folder, options, watch

    def write(self, formats: Collection[Format]) -> list[Path]:
        """The files of all these formats, in the order of `FORMATS`."""
        ways: dict[Format, Callable[[], list[Path]]] = {
            "gltf": self._gltf,
            "usd": self._usd,
            "guides": self._guides,
            "csv": self._csv,
        }
        if {"guides", "csv"} & set(formats):
            # Its light shows how far it is by itself, so it comes before the files.
            _ = self._report
        files: list[Path] = []
        wanted = [name for name in FORMATS if name in formats]
        self.watch.start("writing files", len(wanted))
        for done, name in enumerate(wanted, start=1):
            files += ways[name]()
            self.watch.advance(done)
        self.watch.finish()
        return files

    @property
    def _made_by(self) -> str:
        return f"previz {version()}, scene {self.opened.digest[:12]}"

    @cached_property
    def _standing(self) -> tuple[Item, ...]:
        """What stands on the stage, worked out once for both scene formats."""
        from previz.deliver.exports.scenery import items  # noqa: PLC0415 - what renders hair

        return tuple(items(self.opened.stage))

    @cached_property
    def _report(self) -> Report:
        """Everything measured; its light only where the table wants it."""
        light = self.options.light and "csv" in (self.options.formats or FORMATS)
        return measure_scene(
            self.opened, light=light, variant=self.options.variant, progress=self.watch
        )

    def _gltf(self) -> list[Path]:
        from previz.deliver.exports.gltf import write_gltf  # noqa: PLC0415 - what one format needs

        path = self.folder / "scene.glb"
        write_gltf(path, self.opened.stage, self._standing, self._made_by)
        return [path]

    def _usd(self) -> list[Path]:
        from previz.deliver.exports.usd import write_usd  # noqa: PLC0415 - what one format needs
        from previz.deliver.frames import write_panorama  # noqa: PLC0415

        stage, path, sky = self.opened.stage, self.folder / "scene.usdc", self.folder / "sky.exr"
        if stage.environment is None:
            write_usd(path, stage, self._standing, self._made_by, None)
            return [path]
        write_panorama(sky, stage.environment.panorama)
        write_usd(path, stage, self._standing, self._made_by, sky)
        return [path, sky]

    def _guides(self) -> list[Path]:
        from previz.deliver.exports.guides import write_guides  # noqa: PLC0415

        files = []
        for name, numbers in self._report.measured.cameras.items():
            path = self.folder / f"guides_{name}.png"
            mode = numbers.kit.mode
            notes = {
                "Title": f"{self.opened.scene.title}, camera {name}",
                "Software": f"previz {version()}",
                "Comment": f"scene {self.opened.digest[:12]}",
            }
            size = (mode.width_px, mode.height_px)
            delivery = self.opened.stage.programme.delivery
            write_guides(path, size, numbers.framing, name, notes, delivery)
            files.append(path)
        return files

    def _csv(self) -> list[Path]:
        from previz.deliver.exports.measured_csv import write_measured  # noqa: PLC0415

        path = self.folder / "measured.csv"
        write_measured(path, self._report)
        return [path]
