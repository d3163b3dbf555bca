"""`previz catalog`: what sensors, lenses, lights, gels, surfaces, furniture, sets, faces exist."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence

import click

from previz.catalog import KINDS, Catalog, Hit, RecordKind, summary
from previz.catalog.checking import nearest
from previz.errors import CatalogError
from previz.telling.records import record_json, record_rows

_SINGULAR: dict[str, RecordKind] = {
    "sensor": "sensors",
    "lens": "lenses",
    "adapter": "adapters",
    "fixture": "fixtures",
    "light": "fixtures",
    "lights": "fixtures",
    "gel": "gels",
    "material": "materials",
    "set": "sets",
    "face": "faces",
}

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def _kind(ctx: click.Context, param: click.Parameter, value: str | None) -> RecordKind | None:
    """Kind in the plural for a word in the plural or the singular."""
    del ctx, param
    for kind in KINDS:
        if value == kind:
            return kind
    if value is None or value in _SINGULAR:
        return None if value is None else _SINGULAR[value]
    close = nearest(value, (*KINDS, *_SINGULAR))
    hint = f"did you mean {close}?" if close else f"choose from {', '.join(KINDS)}"
    raise click.BadParameter(f"{value!r} is no kind of record; {hint}")


def _complete_kind(ctx: click.Context, param: click.Parameter, start: str) -> list[str]:
    del ctx, param
    return [kind for kind in KINDS if kind.startswith(start)]


def _complete_name(ctx: click.Context, param: click.Parameter, start: str) -> list[str]:
    del ctx, param
    return [name for name in _all_names(Catalog.load()) if name.startswith(start)]


def _all_names(catalog: Catalog) -> list[str]:
    return [name for kind in KINDS for name in catalog.names(kind)]


@click.group("catalog")
def command() -> None:
    """Look up the sensors, lenses, lights, gels, materials, furniture, sets and faces.

    Records of your own go into files of the same names in a folder that the environment
    variable PREVIZ_CATALOG names; they add to the built-in ones or replace them.
    """


@command.command("list")
@click.argument(
    "kind", required=False, metavar="[KIND]", callback=_kind, shell_complete=_complete_kind
)
@json_option
def list_records(kind: RecordKind | None, as_json: bool) -> None:
    """List all records, or those of one KIND.

    Kinds: sensors, lenses, adapters, fixtures, gels, materials, furniture, sets, faces.
    """
    catalog = Catalog.load()
    catalog.check()
    kinds = KINDS if kind is None else (kind,)
    hits = [Hit(each, name, rec) for each in kinds for name, rec in catalog.records(each).items()]
    _print_hits(hits, as_json, one_kind=kind is not None)


@command.command("show")
@click.argument("name", shell_complete=_complete_name)
@json_option
def show(name: str, as_json: bool) -> None:
    """Show everything known about the record NAME, with its source."""
    catalog = Catalog.load()
    tables = {kind: catalog.records(kind) for kind in KINDS}
    found = [Hit(kind, name, table[name]) for kind, table in tables.items() if name in table]
    if not found:
        close = nearest(name, _all_names(catalog))
        hint = f"; nearest: {close}" if close else "; try: previz catalog search WORDS"
        raise CatalogError(f"nothing called {name!r} in the catalogue{hint}")
    if as_json:
        _print_json([record_json(hit, whole=True) for hit in found])
        return
    for hit in found:
        rows = [("catalogue", hit.kind, ""), *record_rows(hit)]
        _print_table(hit.name, ("field", "value", "meaning"), rows, plain_columns=2)


@command.command("search")
@click.argument("words", nargs=-1, required=True)
@json_option
def search(words: Sequence[str], as_json: bool) -> None:
    """Find records in which all WORDS occur, such as `softbox 90` or `macro`."""
    catalog = Catalog.load()
    hits = catalog.search(" ".join(words))
    if not hits and not as_json:
        close = nearest("_".join(words).lower(), _all_names(catalog))
        hint = f"; nearest name: {close}" if close else ""
        click.echo(f"Nothing found for {' '.join(words)!r}{hint}.", err=True)
        return
    _print_hits(hits, as_json)


def _print_hits(hits: Iterable[Hit], as_json: bool, *, one_kind: bool = False) -> None:
    if as_json:
        _print_json([record_json(hit, whole=False) for hit in hits])
        return
    head = ("catalogue", "name", "what it is", "figures")
    rows = [(hit.kind, hit.name, hit.record.label, summary(hit.record)) for hit in hits]
    first = 1 if one_kind else 0
    _print_table("", head[first:], [row[first:] for row in rows])


def _print_json(value: object) -> None:
    click.echo(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def _print_table(
    title: str,
    head: tuple[str, ...],
    rows: Sequence[tuple[str, ...]],
    plain_columns: int | None = None,
) -> None:
    """A drawn table on a terminal; else the first `plain_columns`, aligned, without a head."""
    if sys.stdout.isatty():
        from rich.console import Console  # noqa: PLC0415  (a tenth of a second, only if drawn)
        from rich.table import Table  # noqa: PLC0415

        table = Table(*head, title=title or None, title_justify="left")
        for row in rows:
            table.add_row(*row)
        Console().print(table)
        return
    plain = [row[:plain_columns] for row in rows]
    widths = [max(map(len, column)) for column in zip(*plain, strict=True)]
    for row in plain:
        cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=True)]
        click.echo("  ".join(cells).rstrip())
