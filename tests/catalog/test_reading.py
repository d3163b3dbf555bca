"""The reader: user's folder over the built-in one, and a line for every slip."""

from __future__ import annotations

from pathlib import Path

import pytest

from previz.catalog import KINDS, Catalog, data_file
from previz.errors import CatalogError, InputError
from previz.model.records import Lens

LENS = """\
my_zoom:
  label: 28-75 mm zoom
  kind: measured
  source: The lens itself, with a ruler.
  focal_length_mm: [28, 75]
  f_number: [2.8, 2.8]
  t_number: [3.1, 3.1]
  min_iris_f_number: 22
  close_focus_m: 0.39
  image_circle_mm: 43.5
  length_mm: 118
  diameter_mm: 73
  weight_kg: 5.5e-1
"""


def write(folder: Path, **files: str) -> Path:
    for stem, text in files.items():
        (folder / f"{stem}.yaml").write_text(text, encoding="utf-8")
    return folder


def problems(folder: Path) -> list[str]:
    """Every line the user gets, without the folder."""
    with pytest.raises(InputError) as caught:
        Catalog.load(folder).check()
    return [str(each).removeprefix(f"{folder}/") for each in caught.value.problems]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path.resolve()


def test_own_records_add_and_replace(folder: Path) -> None:
    own = LENS + LENS.replace("my_zoom", "prime_50_f1.8").replace("0.39", "0.123")
    catalog = Catalog.load(write(folder, lenses=own))
    catalog.check()
    assert catalog.lens("my_zoom").focal_length_mm == (28, 75)
    assert catalog.lens("my_zoom").weight_kg == 0.55
    assert catalog.lens("prime_50_f1.8").close_focus_m == 0.123
    assert catalog.lens("prime_50_f1.4") == Catalog.load().lens("prime_50_f1.4")
    assert catalog.names("lenses")[: len(Catalog.load().names("lenses"))] == Catalog.load().names(
        "lenses"
    )
    assert catalog.sensor("full_frame").width_mm == 36


