"""`previz watch`: a page that follows the scene file."""

from __future__ import annotations

from pathlib import Path

import click

from previz.cli.common import scene_argument, set_option


@click.command("watch")
@scene_argument
@click.option(
    "--port",
    type=click.IntRange(1024, 65535),
    metavar="NUMBER",
    help="Port of the page; else that of the last time, or any that is free.",
)
@click.option(
    "--no-browser",
    "browser",
    is_flag=True,
    callback=lambda _context, _option, none: not none,
    help="Open no browser: only print where the page is.",
)
@click.option(
    "--width",
    "width_px",
    type=click.IntRange(160, 3840),
    default=1280,
    show_default=True,
    metavar="PIXELS",
    help="Width of the pictures at most; a small window gets smaller ones.",
)
@set_option
def command(
    *, scene: Path, port: int | None, browser: bool, width_px: int, settings: tuple[str, ...]
) -> None:
    """Show SCENE in a page that follows the file as you save it.

    SCENE is a scene file, or a folder with a scene.yaml in it. The page shows every camera, the
    findings and a plan of the room. Lights, windows and cameras can be tried there, and what
    you like is written into the file. Only this machine and the printed address reach it. Ctrl-C
    ends it.
    """
    from previz.watch.starting import WatchOptions, watch_scene  # noqa: PLC0415  (--help is fast)

    options = WatchOptions(port, browser, width_px, settings)
    watch_scene(scene, options, click.echo)
