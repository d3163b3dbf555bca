"""Every rule has a name of its own, and a case that makes it speak and one that keeps it silent."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from previz.measure.rules.cautions import SENTENCES
from previz.measure.rules.floor import SEVERITIES

REPOSITORY = Path(__file__).parents[2]
RULES = REPOSITORY / "previz" / "measure" / "rules"
TABLES = REPOSITORY / "tests" / "measure" / "rules"
STANDS = REPOSITORY / "previz" / "measure" / "gear" / "stands.py"
SNAKE = re.compile(r"[a-z]+(_[a-z]+)*")
# The head of a table's row or of a list's entry in Markdown.
ENTRY = re.compile(r"^\s*(?:\||[-*]) *`(\w+)`", re.MULTILINE)


def calls(tree: ast.AST, name: str) -> Iterator[ast.Call]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
            yield node


def texts(nodes: list[ast.expr]) -> list[str]:
    """Those that are texts as they stand."""
    return [n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)]


def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def told_apart_by_thing() -> list[str]:
    """What `frame._kind_of` gives as the first of three."""
    [kind_of] = [
        node
        for node in ast.walk(parsed(RULES / "frame.py"))
        if isinstance(node, ast.FunctionDef) and node.name == "_kind_of"
    ]
    returned = [n.value for n in ast.walk(kind_of) if isinstance(n, ast.Return)]
    firsts = [value.elts[0] for value in returned if isinstance(value, ast.Tuple)]
    names = texts(firsts)
    assert len(names) == len(returned)
    return names


def met_by_a_head() -> list[str]:
    """What the head of a light is said to meet."""
    return texts([call.args[1] for call in calls(parsed(STANDS), "Meeting")])


WORKED_OUT = {
    ("floor", "f'stand_in_{clash.kind}'"): [f"stand_in_{kind}" for kind in SEVERITIES],
    ("lights", "f'light_in_{meeting.other}'"): [f"light_in_{what}" for what in met_by_a_head()],
    ("frame", "rule"): told_apart_by_thing(),
    ("safety", "rule"): [name for name in SENTENCES if name != "stand_weight"],
}
"""Names that are not written out where their finding is made, by file and what stands there.

Of the cautions, stand_weight has a finding of its own."""


def rules_of(path: Path) -> list[str]:
    """Names of the rules of one file, as often as findings are made of them."""
    found = []
    for call in calls(parsed(path), "Finding"):
        assert call.args, f"{path.name}:{call.lineno}: a rule's name is a finding's first argument"
        written = texts(call.args[:1])
        found += written or WORKED_OUT[path.stem, ast.unparse(call.args[0])]
    return found


BY_FAMILY = {path.stem: found for path in sorted(RULES.glob("*.py")) if (found := rules_of(path))}
NAMES = [name for names in BY_FAMILY.values() for name in names]


def cases_of(family: str) -> list[dict[str, object]]:
    path = TABLES / f"{family}.yaml"
    assert path.is_file(), (
        f"{path.relative_to(REPOSITORY)} is missing: no rule of {family} is tried"
    )
    return yaml.safe_load(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("family", BY_FAMILY)
def test_every_rule_of_a_family_speaks_and_is_silent_in_its_table(family: str) -> None:
    cases = cases_of(family)
    assert {case["rule"] for case in cases} == set(BY_FAMILY[family])
    for case in cases:
        assert case.get("speaks") != case.get("silent"), case["rule"]


def test_every_table_is_of_a_family() -> None:
    assert {path.stem for path in TABLES.glob("*.yaml")} == set(BY_FAMILY)


def test_every_caution_is_a_rule() -> None:
    assert set(SENTENCES) <= set(NAMES)


def test_names_are_snake_case_and_of_one_finding_each() -> None:
    assert [name for name in NAMES if not SNAKE.fullmatch(name)] == []
    assert [name for name, times in Counter(NAMES).items() if times > 1] == []


def test_no_rule_is_explained_twice() -> None:
    documents = [REPOSITORY / name for name in ("README.md", "DEVELOPERS.md")]
    for folder in ("scenes", "shared", "previz"):
        documents += sorted((REPOSITORY / folder).rglob("*.md"))
    heads = Counter(
        head for path in documents for head in ENTRY.findall(path.read_text(encoding="utf-8"))
    )
    assert "key_side" in heads, "the reference's rows were not read"
    assert [name for name in NAMES if heads[name] > 1] == []