def test_environment_names_the_folder(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PREVIZ_CATALOG", str(write(folder, lenses=LENS)))
    assert "my_zoom" in Catalog.load().names("lenses")
    other = folder / "other"
    other.mkdir()
    assert "my_zoom" not in Catalog.load(other).names("lenses"), "an argument goes first"


def test_edited_file_is_read_again(folder: Path) -> None:
    write(folder, lenses=LENS)
    assert Catalog.load(folder).lens("my_zoom").length_mm == 118
    write(folder, lenses=LENS.replace("length_mm: 118", "length_mm: 119.5"))
    assert Catalog.load(folder).lens("my_zoom").length_mm == 119.5


def test_missing_folder_names_who_asked(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CatalogError, match="gone does not exist"):
        Catalog.load(folder / "gone")
    monkeypatch.setenv("PREVIZ_CATALOG", str(folder / "gone"))
    with pytest.raises(CatalogError, match=r"gone \(PREVIZ_CATALOG\) does not exist"):
        Catalog.load()


@pytest.mark.parametrize(
    ("call", "name", "message"),
    [
        ("lens", "zoom_24_70", "no lens 'zoom_24_70' in the catalogue; nearest: zoom_24_70_f2.8"),
        ("sensor", "fullframe", "no sensor 'fullframe' in the catalogue; nearest: full_frame"),
        ("fixture", "softbox90", "no fixture 'softbox90' in the catalogue; nearest: softbox_90"),
        ("material", "zzzz", "no material 'zzzz' in the catalogue (previz catalog list materials)"),
        ("adapter", "reducer", "no adapter 'reducer' in the catalogue; nearest: reducer_0.71"),
        (
            "furniture",
            "armchairs",
            "no piece of furniture 'armchairs' in the catalogue; nearest: armchair",
        ),
    ],
)
def test_unknown_name_gets_the_nearest(call: str, name: str, message: str) -> None:
    with pytest.raises(CatalogError) as caught:
        getattr(Catalog.load(), call)(name)
    assert str(caught.value) == message


def test_one_line_for_each_problem_of_all_files(folder: Path) -> None:
    lenses = LENS.replace("label: 28-75 mm zoom\n  ", "").replace("118", "-118")
    lenses = lenses.replace("diameter_mm: 73", 'diameter_mm: "73"').replace("close_foc", "closefoc")
    sensors = (
        "tiny:\n  label: Tiny\n  kind: guess\n  source: None\n"
        "  width_mm: 5\n  height_mm: 4\n  base_iso: 100\n"
        "  dynamic_range_stops: 10\n  stops_over_grey: 3\n"
        "  modes:\n    uhd: {width_mm: 5, height_mm: 2.8, width_px: 38.5, height_px: 2160,"
        " max_fps: 30}\n"
    )
    assert problems(write(folder, lenses=lenses, sensors=sensors)) == [
        "lenses.yaml:1:1: my_zoom.close_focus_m: is missing",
        "lenses.yaml:1:1: my_zoom.label: is missing",
        "lenses.yaml:8:3: my_zoom.closefocus_m: is not a field here; did you mean close_focus_m?",
        "lenses.yaml:10:3: my_zoom.length_mm: found -118, should be more than 0",
        "lenses.yaml:11:3: my_zoom.diameter_mm: found '73', should be a valid number",
        "sensors.yaml:3:3: tiny.kind: found 'guess', "
        "should be 'standard', 'generic', 'measured' or 'memory'",
        "sensors.yaml:11:40: tiny.modes.uhd.width_px: found 38.5, should be a valid integer",
    ]


@pytest.mark.parametrize(
    ("stem", "text", "lines"),
    [
        ("lenses", LENS + LENS, ["lenses.yaml:14:1: my_zoom is given twice"]),
        (
            "lenses",
            LENS + "  weight_kg: 1\n",
            ["lenses.yaml:14:3: weight_kg is given twice"],
        ),
        (
            "lenses",
            LENS.replace("my_zoom", "My Zoom"),
            [
                "lenses.yaml:1:1: My Zoom: a record's name has lower-case letters, digits, "
                "_ and . and starts with a letter or digit"
            ],
        ),
        (
            "lenses",
            LENS.replace("22", "1:30"),
            ["lenses.yaml:8:3: my_zoom.min_iris_f_number: found '1:30', should be a valid number"],
        ),
        (
            "lenses",
            LENS.replace("118", "yes"),
            ["lenses.yaml:11:3: my_zoom.length_mm: found 'yes', should be a valid number"],
        ),
        (
            "lenses",
            LENS.replace("118", "0118"),
            ["lenses.yaml:11:3: my_zoom.length_mm: found '0118', should be a valid number"],
        ),
        (
            "lenses",
            LENS.replace("118", ".inf"),
            ["lenses.yaml:11:3: my_zoom.length_mm: found '.inf', should be a valid number"],
        ),
        (
            "lenses",
            "a: 3\n",
            ["lenses.yaml:1:1: a: found 3, should be a table of fields (field: value)"],
        ),
        ("lenses", "- a\n- b\n", ["lenses.yaml:1:1: must hold records by name (name: ...)"]),
        (
            "lenses",
            "a: [1\n",
            ["lenses.yaml:2:1: not valid YAML: did not find expected ',' or ']'"],
        ),
        (
            "lenses",
            "my_zoom: !!python/name:os.system x\n",
            [
                "lenses.yaml:1:10: not valid YAML: could not determine a constructor for the tag "
                "'tag:yaml.org,2002:python/name:os.system'"
            ],
        ),
        ("lense", LENS, ["lense.yaml: is not read: the name would be lenses.yaml"]),
        (
            "fixtures",
            "board:\n  label: Board\n  kind: memory\n  source: my own\n  form: bounce_board\n"
            "  width_m: 1\n  height_m: 1\n  weight_kg: 1\n  stand_footprint_m: 1\n"
            "  stand_height_m: [1, 2]\n  material: reflector_whit\n",
            [
                "fixtures.yaml:11:3: board.material: no material 'reflector_whit'; "
                "nearest: reflector_white"
            ],
        ),
        (
            "fixtures",
            "lamp:\n  label: Lamp\n  kind: memory\n  source: my own\n  form: lantern\n"
            "  diameter_m: 1\n  weight_kg: 1\n  stand_footprint_m: 1\n  stand_height_m: [1, 2]\n",
            ["fixtures.yaml:1:1: lamp: a light needs flux_lm or lux_at"],
        ),
    ],
)  # fmt: skip
def test_message(folder: Path, stem: str, text: str, lines: list[str]) -> None:
    assert problems(write(folder, **{stem: text})) == lines


def test_empty_file_is_no_problem(folder: Path) -> None:
    catalog = Catalog.load(write(folder, lenses="# nothing yet\n"))
    assert catalog.names("lenses") == Catalog.load().names("lenses")


def test_hostile_files_get_one_line(folder: Path) -> None:
    bomb = "a: &a [x, x, x, x, x, x, x, x, x]\n"
    for last, name in zip("abcdefgh", "bcdefghi", strict=True):
        bomb += f"{name}: &{name} [{', '.join([f'*{last}'] * 9)}]\n"
    assert len(problems(write(folder, lenses=bomb))) == 9, "one for each record that is a list"
    deep = problems(write(folder, lenses="a: " + "[" * 900 + "]" * 900))
    assert len(deep) == 1
    assert deep[0].startswith("lenses.yaml")
    (folder / "lenses.yaml").write_bytes(b"a: \xff\xfe\n")
    assert len(problems(folder)) == 1
    (folder / "lenses.yaml").write_bytes(b"#" * 4_000_001)
    assert problems(folder) == ["lenses.yaml: larger than 4000000 bytes"]


def test_data_file_stays_inside(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert data_file("sensors.yaml") == Catalog.load().root / "sensors.yaml"
    (folder / "people").mkdir()
    (folder / "people" / "body.txt").write_text("mine")
    assert Catalog.load(folder).data_file("people", "body.txt").read_text() == "mine"
    monkeypatch.setenv("PREVIZ_CATALOG", str(folder))
    assert data_file("people", "body.txt").read_text() == "mine"
    with pytest.raises(CatalogError, match="lies outside the catalogue"):
        data_file("..", "pyproject.toml")
    with pytest.raises(CatalogError, match=r"has no file people/nobody\.npz"):
        data_file("people", "nobody.npz")


def test_only_the_file_asked_for_is_read(folder: Path) -> None:
    catalog = Catalog.load(write(folder, materials="- broken", lenses=LENS))
    assert isinstance(catalog.lens("my_zoom"), Lens)
    with pytest.raises(InputError):
        catalog.material("oak")


def test_every_kind_has_a_built_in_file() -> None:
    root = Catalog.load().root
    files = {*root.glob("*.yaml"), root / "people" / "faces.yaml"}
    assert all(path.exists() for path in files)
    assert {path.stem for path in files} == set(KINDS)
