"""Half-finished pictures, kept so that a stopped render can go on."""

from __future__ import annotations

import json
import time
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from previz.deliver.files import no_file_there, whole_file
from previz.errors import OutputError
from previz.render.contract import Exposing, RenderSettings

FOLDER = ".unfinished"
EVERY_SECONDS = 60.0


@dataclass(frozen=True)
class UnfinishedPicture:
    """One picture in the making, and everything that must be the same to go on with it."""

    camera: str
    settings: RenderSettings
    scene_digest: str
    variant: str

    @property
    def identity(self) -> str:
        """Text that differs whenever samples of one must not be added to the other.

        The number of samples is no part of it: a draft can be taken further.
        """
        alike = {k: v for k, v in asdict(self.settings).items() if k != "samples"}
        return json.dumps(
            [self.camera, alike, self.scene_digest, self.variant], sort_keys=True, allow_nan=False
        )


class Keeper:
    """Keeps unfinished pictures in a folder beside the results."""

    def __init__(self, folder: Path) -> None:
        self._folder = no_file_there(folder / FOLDER)
        self._last = time.monotonic()

    def keep_now_and_then(self, picture: UnfinishedPicture, exposing: Exposing) -> None:
        """Keep the picture if it is a minute since the last time, against a sudden end."""
        if time.monotonic() - self._last > EVERY_SECONDS:
            self.keep(picture, exposing)

    def keep(self, picture: UnfinishedPicture, exposing: Exposing) -> None:
        """Keep what there is."""
        if not exposing.done:
            return
        with whole_file(self._file(picture)) as fresh, fresh.open("wb") as file:
            arrays = {"identity": np.array(picture.identity), **exposing.state()}
            np.savez(file, allow_pickle=False, **arrays)
        self._last = time.monotonic()

    def restore(self, picture: UnfinishedPicture, exposing: Exposing) -> bool:
        """Go on from what was kept, if it is of the very same picture."""
        try:
            with np.load(self._file(picture), allow_pickle=False) as kept:
                if str(kept["identity"]) != picture.identity:
                    return False
                exposing.restore({name: kept[name] for name in kept.files if name != "identity"})
        except (OSError, ValueError, KeyError):
            return False
        return True

    def forget(self, picture: UnfinishedPicture) -> None:
        """Remove what was kept of a picture that is finished."""
        try:
            self._file(picture).unlink(missing_ok=True)
            if self._folder.is_dir() and not any(self._folder.iterdir()):
                self._folder.rmdir()
        except OSError as error:
            raise OutputError(
                f"{self._file(picture)}: is no longer needed and cannot be deleted "
                f"({error.strerror or error}): delete {self._folder} yourself"
            ) from error

    def _file(self, picture: UnfinishedPicture) -> Path:
        part = "_region" if picture.settings.only else ""
        return self._folder / f"{picture.camera}{part}.npz"
