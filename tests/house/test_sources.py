"""Every record, table, limit and law names its source, and no source is a vague word."""

from __future__ import annotations

import ast
import re
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from previz.catalog import KINDS, Catalog, RecordKind

REPOSITORY = Path(__file__).parents[2]
CATALOG = Catalog.load()
PHYSICS = sorted((REPOSITORY / "previz" / "physics").glob("[!_]*.py"))
RECORDS = [(kind, name) for kind in KINDS for name in CATALOG.names(kind)]

# Rooms whose numbers say something about the world: laws, limits of the trade, kit and people.
WORLDLY = (
    "physics/*.py", "measure/*/*.py", "telling/*.py", "solve/*.py", "stage/*.py",
    "stage/backdrop/*.py", "stage/moving/*.py",
    "model/rules.py", "geometry/people/anthropometry.py", "geometry/people/skin.py",
    "geometry/people/hair/tones.py", "geometry/people/hair/styles.py",
    "geometry/people/gaze.py", "geometry/people/eyes.py",
    "geometry/people/teeth.py", "geometry/people/spectacles.py", "geometry/people/expression.py",
)  # fmt: skip
# Modules that are one law, or guards: what their own first lines say holds for all in them.
ONE_LAW = {"rays.py": "plain geometry", "checks.py": "guard"}
# Numbers of the program's own: steps, tolerances, sizes of arrays, weights of a search.
OWN = {
    "physics/beam.py": {"_QUARTER_TURN", "PROFILE_STEPS"},
    "physics/emitters.py": {"_NODES"},
    "measure/light/catchlights.py": {"_TURNS", "_RIM", "DISC", "WIDEST_BUNDLE", "SLACK_M"},
    "measure/gear/floor.py": {
        "SIMPLER_M",
        "TOUCH_M2",
        "SIGHT_LINES_M",
        "FAR_M",
        "_TURNS",
        "ROUND",
        "MANY",
        "WELL_INSIDE_M",
    },
    "measure/light/in_frame.py": {"SEEN_ALBEDO"},
    "measure/camera/heads.py": {"FEW"},
    "measure/camera/raster.py": {"NEAR_M", "MOST_PIXELS", "ON_EDGE_PX"},
    "telling/hours.py": {"LEVEL_STOPS"},
    "telling/caption.py": {"DIGEST_LETTERS"},
    "measure/rules/frame.py": {"ROUNDING_PCT"},
    "measure/rules/lights.py": {"SLACK_M"},
    "measure/rules/pair.py": {"SAME_SHARE"},
    "measure/camera/sight.py": {"COARSE_PX", "FINE_PX", "_WITHIN_PX"},
    "measure/rules/spectacle_cures.py": {"STEEPEST_DEG"},
    "measure/light/spectacles.py": {"RAYS_TRIED"},
    "measure/light/spots.py": {"FEWEST_PX"},
    "measure/gear/stands.py": {"SKY_M"},
    "measure/sound/shadow.py": {"ACROSS"},
    "measure/setting_out/marks.py": {"_INWARD", "SQUARE"},
    "telling/tape.py": {"_FRACTIONS"},
    "measure/moving/numbers.py": {"LOOK_EVERY_S", "MOST_LOOKS"},
    "measure/camera/surfaces.py": {"THINNER"},
    "solve/balance.py": {"STAY", "ROUNDS", "LONGEST_STEP", "NOT_HELD"},
    "solve/cures.py": {"MOST_FIXTURES"},
    "solve/framing.py": {"STEPS", "SIZE_TOLERANCE", "PLACE_TOLERANCE_PCT"},
    "solve/place.py": {"FAR_M"},
    "solve/pointed.py": {"FEWEST_POINTS"},
    "solve/posing.py": {"FACE_FIRST", "KEEP_RATIO"},
    "solve/resection.py": {"FEWEST_LEFT"},
    "stage/cameras.py": {"FIRST_M"},
    "stage/daylight.py": {"PLACE_SEED"},
    "stage/lattice.py": {"_SPREAD"},
    "stage/ies_files.py": {"LARGEST_BYTES", "WORTH_SAYING"},
    "stage/moving/move.py": {"STEEPEST_DEG"},
    "stage/moving/path.py": {"STEPS", "SAME_PLACE_M"},
    "stage/moving/shutter.py": {"_ACROSS"},
    "stage/backdrop/__init__.py": {"SIZE_PX"},
    "stage/backdrop/kept.py": {"MOST"},
}
DOCUMENTS = [
    *(REPOSITORY / name for name in ("README.md", "DEVELOPERS.md", "scenes/README.md")),
    *sorted((REPOSITORY / "shared").rglob("*.md")),
    *sorted((REPOSITORY / "shared").glob("*.yaml")),
    *sorted((REPOSITORY / "tests" / "published").iterdir()),
    *sorted((REPOSITORY / "previz").rglob("*.py")),
]
# Names of formats that hold a dot, and are no sources.
NO_SOURCES = ("yaml.org", "json-schema.org", "w3.org", "Computer Graphics Forum")


