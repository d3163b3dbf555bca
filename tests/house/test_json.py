"""JSON knows no infinity and nothing that is no number: no writer of it may let one through."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parents[2] / "previz"
AMONG_OURSELVES = HOUSE / "render"
"""What the child processes of the renderer answer is read back by Python and shown to nobody."""


def writers() -> list[tuple[Path, ast.Call]]:
    found = []
    for path in sorted(HOUSE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = node.func if isinstance(node, ast.Call) else None
            if isinstance(called, ast.Attribute) and called.attr in ("dump", "dumps"):
                assert isinstance(node, ast.Call)
                if isinstance(called.value, ast.Name) and called.value.id == "json":
                    found.append((path, node))
    return found


def test_there_are_writers() -> None:
    assert len({path for path, _ in writers()}) >= 6


@pytest.mark.parametrize(
    ("path", "call"), writers(), ids=lambda v: v.stem if isinstance(v, Path) else ""
)
def test_every_writer_refuses_what_json_has_no_word_for(path: Path, call: ast.Call) -> None:
    given = {k.arg: k.value for k in call.keywords}
    strict = given.get("allow_nan")
    ours = path.is_relative_to(AMONG_OURSELVES)
    assert ours or (isinstance(strict, ast.Constant) and strict.value is False)
