"""A page of made up pictures and words: two cameras, another look, lights. Renders nothing."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from previz.deliver.page.content import LightControl, PageContent, PageFrame, PageScene, Slider
from previz.deliver.page.document import write_page
from previz.develop.table import FINE_SIDE, table_of
from previz.model.showing import FrameFacts, LightGrid, Showing, ShownFrame, ShownScene, showing_id

WIDTH, HEIGHT = 96, 54
HOSTILE = "</script><img src=x onerror=\"document.title='caught'\">$title {name} & 'quotes'"
GRADIENT = np.linspace(0.02, 1.0, WIDTH * HEIGHT, dtype=np.float32).reshape(HEIGHT, WIDTH, 1)
LAYERS = {
    "key": np.ascontiguousarray(GRADIENT * np.float32([0.5, 0.4, 0.3])),
    "lamp": np.ascontiguousarray(GRADIENT[::-1] * np.float32([0.9, 0.3, 0.05])),
    "window": np.ascontiguousarray(GRADIENT[:, ::-1] ** 3 * np.float32([3.0, 5.0, 9.0])),
}
PLACES = (("thirds", "x", 33.333), ("head", "x", 14.0), ("square", "y", 20.0))
WHOLE = {"from_pct": 0.0, "to_pct": 100.0, "dashed": False}
GUIDES = [{"group": group, "along": along, "at_pct": at, **WHOLE} for group, along, at in PLACES]


def controls() -> list[LightControl]:
    places = [(float(pct), pct / 40, pct / 40, pct / 40) for pct in range(101)]
    colours = [(float(k), k / 5600, 1.0, 5600 / k) for k in range(3200, 5650, 50)]
    dimmer, colour = Slider("dimmer", 40.0, places), Slider("colour", 5600.0, colours)
    nd = Slider("nd", 0.6, [(n / 10, *[10 ** (0.6 - n / 10)] * 3) for n in range(25)])
    return [
        LightControl("key", "key", (dimmer, colour), (60.0, 50.0, 40.0)),
        LightControl("lamp", HOSTILE, (dimmer,), (10.0, 5.0, 1.0)),
        LightControl("window", "window", (nd,), (3.0, 5.0, 9.0)),
    ]


def content(title: str = HOSTILE) -> PageContent:
    rng = np.random.default_rng(1)

    def frame(camera: str, *, lit: bool, before: bool = False) -> PageFrame:
        picture = rng.integers(0, 255, (HEIGHT, WIDTH, 3), np.uint8)
        return PageFrame(
            camera=camera,
            picture=picture,
            lines=(HOSTILE, "50 mm, close-up, T2.9"),
            numbers=[("lens", "50 mm"), ("note", HOSTILE)],
            guides=GUIDES,
            alt=f"Camera {camera}. Close-up of guest, centred.",
            layers=LAYERS if lit else {},
            before=picture[::-1].copy() if before else None,
        )

    table = table_of("film", None, FINE_SIDE)
    scenes = [
        PageScene("try", title, HOSTILE, HOSTILE, None,
                  [frame("A", lit=True, before=True), frame("B", lit=True)], controls(), table),
        PageScene("dusk", "At dusk", "", "", "try", [frame("A", lit=False)], [], None),
    ]  # fmt: skip
    return PageContent(showing_of(title, scenes), scenes, ("Weigh down every stand.",))


def showing_of(title: str, scenes: list[PageScene]) -> Showing:
    grid = LightGrid(grid=((0.0,) * 16,) * 9)
    facts = FrameFacts(framing={}, light=grid, settings={})
    shown = tuple(
        ShownScene(
            name=scene.name,
            title=scene.title,
            digest="d" * 64,
            frames=tuple(
                ShownFrame(
                    camera=one.camera, shown=(one.camera + scene.name[0]) * 8, sha256="5" * 64,
                    width_px=WIDTH, height_px=HEIGHT, facts=facts,
                )
                for one in scene.frames
            ),
        )
        for scene in scenes
    )  # fmt: skip
    return Showing(
        id=showing_id(shown), previz="0", title=title, scenes=shown,
        written_at="2026-11-28T10:00:00.000000Z",
    )  # fmt: skip


def write(path: Path, title: str = HOSTILE) -> PageContent:
    made = content(title)
    write_page(path, made)
    return made
