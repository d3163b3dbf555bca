"""A group of commands whose modules are imported only when one of them is run.

Names and one-line helps stand in a table, so that `previz --help` and the completion of a
command's name answer without importing any command.
"""

from __future__ import annotations

import difflib
import importlib
import os
import sys
from collections.abc import Mapping, Sequence
from typing import Any

import click
from click.shell_completion import CompletionItem, shell_complete

from previz.cli.exits import exit_status

TRACEBACK = "--traceback"
COMPLETE_VARIABLE = "_PREVIZ_COMPLETE"


class LazyGroup(click.Group):
    """`table` gives for each command the module that holds it, as `command`, and its help."""

    def __init__(self, *args: Any, table: Mapping[str, tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.table = table

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All names, in the order of the table."""
        del ctx
        return list(self.table)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now; None if there is none."""
        del ctx
        if cmd_name not in self.table:
            return None
        command: click.Command = importlib.import_module(self.table[cmd_name][0]).command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that `args` begin with; a misspelt one is answered with the nearest."""
        name = args[0]
        if name not in self.table and not name.startswith("-"):
            close = difflib.get_close_matches(name, self.table, n=1)
            hint = f"did you mean {close[0]}?" if close else f"choose from {', '.join(self.table)}"
            ctx.fail(f"there is no command {name!r}; {hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands with their one-line helps."""
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in self.table.items()])

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Names of commands and options that begin with `incomplete`."""
        names = [
            CompletionItem(name, help=text)
            for name, (_, text) in self.table.items()
            if name.startswith(incomplete)
        ]
        return [*names, *click.Command.shell_complete(self, ctx, incomplete)]

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run, and unless `standalone_mode` is off leave with an exit status.

        The library's own way would give a reader that leaves the status 1, which here means
        that a finding is a fault.
        """
        if not standalone_mode:
            return super().main(
                args,
                prog_name,
                complete_var,
                standalone_mode=False,
                windows_expand_args=windows_expand_args,
                **extra,
            )
        words = list(sys.argv[1:] if args is None else args)
        # It may stand anywhere: people append it to the command that has just failed.
        traceback_wanted = TRACEBACK in words
        words = [word for word in words if word != TRACEBACK]

        def run() -> Any:
            wanted = os.environ.get(COMPLETE_VARIABLE)
            if wanted:
                return shell_complete(self, {}, self.name or "", COMPLETE_VARIABLE, wanted)
            with self.make_context(prog_name, words, **extra) as context:
                return self.invoke(context)

        sys.exit(exit_status(run, traceback_wanted))
