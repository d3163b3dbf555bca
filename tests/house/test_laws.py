"""Every law is used: nothing public in physics waits for a caller."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

PRODUCT = Path(__file__).parents[2] / "previz"
LAWS = {path.stem: path for path in sorted((PRODUCT / "physics").glob("[!_]*.py"))}
Law = tuple[str, str]
"""Module of physics, and name in it."""


@cache
def definitions() -> dict[Law, ast.stmt]:
    """All top-level names of physics, private ones too, each with what defines it."""
    return {
        (module, name): node
        for module, path in LAWS.items()
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        for name in names_of(node)
    }


def names_of(node: ast.stmt) -> Iterator[str]:
    """What a top-level statement gives a name to."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        yield node.name
    targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
    for target in targets:
        inside = ast.walk(target) if target is not None else ()
        yield from (part.id for part in inside if isinstance(part, ast.Name))


def brought_into(path: Path) -> tuple[dict[str, str], dict[str, Law]]:
    """Modules of physics and laws by the name under which a file imports them."""
    modules, laws = {}, {}
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.ImportFrom):
            continue
        for one in node.names:
            if node.module == "previz.physics":
                modules[one.asname or one.name] = one.name
            elif (node.module or "").startswith("previz.physics."):
                laws[one.asname or one.name] = (str(node.module).split(".")[-1], one.name)
    return modules, laws


def laws_in(node: ast.AST, path: Path) -> Iterator[Law]:
    """Laws that a piece of code names; in physics a parameter of the same name is none."""
    modules, laws = brought_into(path)
    hidden: set[str] = set()
    if path in LAWS.values():
        hidden = {part.arg for part in ast.walk(node) if isinstance(part, ast.arg)}
        laws |= {name: (path.stem, name) for module, name in definitions() if module == path.stem}
    for part in ast.walk(node):
        if isinstance(part, ast.Attribute) and isinstance(part.value, ast.Name):
            if part.value.id in modules:
                yield modules[part.value.id], part.attr
        elif isinstance(part, ast.Name) and part.id in laws and part.id not in hidden:
            yield laws[part.id]


@cache
def used() -> set[Law]:
    """What the product outside physics names, and all that rests on."""
    found: set[Law] = set()
    outside = (path for path in sorted(PRODUCT.rglob("*.py")) if path.parent.name != "physics")
    waiting = [law for path in outside
               for law in laws_in(ast.parse(path.read_text(encoding="utf-8")), path)]  # fmt: skip
    while waiting:
        law = waiting.pop()
        if law not in found and law in definitions():
            found.add(law)
            waiting += laws_in(definitions()[law], LAWS[law[0]])
    return found


@pytest.mark.parametrize("module", LAWS)
def test_every_law_is_used(module: str) -> None:
    mine = {law for law in definitions() if law[0] == module and not law[1].startswith("_")}
    unused = sorted(name for _, name in mine - used())
    assert not unused, f"nothing in the product uses {', '.join(unused)}"


def test_a_parameter_of_a_laws_name_is_no_use_of_it() -> None:
    """The search itself: `optics.t_number` is named in `exposure` as a parameter only."""
    node = definitions()["exposure", "scene_linear_scale"]
    named = set(laws_in(node, LAWS["exposure"]))
    assert ("exposure", "METER_CONSTANT_FLAT") in named
    assert all(name != "t_number" for _, name in named)
