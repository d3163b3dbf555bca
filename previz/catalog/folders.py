"""Where the shared data lies: the user's own folder first, then the built-in one."""

from __future__ import annotations

import os
from pathlib import Path

from previz.errors import CatalogError

ENVIRONMENT_VARIABLE = "PREVIZ_CATALOG"
_PACKAGE = Path(__file__).resolve().parent.parent


def built_in_folder() -> Path:
    """The data that come with the project: in the installed wheel, or in a checkout."""
    installed = _PACKAGE / "_shared"
    return installed if installed.is_dir() else _PACKAGE.parent / "shared"


def folders(user: Path | None = None) -> tuple[Path, ...]:
    """Folders to look in, first one first: `user` or PREVIZ_CATALOG, then the built-in one.

    Raises CatalogError if a folder asked for does not exist.
    """
    named = os.environ.get(ENVIRONMENT_VARIABLE, "")
    if user is None and named:
        user = Path(named)
        asked_by = f" ({ENVIRONMENT_VARIABLE})"
    else:
        asked_by = ""
    if user is None:
        return (built_in_folder(),)
    if not user.is_dir():
        raise CatalogError(f"catalogue folder {user}{asked_by} does not exist")
    return (user.resolve(), built_in_folder())


def find_file(where: tuple[Path, ...], *parts: str) -> Path:
    """First file `parts` (folder, ..., name) in the folders `where`.

    Raises CatalogError if none has it, or if the path would leave the folder.
    """
    for folder in where:
        path = folder.joinpath(*parts).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise CatalogError(f"{'/'.join(parts)} lies outside the catalogue {folder}")
        if path.is_file():
            return path
    looked_in = ", ".join(str(folder) for folder in where)
    raise CatalogError(f"the catalogue has no file {'/'.join(parts)} (looked in {looked_in})")
