"""`previz doctor`: what works on this machine, what does not and why, and what to install."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from previz.cli import diagnosis
from previz.cli.common import json_option, leave, print_json
from previz.cli.exits import Exit
from previz.cli.progress import progress
from previz.render.compute import in_plain_words
from previz.version import version

if TYPE_CHECKING:
    from previz.cli.diagnosis import Check
    from previz.render.variants import Probe

STEPS = 11


@click.command("doctor")
@json_option
def command(as_json: bool) -> None:
    """Say what works on this machine and what to install.

    Every way to compute renders and meters a small set whose light is known from closed forms, in
    a process of its own: one that crashes, warns or is off by more than its noise shows as a line
    here, with what was wrong and by how much. The exit status is 3 if nothing can be rendered.
    """
    probes, checks = _examine()
    can_render = all(check.works for check in checks if check.needed)
    if as_json:
        print_json(
            {
                "previz": version(),
                **diagnosis.machine(),
                "packages": diagnosis.package_versions(),
                "compute": [
                    {"computes_on": in_plain_words(probe.variant), **asdict(probe)}
                    for probe in probes
                ],
                "checks": [asdict(check) for check in checks],
                "can_render": can_render,
            }
        )
    else:
        _print_report(probes, checks, can_render)
    if not can_render:
        leave(Exit.MISSING)


def _examine() -> tuple[list[Probe], list[Check]]:
    from previz.render.variants import PREFERENCE, probe  # noqa: PLC0415  (not for --help)

    probes, checks = [], []
    with progress() as shown:
        shown.start("Looking", STEPS)
        for done, variant in enumerate(PREFERENCE, start=1):
            probes.append(probe(variant))
            shown.advance(done)
        for done, check in enumerate(diagnosis.checks(probes), start=len(PREFERENCE) + 1):
            checks.append(check)
            shown.advance(done)
    return probes, checks


def _print_report(probes: list[Probe], checks: list[Check], can_render: bool) -> None:
    click.echo(f"previz {version()}")
    for name, value in diagnosis.machine().items():
        click.echo(f"  {name:<12} {value}")
    click.echo("\nPackages")
    for name, number in diagnosis.package_versions().items():
        click.echo(f"  {name:<20} {number or 'not installed'}")
    click.echo("\nWays to compute, best first")
    for probe in probes:
        said = "works" if probe.works else "no"
        click.echo(f"  {in_plain_words(probe.variant):<16} {said:<6} {probe.why}".rstrip())
    click.echo("\nParts")
    for check in checks:
        said = "works" if check.works else "FAILS" if check.needed else "poor"
        click.echo(f"  {check.name:<30} {said:<6} {check.detail}".rstrip())
    advice = [check.advice for check in checks if check.advice]
    if advice:
        click.echo("\nTo do")
        for line in advice:
            click.echo(f"  {line}")
    click.echo("\nPictures can be rendered." if can_render else "\nNothing can be rendered yet.")
