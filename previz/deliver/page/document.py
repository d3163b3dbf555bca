"""Puts a page together: HTML, style, scripts, words and images in one file.

Nothing of it asks a network; its own policy forbids that. Without a script the frames are there,
one under the other, as they are in print.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Mapping
from html import escape
from pathlib import Path
from string import Template
from typing import Any

from previz.deliver.files import write_text
from previz.deliver.page.content import LightControl, PageContent, PageFrame, PageScene
from previz.deliver.page.encoded import (
    STEPS,
    TABLE_STEPS,
    TOE,
    Planes,
    light_planes,
    picture_address,
    table_planes,
    tiles_across,
)
from previz.physics.colour import LUMINANCE_WEIGHTS

HERE = Path(__file__).parent
SCRIPTS = (
    "dom.js", "words.js", "kept.js", "planes.js", "develop_gl.js", "develop_2d.js", "relight.js",
    "guides.js", "compare.js", "mark.js", "decide.js", "send.js", "viewer.js",
)  # fmt: skip
"""In the order in which they are run."""
Words = Mapping[str, str]


def write_page(path: Path, content: PageContent) -> None:
    """Write the whole page."""
    words = read_words()
    style, scripts = _text("style.css"), "\n".join(_text(name) for name in SCRIPTS)
    filling = {
        "title": escape(content.showing.title),
        "policy": _policy(style, scripts),
        "style": style,
        "frames": "\n".join(_frames(content, words)),
        "cautions": "".join(f"<li>{escape(text)}</li>" for text in content.cautions),
        "words": _json(words),
        "showing": _json(_told(content, words)),
        "scripts": scripts,
        **{f"w_{key}": escape(text) for key, text in words.items()},
    }
    write_text(path, Template(_text("page.html")).substitute(filling))


def _policy(style: str, scripts: str) -> str:
    """What the page may do: run and style what is in it, show what is in it; ask nobody."""
    of_style, of_scripts = (
        base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
        for text in (style, scripts)
    )
    return (
        f"default-src 'none'; img-src data:; style-src 'sha256-{of_style}'; "
        f"script-src 'sha256-{of_scripts}'; base-uri 'none'; form-action 'none'"
    )


def read_words() -> Words:
    """All words of the page by key, as they are translated."""
    found: dict[str, str] = json.loads(_text("words.json"))
    return found


def _text(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")


def _json(value: object) -> str:
    """JSON that can stand in HTML: no text in it ends its element."""
    told = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return told.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


def key_of(scene: str, camera: str) -> str:
    """What a frame is called in the page."""
    return f"{scene}/{camera}"


def heading(content: PageContent, scene: PageScene, frame: PageFrame, words: Words) -> str:
    """A frame's own heading: its camera; with its look, or its scene where there are several."""
    camera = words["camera"].replace("{name}", frame.camera)
    alone = sum(one.look_of is None for one in content.scenes) == 1
    return camera if alone and scene.look_of is None else f"{scene.title}: {camera}"


def _frames(content: PageContent, words: Words) -> Iterator[str]:
    """The frames as they are printed, and shown without a script."""
    for scene in content.scenes:
        for frame in scene.frames:
            told = "".join(f"<p>{escape(line)}</p>" for line in frame.lines)
            title = heading(content, scene, frame, words)
            height, width = frame.picture.shape[:2]
            yield (
                f'<section class="frame" data-frame="{escape(key_of(scene.name, frame.camera))}">'
                f"<h2>{escape(title)}</h2>"
                f'<div class="printed"><img alt="{escape(frame.alt)}" width="{width}" '
                f'height="{height}" src="{picture_address(frame.picture)}"></div>'
                f'{told}<p class="decided"></p></section>'
            )


def _told(content: PageContent, words: Words) -> dict[str, Any]:
    """What the scripts read."""
    return {
        "id": content.showing.id,
        "title": content.showing.title,
        "steps": STEPS,
        "toe": TOE,
        "table_steps": TABLE_STEPS,
        "luminance": [float(weight) for weight in LUMINANCE_WEIGHTS],
        "scenes": {scene.name: _scene(scene) for scene in content.scenes},
        "frames": [*_frames_told(content, words)],
    }


def _scene(scene: PageScene) -> dict[str, Any]:
    table = scene.table
    return {
        "title": scene.title,
        "line": scene.line,
        "by": scene.by,
        "lights": [_light(light) for light in scene.lights],
        "table": None
        if table is None
        else {
            **_planes(table_planes(table)),
            "side": table.side,
            "across": tiles_across(table),
            "toe": table.toe,
            "first_bits": table.first_bits,
            "step_bits": table.step_bits,
        },
    }


def _light(light: LightControl) -> dict[str, Any]:
    return {
        "layer": light.layer,
        "name": light.name,
        "card": light.card,
        "sliders": [
            {"kind": slider.kind, "value": slider.value, "stops": slider.stops}
            for slider in light.sliders
        ],
    }


def _frames_told(content: PageContent, words: Words) -> Iterator[dict[str, Any]]:
    shown = {
        key_of(scene.name, frame.camera): frame
        for scene in content.showing.scenes
        for frame in scene.frames
    }
    for scene in content.scenes:
        for frame in scene.frames:
            key = key_of(scene.name, frame.camera)
            yield {
                "key": key,
                "scene": scene.name,
                "camera": frame.camera,
                "heading": heading(content, scene, frame, words),
                "look_of": scene.look_of,
                "shown": shown[key].shown,
                "sha256": shown[key].sha256,
                "width": shown[key].width_px,
                "height": shown[key].height_px,
                "alt": frame.alt,
                "lines": list(frame.lines),
                "approved": list(frame.approved),
                "numbers": [list(row) for row in frame.numbers],
                "guides": list(frame.guides),
                "before": "" if frame.before is None else picture_address(frame.before),
                "layers": {
                    name: _planes(light_planes(image)) for name, image in frame.layers.items()
                },
            }


def _planes(planes: Planes) -> dict[str, str]:
    return {"low": planes.low, "high": planes.high}
