"""The command `previz` itself: its table of commands and what holds for all of them."""

from __future__ import annotations

import click

from previz.cli.lazy import TRACEBACK, LazyGroup
from previz.version import version

COMMANDS = {
    "new": ("previz.cli.new", "Write a first scene file, every line explained."),
    "check": ("previz.cli.check", "Check a scene file and say what was chosen in it."),
    "measure": (
        "previz.cli.measure",
        "Measure lenses, framing, light and how cameras cut together.",
    ),
    "render": ("previz.cli.render", "Render every camera of a scene to pictures."),
    "watch": ("previz.cli.watch", "Show a scene in a page that follows the file as you save."),
    "relight": ("previz.cli.relight", "Change dimmers, colours and gels without rendering again."),
    "balance": ("previz.cli.balance", "Find the dimmers and ND that give what the scene asks."),
    "compare": ("previz.cli.compare", "Compare lenses, stops, sensors or places side by side."),
    "hours": ("previz.cli.hours", "Show a camera over the hours of the day, with the drift."),
    "plan": ("previz.cli.plan", "Draw floor plan, elevations and setting-out table to scale."),
    "move": ("previz.cli.move", "Film the camera moves of a scene, with a contact sheet each."),
    "export": ("previz.cli.export", "Write a scene as glTF, OpenUSD, guides and a table."),
    "kit": (
        "previz.cli.kit",
        "List what to bring for a day of scenes, with boxes to tick.",
    ),
    "package": ("previz.cli.package", "Put everything of a day's scenes into one folder."),
    "pitch": ("previz.cli.pitch", "Lay out a pitch: frames, light, plan, place, cautions."),
    "verify": ("previz.cli.verify", "Hold a real still against the plan: what to move, how far."),
    "review": ("previz.cli.review", "Let people decide about frames; know whether it holds."),
    "page": ("previz.cli.page", "Write one page for the client to look at and decide."),
    "catalog": ("previz.cli.catalog", "Look up sensors, lenses, lights, materials, furniture."),
    "schema": ("previz.cli.schema", "Print what a scene file may hold, for editors or people."),
    "doctor": ("previz.cli.doctor", "Say what works on this machine and what to install."),
    "completion": ("previz.cli.completion", "Print the script that completes commands in a shell."),
}

_EPILOG = """\b
Exit status:
  0    done
  1    done, and a finding is a fault
  2    the input is wrong, or the output cannot be written where it should go
  3    something needed is missing; previz doctor says what to install
  70   a fault in previz itself
  130  stopped by you; what was rendered is kept
"""


def _print_version(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    del param
    if value and not ctx.resilient_parsing:
        click.echo(f"previz {version()}")
        ctx.exit()


@click.group(
    "previz",
    cls=LazyGroup,
    table=COMMANDS,
    epilog=_EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_print_version,
    help="Print the version and leave.",
)
@click.option(
    TRACEBACK,
    is_flag=True,
    expose_value=False,
    help="On any error also print where it arose; may stand anywhere.",
)
def root() -> None:
    """Previsualise a filmed interview.

    A scene file in YAML says what room, people, cameras and lights there are; previz renders
    what each camera would see. Start with `previz new`, then `previz render`.
    """
