"""The command line: one file a command, and the one place where an error becomes text."""

from __future__ import annotations

from typing import NoReturn


def main() -> NoReturn:
    """Run `previz` with the arguments of this process and leave with its exit status."""
    from previz.cli.root import root  # noqa: PLC0415  (importing this package stays cheap)

    root.main(prog_name="previz")
    raise AssertionError("the root command always leaves with an exit status")
