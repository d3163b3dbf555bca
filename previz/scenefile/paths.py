"""Files that a scene names: they may not lead out of its folder."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

from previz.errors import PrevizError


class PathError(PrevizError):
    """A path in a scene that is refused or leads nowhere; the message is one sentence."""


def resolve_inside(folder: Path, text: str, *others: Path) -> Path:
    """The existing file that `text` names inside `folder`, or else inside one of `others`.

    Refuses absolute paths, `..`, backslashes, and links that lead out of the folder.
    Raises PathError with the reason.
    """
    _refuse_by_form(text)
    for root in (folder, *others):
        found = _inside(root, text)
        if found is not None:
            return found
    raise PathError("no such file in the scene's folder")


def _refuse_by_form(text: str) -> None:
    path = PurePosixPath(text)
    if not text.strip() or not text.isprintable():
        raise PathError("is not a file name")
    if "\\" in text or text[1:2] == ":":
        raise PathError("write the path with / and relative to the scene's folder")
    if path.is_absolute() or text.startswith("~"):
        raise PathError("must be relative to the scene's folder")
    if ".." in path.parts:
        raise PathError("must not leave the scene's folder (..)")


def _inside(root: Path, text: str) -> Path | None:
    try:
        real_root = root.resolve()
        path = (root / text).resolve()
        if not path.is_relative_to(real_root):
            raise PathError("is a link that leaves the scene's folder")
        return root / text if path.is_file() else None
    except (OSError, RuntimeError, ValueError) as error:
        raise PathError("is not a usable file name") from error
