"""Portraits of the people of people.yaml, each on the same chair in the same light, on one sheet.

    python tests/portraits/sheet.py --out out/portraits
    python tests/portraits/sheet.py --only maker --only guest_tall --quality final

Frames and sheet are as `previz render` makes them. A frame that is already there is not made
again, so that a stopped run goes on; give another folder, or delete it, to begin anew.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any, get_args

import yaml

from previz import api
from previz.deliver.frames import read_png
from previz.deliver.sheet import Cell, Group, Sheet, write_png
from previz.render.qualities import Quality

HERE = Path(__file__).parent
CAMERA = "A"


def settings_of(person: dict[str, Any]) -> tuple[str, ...]:
    """What `--set` would be given, so that the guest is this person."""
    return tuple(
        f"people.guest.{key}={yaml.safe_dump(value, default_flow_style=True).splitlines()[0]}"
        for key, value in person.items()
    )


def portrait(person: dict[str, Any], folder: Path, quality: Quality, width_px: int) -> Path:
    """The frame of one person, rendered unless it is there."""
    frame = folder / f"frame_{CAMERA}.png"
    if not frame.exists():
        options = api.RenderOptions(
            out=folder,
            cameras=(CAMERA,),
            quality=quality,
            width_px=width_px,
            keep_light=False,
            settings=settings_of(person),
        )
        api.render_scene(HERE / "scene.yaml", options)
    return frame


def told(person: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    """What stands under a portrait."""
    who = f"{person['sex']}, {person['age_years']}"
    worn = person.get("clothes", {}).get("top", "shirt")
    return (("who", who), ("skin", person["skin"]), ("hair", person["hair"]), ("wears", worn))


def main() -> None:
    """Read the options, make the frames and the sheet."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path("out/portraits"), metavar="DIR")
    parser.add_argument("--only", action="append", metavar="NAME", help="This person; repeatable.")
    parser.add_argument("--quality", choices=get_args(Quality), default="review")
    parser.add_argument("--width", type=int, default=1280, metavar="PIXELS")
    asked = parser.parse_args()
    people = yaml.safe_load((HERE / "people.yaml").read_text(encoding="utf-8"))
    unknown = set(asked.only or ()) - set(people)
    if unknown:
        parser.error(f"people.yaml has no {', '.join(sorted(unknown))}; it has {', '.join(people)}")
    names = asked.only or list(people)
    cells = []
    for number, name in enumerate(names, 1):
        print(f"{number} of {len(names)}: {name}", file=sys.stderr)
        frame = portrait(people[name], asked.out / name, asked.quality, asked.width)
        cells.append(Cell(name.replace("_", " "), read_png(frame), told(people[name])))
    sheet = Sheet(
        "Portraits", "One chair, one light", (Group("", tuple(cells)),), asked.quality, ()
    )
    write_png(asked.out / "portraits.png", sheet)
    print(asked.out / "portraits.png")


if __name__ == "__main__":
    main()
