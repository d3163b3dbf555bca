"""Settings written back as a scene of their own, based on the one they were found for."""

from __future__ import annotations

from pathlib import Path

from previz.deliver.files import write_text
from previz.errors import OutputError
from previz.solve.balance import Balance
from previz.telling.balance import balance_heading, dimmer_remark
from previz.telling.numbers import plain


def override_text(base: str, title: str, found: Balance) -> str:
    """YAML based on `base`: dimmers with a remark each, and ND by window."""
    lines = [f"# {line}" for line in balance_heading(title, found).splitlines()]
    lines += [f"based_on: {base}", ""]
    if found.lights:
        lines.append("lights:")
        for name, dimmed in found.lights.items():
            setting = f"{{dimmer_pct: {plain(dimmed.after_pct)}}}"
            lines.append(f"  {name}: {setting}  # {dimmer_remark(dimmed)}")
    if found.windows:
        lines.append("openings:")
        lines += [f"  {n}: {{gel_nd: {plain(g.after)}}}" for n, g in found.windows.items()]
    return "\n".join(lines) + "\n"


def refuse_override(path: Path, scene: Path, *, overwrite: bool) -> None:
    """OutputError where a file of settings would replace another, or could not be read.

    A scene file finds what it is based on in its own folder. Asked before anything takes long.
    """
    if path.resolve() == scene.resolve():
        raise OutputError(f"{path}: is the scene itself; give another name")
    if path.parent.resolve() != scene.parent.resolve():
        raise OutputError(f"{path}: must lie in the scene's folder, {scene.parent}")
    if path.exists() and not overwrite:
        raise OutputError(f"{path}: is there already; --overwrite replaces it, --out names another")


def write_override(path: Path, scene: Path, text: str, *, overwrite: bool) -> None:
    """Write it beside the scene. OutputError as `refuse_override` has it."""
    refuse_override(path, scene, overwrite=overwrite)
    write_text(path, text)
