"""Settings written back as a scene of their own, based on the one they were found for."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from previz.deliver.files import write_text
from previz.errors import OutputError


def override_text(
    base: str, heading: str, lights: Mapping[str, tuple[float, str]], windows: Mapping[str, float]
) -> str:
    """YAML based on `base`: dimmers with a remark each, and ND by window."""
    lines = [f"# {line}" for line in heading.splitlines()]
    lines += [f"based_on: {base}", ""]
    if lights:
        lines.append("lights:")
        for name, (dimmer_pct, remark) in lights.items():
            lines.append(f"  {name}: {{dimmer_pct: {dimmer_pct:g}}}  # {remark}")
    if windows:
        lines.append("openings:")
        lines += [f"  {name}: {{gel_nd: {density:g}}}" for name, density in windows.items()]
    return "\n".join(lines) + "\n"


def write_override(path: Path, scene: Path, text: str, overwrite: bool) -> None:
    """Write it beside the scene. OutputError where it would replace a file or could not be read.

    A scene file finds what it is based on in its own folder.
    """
    if path.resolve() == scene.resolve():
        raise OutputError(f"{path}: is the scene itself; give another name")
    if path.parent.resolve() != scene.parent.resolve():
        raise OutputError(f"{path}: must lie in the scene's folder, {scene.parent}")
    if path.exists() and not overwrite:
        raise OutputError(f"{path}: is there already; --overwrite replaces it, --out names another")
    write_text(path, text)
