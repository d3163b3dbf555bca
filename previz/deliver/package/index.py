"""The page that opens a package: pictures first, then what each file is. It loads nothing from
elsewhere; what it shows lies beside it in the folder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from html import escape
from pathlib import Path, PurePosixPath
from urllib.parse import quote

from previz.deliver.files import write_text
from previz.deliver.manifest import MANIFEST
from previz.deliver.package.record import FileNote, PackageRecord, PartNote, SceneNote
from previz.telling.cautions import ordered

INDEX = "index.html"
CSS = Path(__file__).with_name("style.css")
FRAME = "frame_"
MIB = 2**20

HEADINGS = {
    "pitch": "The pitch",
    "page": "The page for the client",
    "frames": "Frames",
    "compare": "Focal lengths side by side",
    "plan": "Plan and setting-out",
    "export": "For other programs",
    "kit": "What to bring",
    "record": "What was decided, and found on the day",
}
"""Of the parts, in the order in which they are shown."""
WHAT = {
    "kit.pdf": "to print and tick off",
    "kit.xlsx": "the same as a workbook",
    "kit.csv": "the same as a table",
    "pitch.pdf": "to send to the client",
    "page.html": "to send as well: to look at closely, and to say yes or what to change",
    "decisions.jsonl": "every decision about its frames",
    "plan.pdf": "all pages, to print at full size",
    "plan.svg": "the floor plan as a drawing",
    "elevations.svg": "the two elevations as a drawing",
    "setting_out.csv": "every stand, camera and seat by its distances",
    "scene.glb": "glTF: the set with cameras and lights",
    "scene.usdc": "OpenUSD: the set with cameras, lights and moves",
    "sky.exr": "what lies outside, for OpenUSD",
    "measured.csv": "everything that was measured",
}
CameraWords = Mapping[tuple[str, str], str]
"""A line on a camera, by scene and camera."""


def write_index(folder: Path, record: PackageRecord, cameras: CameraWords) -> Path:
    """Write the page of a package from its record."""
    path = folder / INDEX
    write_text(path, "\n".join(_page(record, cameras)) + "\n")
    return path


def _page(record: PackageRecord, cameras: CameraWords) -> Iterator[str]:
    titles = [scene.title for scene in record.scenes]
    title = titles[0] if len(titles) == 1 else f"{len(titles)} scenes of a day"
    yield "<!doctype html>"
    yield '<html lang="en"><head><meta charset="utf-8">'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">'
    yield f"<title>{escape(title)}</title>"
    yield f"<style>\n{CSS.read_text(encoding='utf-8')}</style></head><body><main>"
    yield f"<h1>{escape(title)}</h1>"
    for scene in record.scenes:
        yield from _scene(scene, record, cameras, alone=len(titles) == 1)
    if len(titles) > 1:
        yield "<h2>The day</h2>"
    for part in _in_order(record.parts, ""):
        yield from _part(part, cameras)
    yield from _cautions(record)
    yield "</main>"
    yield from _foot(record)
    yield "</body></html>"


def _scene(
    scene: SceneNote, record: PackageRecord, cameras: CameraWords, *, alone: bool
) -> Iterator[str]:
    parts = _in_order(record.parts, scene.name)
    if parts and not alone:
        yield f"<h2>{escape(scene.title)}</h2>"
    for part in parts:
        yield from _part(part, cameras)


def _in_order(parts: Sequence[PartNote], scene: str) -> list[PartNote]:
    order = list(HEADINGS)
    return sorted((p for p in parts if p.scene == scene), key=lambda part: order.index(part.name))


def _part(part: PartNote, cameras: CameraWords) -> Iterator[str]:
    made_as = f' <span class="quiet">{escape(part.made_as)}</span>' if part.made_as else ""
    yield f"<section><h3>{HEADINGS[part.name]}{made_as}</h3>"
    pictures = [file for file in part.files if _is_shown(part, file)]
    if pictures:
        kind = " drawing" if part.name == "plan" else ""
        yield f'<div class="{"frames" if part.name == "frames" else "wide"}">'
        for file in pictures:
            yield _figure(part, file, cameras, kind)
        yield "</div>"
    listed = [file for file in part.files if _is_listed(file)]
    if listed:
        yield "<ul>"
        yield from (f"<li>{_link(file)}{_what(part, file)}</li>" for file in listed)
        yield "</ul>"
    yield "</section>"


def _is_shown(part: PartNote, file: FileNote) -> bool:
    name = PurePosixPath(file.path).name
    match part.name:
        case "frames":
            return name.startswith(FRAME) and name.endswith(".png")
        case "compare":
            return name.startswith("compare_") and name.endswith(".png")
        case "plan":
            return name == "plan.svg"
    return False


def _is_listed(file: FileNote) -> bool:
    """Pictures that are shown need no line of their own, nor does what only programs read."""
    path = PurePosixPath(file.path)
    return not path.name.startswith(FRAME) and path.suffix != ".npz" and path.name != MANIFEST


def _figure(part: PartNote, file: FileNote, cameras: CameraWords, kind: str) -> str:
    camera = PurePosixPath(file.path).stem.removeprefix(FRAME)
    words = cameras.get((part.scene, camera), "") if part.name == "frames" else ""
    shown = f"camera {camera}" if part.name == "frames" else HEADINGS[part.name].lower()
    caption = f"<b>{escape(camera)}</b>{escape(words)}" if part.name == "frames" else ""
    image = f'<a href="{quote(file.path)}"><img src="{quote(file.path)}" alt="{escape(shown)}"></a>'
    below = f"<figcaption>{caption}</figcaption>" if caption else ""
    return f'<figure class="{kind.strip()}">{image}{below}</figure>'


def _link(file: FileNote) -> str:
    name = PurePosixPath(file.path).name
    return f'<a href="{quote(file.path)}">{escape(name)}</a>'


def _what(part: PartNote, file: FileNote) -> str:
    name = PurePosixPath(file.path).name
    what = WHAT.get(name, "")
    if name.startswith("guides_"):
        what = "framing guides for the monitor of that camera"
    if part.name == "record" and name.endswith(".json"):
        what = "a still held against the plan"
    size = f"{file.size_bytes / MIB:.0f} MB" if file.size_bytes >= MIB else ""
    words = ", ".join(word for word in (what, size) if word)
    return f' <span class="quiet">{escape(words)}</span>' if words else ""


def _cautions(record: PackageRecord) -> Iterator[str]:
    sentences = ordered({caution for part in record.parts for caution in part.cautions})
    if not sentences:
        return
    yield "<section><h2>Before anyone builds it</h2><ul>"
    for sentence in sentences:
        yield f"<li>{escape(sentence)}</li>"
    yield "</ul></section>"


def _foot(record: PackageRecord) -> Iterator[str]:
    yield f"<footer><p>Made by previz {escape(record.previz)} from:</p><ul>"
    for scene in record.scenes:
        yield f"<li>{escape(scene.path)}, {scene.digest[:12]}</li>"
    yield (
        '</ul><p><a href="manifest.json">manifest.json</a> has every file with its digest, and '
        "what each part was made from.</p></footer>"
    )
