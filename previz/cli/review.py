"""`previz review`: links for reviewers, what they decided, and whether it still holds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from previz.cli.common import json_option, print_json
from previz.cli.progress import progress

if TYPE_CHECKING:
    from previz.measure.approvals import FrameStanding

scenes_argument = click.argument(
    "scenes", type=click.Path(path_type=Path), metavar="SCENE...", nargs=-1, required=True
)
scene_argument = click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")
store_option = click.option(
    "--store",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="File of invitations and decisions; else shown/review.sqlite beside the first scene.",
)


def _https(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    del ctx, param
    if value is None:
        return None
    from previz.review.serving import base_of  # noqa: PLC0415  (so that --help answers at once)

    try:
        return base_of(value)
    except ValueError as error:
        raise click.BadParameter(f"{value!r}: {error}") from error


behind_option = click.option(
    "--behind",
    metavar="ADDRESS",
    callback=_https,
    help="What links begin with where a proxy with HTTPS stands before the review, such as "
    "https://review.example.",
)


def _reviewer(ctx: click.Context, param: click.Parameter, value: str) -> str:
    del ctx, param
    from pydantic import TypeAdapter, ValidationError  # noqa: PLC0415

    from previz.model.decisions import Reviewer  # noqa: PLC0415

    try:
        return str(TypeAdapter(Reviewer).validate_python(value))
    except ValidationError as error:
        raise click.BadParameter("a name has 1 to 80 letters, on one line") from error


name_argument = click.argument("name", metavar="NAME", callback=_reviewer)


@click.group("review")
def command() -> None:
    """Let people decide about frames, and know later whether that still holds.

    A decision is bound to what was seen. While all that a frame rests on is the same, an approval
    holds; once it is not, status says by how much the frame is another and which values of the
    scene did it. Decisions lie in decisions.jsonl beside the scene.
    """


@command.command("invite")
@scene_argument
@name_argument
@click.option(
    "--days",
    type=click.FloatRange(0, 366, min_open=True),
    default=14.0,
    show_default=True,
    metavar="NUMBER",
    help="How long the link opens the review.",
)
@behind_option
@store_option
def invite(scene: Path, name: str, days: float, behind: str | None, store: Path | None) -> None:
    """Make a secret link to the review of SCENE for NAME.

    Whoever has the link decides in that name: send it to nobody else. It is printed this once and
    kept nowhere. With several scenes name the one that is served first.
    """
    from contextlib import closing  # noqa: PLC0415

    from previz.api import Reviewed  # noqa: PLC0415
    from previz.review.serving import link, store_of  # noqa: PLC0415
    from previz.review.store import Store  # noqa: PLC0415

    Reviewed([scene])
    with closing(Store(store_of([scene], store))) as opened:
        click.echo(link(opened, opened.invite(name, days), behind))


@command.command("withdraw")
@scene_argument
@name_argument
@store_option
def withdraw(scene: Path, name: str, store: Path | None) -> None:
    """Close every link of NAME to the review of SCENE, at once.

    What they decided stays in the log.
    """
    from contextlib import closing  # noqa: PLC0415

    from previz.errors import InputError, Place, Problem  # noqa: PLC0415
    from previz.review.serving import store_of  # noqa: PLC0415
    from previz.review.store import Store  # noqa: PLC0415

    path = store_of([scene], store)
    with closing(Store(path)) as opened:
        names = sorted({invitation.name for invitation in opened.invitations()})
        if name not in names:
            text = f"nobody called {name} is invited; invited are: {', '.join(names) or 'none'}"
            raise InputError([Problem(Place(path), text)])
        count = opened.withdraw(name)
    click.echo(f"{name}: {count} {'link' if count == 1 else 'links'} closed.")


@command.command("serve")
@scenes_argument
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8655,
    show_default=True,
    metavar="NUMBER",
    help="Port to listen on; 0 takes any that is free.",
)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    metavar="ADDRESS",
    help="Address to listen on; the usual one is reached from this machine alone.",
)
@behind_option
@store_option
def serve(
    scenes: tuple[Path, ...], port: int, host: str, behind: str | None, store: Path | None
) -> None:
    """Serve what was last shown of SCENEs to those who are invited, until Ctrl-C.

    Each reviewer sees the frames large, one a screen, and says that one is right or what to change.
    A decision is on the disk before it is acknowledged. Once a new version is shown, what changed
    stands beside what was decided on, and only that asks for a new decision.
    """
    from previz.review.serving import ServeOptions, serve_review  # noqa: PLC0415

    serve_review(scenes, ServeOptions(host, port, behind, store), click.echo)


@command.command("import")
@click.argument("scene", type=click.Path(path_type=Path), metavar="SCENE")
@click.argument(
    "files",
    type=click.Path(path_type=Path),
    metavar="FILE...",
    nargs=-1,
    required=True,
)
@click.option(
    "--with",
    "others",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="SCENE",
    help="Another scene that was shown together with it; may be given again.",
)
@json_option
def import_files(
    scene: Path, files: tuple[Path, ...], others: tuple[Path, ...], as_json: bool
) -> None:
    """Put the decisions of FILEs, which reviewers sent, into the log of SCENE.

    A file that is no decision file, or is about what was never shown, is refused in one line, and
    then nothing is imported. Importing a file again changes nothing.
    """
    from previz import api  # noqa: PLC0415
    from previz.telling.approvals import decision_line, log_json  # noqa: PLC0415

    taken = api.import_decisions(files, (scene, *others))
    if as_json:
        print_json(
            [
                {"file": str(t.file), "by": t.by, "new": log_json(t.new), "known": t.known}
                for t in taken
            ]
        )
        return
    for each in taken:
        click.echo(f"{each.file}: {len(each.new)} new, {each.known} known")
        for decision in each.new:
            about = f"{decision.scene}, camera {decision.camera}"
            click.echo(f"  {about}: {decision_line(decision)}")


@command.command("status")
@scenes_argument
@store_option
@json_option
def status(scenes: tuple[Path, ...], store: Path | None, as_json: bool) -> None:
    """Say for every frame of SCENEs who approved it, and whether it is still that frame.

    Of one that is not you read by how much: framing in per cent of the frame, light in stops where
    a render or a reading tells it, and which values of the scene file differ.
    """
    from previz import api  # noqa: PLC0415
    from previz.review.serving import pour_into_logs  # noqa: PLC0415
    from previz.telling.approvals import standing_lines, standings_json  # noqa: PLC0415

    pour_into_logs(scenes, store)
    found: list[FrameStanding] = []
    with progress() as watch:
        watch.start("reading scenes", len(scenes))
        for number, scene in enumerate(scenes, 1):
            found += api.approvals_of(api.open_scene(scene))
            watch.advance(number)
        watch.finish()
    if as_json:
        print_json(standings_json(found))
        return
    for line in standing_lines(found):
        click.echo(line)


@command.command("export")
@scenes_argument
@click.option(
    "--format",
    "form",
    type=click.Choice(["csv", "json"]),
    default="csv",
    show_default=True,
    help="A table for a workbook, or the log as one list.",
)
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE",
    help="File to write; else it is printed.",
)
@store_option
def export(scenes: tuple[Path, ...], form: str, out: Path | None, store: Path | None) -> None:
    """Write everything that was ever decided about SCENEs, in the order it came."""
    from previz import api  # noqa: PLC0415
    from previz.review.serving import pour_into_logs  # noqa: PLC0415
    from previz.telling.approvals import log_csv, log_json  # noqa: PLC0415

    pour_into_logs(scenes, store)
    log = api.Reviewed(scenes).log()
    if out is None:
        if form == "json":
            print_json(log_json(log))
        else:
            click.echo(log_csv(log), nl=False)
        return
    _write(out, log_csv(log) if form == "csv" else log_json(log))
    click.echo(out)


def _write(out: Path, told: Any) -> None:
    """As bytes: a table has its own ends of lines on every system."""
    import json  # noqa: PLC0415

    from previz.deliver.files import whole_file  # noqa: PLC0415

    text = told if isinstance(told, str) else json.dumps(told, indent=2, allow_nan=False) + "\n"
    with whole_file(out) as fresh:
        fresh.write_bytes(text.encode())