STANDARD = re.compile(
    r"\b(?:ISO|IEC|EN|BS|DIN|SMPTE(?: ST| RP)?|CIE(?: S)?|ANSI/IES(?:NA)?|IES(?:NA)?|NFPA|EBU R|"
    r"ITU-R|NATICK/TR-|NREL/TP-)[ -]?(?:[A-Z]{1,2}[-.])?\d[\w:.-]*"
)
PUBLISHED = re.compile(r'[A-Z][\w.\'&-]+[^"]*"[^"]{8,}"')
YEAR = re.compile(r"\b(?:1[5-9]|20)\d\d\b")
HONEST = re.compile(r"common practice, no source|from memory|\bestimate", re.IGNORECASE)
VAGUE = re.compile(
    r"encyclop|wikipedia|\b(?:as|seen|texts?) quoted|\bquoted (?:text|by|in|on|as|under)\b|"
    r"common tables?|documentation|general lists|tables of albedo|handbooks|lighting guides|"
    r"[Tt]extbook|\bforum\b|\barticle\b|web ?(?:page|site)|\b\w+\.(?:com|org|net)\b|"
    r"public (?:code|renderer)|a renderer's|electricians|some sources|various sources",
    re.IGNORECASE,
)


# A law that follows from no more than a definition or from geometry has no other source.
FOLLOWS = re.compile(r"\bgeometry\b|\bdefinition\b", re.IGNORECASE)


def names_a_source(text: str) -> bool:
    """A standard by number, a work by author, title and year, or an honest word for neither."""
    flat = " ".join(text.split())
    published = PUBLISHED.search(flat) is not None and YEAR.search(flat) is not None
    return bool(STANDARD.search(flat) or published or HONEST.search(flat))


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


@pytest.mark.parametrize(("kind", "name"), RECORDS)
def test_record_names_its_source(kind: RecordKind, name: str) -> None:
    record = CATALOG.records(kind)[name]
    assert names_a_source(record.source), record.source
    if record.kind == "standard":
        assert STANDARD.search(record.source), "a standard has a number"
        assert "from memory" not in record.source, "then its kind is memory"


@pytest.mark.parametrize("room", WORLDLY)
def test_tables_and_limits_name_their_source(room: str) -> None:
    home = REPOSITORY / "previz"
    paths = sorted(home.glob(room))
    assert paths
    silent = [
        f"{constant.path.relative_to(home)}:{constant.line}: {constant.name}"
        for path in paths
        for constant in constants_of(path)
        if constant.name not in OWN.get(path.relative_to(home).as_posix(), ())
        and not names_a_source(constant.said)
    ]
    assert not silent, "say where these come from:\n" + "\n".join(silent)


