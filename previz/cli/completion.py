"""`previz completion`: complete commands, options and names with the tab key."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from previz.cli.lazy import COMPLETE_VARIABLE

SHELLS = ("bash", "zsh", "fish")


@click.command("completion")
@click.argument("shell", type=click.Choice(SHELLS))
def command(shell: str) -> None:
    """Print the script that lets SHELL complete previz commands.

    \b
    bash:  previz completion bash > ~/.previz-completion
           echo 'source ~/.previz-completion' >> ~/.bashrc
    zsh:   previz completion zsh > ~/.previz-completion
           echo 'source ~/.previz-completion' >> ~/.zshrc
    fish:  previz completion fish > ~/.config/fish/completions/previz.fish

    Then open a new terminal. Bash needs to be 4.4 or newer.
    """
    kind = get_completion_class(shell)
    assert kind is not None
    root = click.get_current_context().find_root().command
    script = kind(root, {}, "previz", COMPLETE_VARIABLE).source()
    click.echo(script)
