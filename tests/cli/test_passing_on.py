"""What commands hand on to the api: every option, as it was typed; and how `balance` leaves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import time
from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import Result

from previz import api
from previz.cli.exits import Exit
from previz.deliver.comparison import CompareRequest
from previz.errors import MissingError
from previz.solve.balance import Balance, Dimmed, TargetResult
from previz.solve.hours import HoursRequest

Run = Callable[..., Result]
FRAMES = (
    "--out", "o", "--quality", "final", "--samples", "7", "--width", "320",
    "--compute", "processor-plain", "--set", "key.dimmer_pct=5",
)  # fmt: skip
AS_FRAMES = api.RenderOptions(
    out=Path("o"), quality="final", samples=7, width_px=320, variant="scalar_rgb",
    settings=("key.dimmer_pct=5",),
)  # fmt: skip
HOURS = ("--from", "09:30", "--to", "12:00")


@pytest.mark.parametrize(
    ("call", "words", "handed"),
    [
        ("render_scene", ("render", "--exposure-map"), [api.RenderOptions(exposure_map=True)]),
        ("render_scene", ("render", "--backend", "raster"), [api.RenderOptions(back_end="raster")]),
        ("render_scene", ("render", "--caption"), [api.RenderOptions(caption="under")]),
        ("render_scene", ("render", "--caption-over"), [api.RenderOptions(caption="over")]),
        (
            "render_scene",
            ("render", "--region", "10,20.5,30,40"),
            [api.RenderOptions(region_pct=(10.0, 20.5, 30.0, 40.0))],
        ),
        (
            "relight_scene",
            ("relight", "--from", "r", "--out", "o", "--no-denoise", "--set", "key.on=false"),
            [api.RelightOptions(Path("r"), Path("o"), ("key.on=false",), denoise=False)],
        ),
        ("relight_scene", ("relight", "--exposure-map"), [api.RelightOptions(exposure_map=True)]),
        (
            "compare_variants",
            ("compare", *FRAMES, "--camera", "B", "--focal", "35, 50", "--mode", "same_size"),
            [CompareRequest("B", "focal", ("35", "50"), ("same_size",)), AS_FRAMES],
        ),
        (
            "compare_variants",
            ("compare", "--sensor", "full_frame"),
            [CompareRequest(None, "sensor", ("full_frame",)), api.RenderOptions(quality="draft")],
        ),
        (
            "render_hours",
            ("hours", *HOURS, *FRAMES, "--every", "45", "--camera", "B"),
            [HoursRequest(time(9, 30), time(12), 45, "B"), AS_FRAMES],
        ),
        (
            "render_hours",
            ("hours", *HOURS),
            [HoursRequest(time(9, 30), time(12), 30), api.RenderOptions(quality="draft")],
        ),
        (
            "film_moves",
            ("move", "slide", "--out", "o", "--width", "320", "--samples", "7", "--motion-blur",
             "--sheet", "--compute", "processor-plain", "--set", "key.dimmer_pct=5"),
            [api.MoveOptions("slide", Path("o"), 320, 7, "scalar_rgb", True, False,
                             ("key.dimmer_pct=5",))],
        ),
        ("film_moves", ("move",), [api.MoveOptions()]),
        (
            "balance_scene",
            ("balance", "--out", "b.yaml", "--overwrite", "--dry-run", "--set", "key.on=false",
             "--compute", "processor-plain"),
            [api.BalanceOptions(Path("b.yaml"), True, True, ("key.on=false",), "scalar_rgb")],
        ),
    ],
)  # fmt: skip
def test_every_option_is_handed_on(
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    call: str,
    words: tuple[str, ...],
    handed: list[object],
) -> None:
    seen: list[object] = []

    def called(*given: object) -> None:
        seen.extend(given[:-1])  # the last one shows the progress
        raise MissingError("that was all")

    monkeypatch.setattr(api, call, called, raising=False)
    result = run(words[0], "s.yaml", *words[1:])
    assert (result.exit_code, result.stderr) == (Exit.MISSING, "that was all\n")
    assert seen == [Path("s.yaml"), *handed]


@pytest.mark.parametrize(("off_stops", "status"), [(0.0, Exit.DONE), (0.75, Exit.FAULT)])
def test_balance_leaves_with_1_when_a_target_is_not_reached(
    run: Run, monkeypatch: pytest.MonkeyPatch, off_stops: float, status: Exit
) -> None:
    target = TargetResult("key_to_fill", 4.0, 4.0, "ratio", off_stops)
    found = Balance("A", "guest", {"key": Dimmed(80.0, 25.0, 32.6)}, {}, (target,))
    done = SimpleNamespace(balance=found, cautions=(), file=None)
    monkeypatch.setattr(api, "balance_scene", lambda *_: done, raising=False)
    assert run("balance", "s.yaml").exit_code == status
