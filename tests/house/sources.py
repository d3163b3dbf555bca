"""What counts as a source, and where the sources stand: in records, tables and constants."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

STANDARD = re.compile(
    r"\b(?:ISO|IEC|EN|BS|DIN|SMPTE(?: ST| RP)?|CIE(?: S)?|ANSI/IES(?:NA)?|IES(?:NA)?|NFPA|EBU R|"
    r"ITU-R|NATICK/TR-|NREL/TP-)[ -]?(?:[A-Z]{1,2}[-.])?\d[\w:.-]*"
)
PUBLISHED = re.compile(r'[A-Z][\w.\'&-]+[^"]*"[^"]{8,}"')
YEAR = re.compile(r"\b(?:1[5-9]|20)\d\d\b")
HONEST = re.compile(r"common practice, no source|from memory|\b[Ee]stimate")
VAGUE = re.compile(
    r"encyclop|wikipedia|\b(?:as|seen|texts?) quoted|\bquoted (?:text|by|in|on|as|under)\b|"
    r"common tables?|documentation|general lists|tables of albedo|handbooks|lighting guides|"
    r"[Tt]extbook|\bforum\b|\barticle\b|web ?(?:page|site)|\b\w+\.(?:com|org|net)\b|"
    r"public (?:code|renderer)|a renderer's|electricians|some sources|various sources",
    re.IGNORECASE,
)


def names_a_source(text: str) -> bool:
    """A standard by number, a work by author, title and year, or an honest word for neither."""
    flat = " ".join(text.split())
    published = PUBLISHED.search(flat) is not None and YEAR.search(flat) is not None
    return bool(STANDARD.search(flat) or published or HONEST.search(flat, re.IGNORECASE))


@dataclass(frozen=True)
class Constant:
    """A number, or a table of numbers, at the top of a module, with what is said about it."""

    path: Path
    line: int
    name: str
    said: str


def constants_of(path: Path) -> Iterator[Constant]:
    """Constants with numbers; what is said stands beside, over or under them, or over all."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    module = ast.parse(text)
    over_all = ast.get_docstring(module) or ""
    for at, node in enumerate(module.body):
        if isinstance(node, ast.Assign | ast.AnnAssign) and _has_a_number(node.value):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            said = [over_all, _comments(lines, node), _docstring_of_block(module.body, at)]
            yield Constant(path, node.lineno, ast.unparse(target), "\n".join(said))


def _has_a_number(value: ast.expr | None) -> bool:
    found = ast.walk(value) if value is not None else ()
    return any(isinstance(n, ast.Constant) and type(n.value) in (int, float) for n in found)


def _comments(lines: list[str], node: ast.stmt) -> str:
    """Comments in and beside the statement, and those right over the block it stands in."""
    last = node.end_lineno or node.lineno
    said = [line.split("#", 1)[1] for line in lines[node.lineno - 1 : last] if "# " in line]
    for line in reversed(lines[: node.lineno - 1]):
        if not line.strip() or line.startswith((")", "]", "}", '"""')):
            break
        if line.startswith("#"):
            said.insert(0, line.lstrip("# "))
    return "\n".join(said)


def _docstring_of_block(body: list[ast.stmt], at: int) -> str:
    """The docstring under the constant, or under the unbroken block of constants it stands in."""
    end = body[at].end_lineno or 0
    for node in body[at + 1 :]:
        if node.lineno != end + 1:
            break
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            return str(node.value.value)
        if not isinstance(node, ast.Assign | ast.AnnAssign):
            break
        end = node.end_lineno or end
    return ""