def laws_of(text: str) -> Iterator[tuple[str, str]]:
    """Public functions and constants of a module, each with what is said about it: a function in
    its own docstring; a constant may leave it to the module's.
    """
    module, lines = ast.parse(text), text.splitlines()
    over_all = ast.get_docstring(module) or ""
    for at, node in enumerate(module.body):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node.name, ast.get_docstring(node) or ""
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            name = ast.unparse(target)
            if name.isupper() and not name.startswith("_"):  # others are names of types
                said = [over_all, _comments(lines, node), _docstring_of_block(module.body, at)]
                yield name, "\n".join(said)


def silent_laws(text: str) -> list[str]:
    """Public laws of a module that do not say where they come from."""
    return [
        name for name, said in laws_of(text) if not (names_a_source(said) or FOLLOWS.search(said))
    ]


@pytest.mark.parametrize("path", PHYSICS, ids=lambda p: p.name)
def test_every_law_names_its_source(path: Path) -> None:
    """In its own docstring, whatever its module says, unless the module is one law."""
    text = path.read_text(encoding="utf-8")
    if path.name in ONE_LAW:
        assert ONE_LAW[path.name] in (ast.get_docstring(ast.parse(text)) or "").lower()
        return
    own = OWN.get(f"physics/{path.name}", set())
    silent = [name for name in silent_laws(text) if name not in own]
    assert not silent, f"say where these laws come from: {', '.join(silent)}"


def test_a_law_without_a_source_is_found() -> None:
    text = """
        def stop(x: float) -> float:
            '''Half of it.'''

        def named(x: float) -> float:
            '''Half of it, by definition.'''

        def _inner(x: float) -> float:
            '''Half of it.'''

        WEIGHTS = named(2)

        GREY = 0.18
        '''Common practice, no source.'''
        Kind = str
    """
    assert silent_laws(textwrap.dedent(text)) == ["stop", "WEIGHTS"]


def test_no_number_of_the_programs_own_is_listed_in_vain() -> None:
    for module, names in OWN.items():
        found = {constant.name for constant in constants_of(REPOSITORY / "previz" / module)}
        assert names <= found, module


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda p: p.relative_to(REPOSITORY).as_posix())
def test_no_source_is_a_vague_word(path: Path) -> None:
    text = path.read_text(encoding="utf-8", errors="replace")
    for name in NO_SOURCES:
        text = text.replace(name, "")
    flat = " ".join(text.split())
    found = [flat[max(0, m.start() - 40) : m.end() + 40] for m in VAGUE.finditer(flat)]
    assert not found


def test_published_checks_name_more_than_the_row_above() -> None:
    """A formula is its own source; a value from elsewhere says whose."""
    for path in sorted((REPOSITORY / "tests" / "published").glob("*.yaml")):
        for check in yaml.safe_load(path.read_text(encoding="utf-8")):
            source, confidence = check["source"], check["confidence"]
            assert not source.startswith("as above"), f"{path.name}: {check['function']}"
            if confidence in ("V-src", "V-src2", "MEM"):
                assert names_a_source(source), f"{path.name}: {source}"


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("ISO 15469:2004", True),
        ("NFPA 70 (NEC) 210.20(A)", True),
        ('Howell, "A catalog of radiation configuration factors", 1982', True),
        ("Common practice, no source.", True),
        ("Size from memory.", True),
        ("An estimate.", True),
        ("Howell 1982", False),
        ("common practice", False),
        ("a standard", False),
        ("ISO", False),
        ('"A catalog of radiation configuration factors"', False),
    ],
)
def test_what_a_source_is(text: str, named: bool) -> None:
    assert names_a_source(text) == named


@pytest.mark.parametrize(
    "text",
    ["a lighting encyclopaedia", "as quoted in guides", "common tables", "seen on example.com",
     "quoted by electricians", "a renderer's documentation", "lighting handbooks"],
)  # fmt: skip
def test_vague_words_are_found(text: str) -> None:
    assert VAGUE.search(text)
