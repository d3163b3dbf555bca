"""What is accepted at the very limit, what remains of a faulty scene, what changes its digest."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from previz.catalog import Catalog
from previz.errors import CatalogError
from previz.scenefile import PathError, read_scene, resolve_inside, scene_schema
from previz.scenefile.reference import reference_markdown


def messages(draft: Any) -> list[str]:
    return [problem.message for problem in draft.problems]


def test_a_sound_scene_has_no_problems(read: Any) -> None:
    draft = read()
    assert draft.problems == []
    assert not draft.pruned
    assert draft.scene.cameras["A"].f_number == 2.8
    assert draft.path == draft.folder / "scene.yaml"


BOARD = ("softbox_90", "bounce_board_120")
NO_DIMMER = ("    dimmer_pct: 60\n", "")
PRIME = ("zoom_24_70_f2.8\n    focal_length_mm: 50\n", "prime_50_f1.8\n")
POLYGON = (
    "{width_m: 6, depth_m: 7, height_m: 2.8}",
    "{floor_m: [[-3, -3.5], [3, -3.5], [3, 0], [1, 0], [1, 3.5], [-3, 3.5]], height_m: 2.8}",
)


@pytest.mark.parametrize(
    "changes",
    [
        [("focal_length_mm: 50", "focal_length_mm: 24")],
        [("focal_length_mm: 50", "focal_length_mm: 70")],
        [("f_number: 2.8", "f_number: 22")],
        [PRIME],
        [("zoom_24_70_f2.8", "prime_50_f1.8")],
        [BOARD, NO_DIMMER],
        [("softbox_90", "fresnel_150"), ("dimmer_pct: 60", "beam_deg: 12")],
        [("softbox_90", "fresnel_150"), ("dimmer_pct: 60", "beam_deg: 55")],
        [("along_m: 2, width_m: 2.2", "along_m: 4.8, width_m: 2.2")],
        [("sill_m: 0.9, height_m: 1.4", "sill_m: 0, height_m: 2.8")],
        [("people:\n", "  next: {wall: west, along_m: 4.2, width_m: 1, height_m: 2}\npeople:\n")],
        [("people:\n", "  over: {wall: 4, along_m: 2, width_m: 1, height_m: 0.9}\npeople:\n")],
        [("[0.5, -2.1]", "[3, -3.5]")],
        [("height: eye", "height_m: 2.8")],
        [("faces: host}", "faces: A, gaze: host}")],
        [("    aim: guest\nlights", "    aim_m: [0, 0, 1.2]\n    focus: host\nlights"),
         ("height: eye", "height_m: 1.2")],
        [POLYGON, ("wall: west", "wall: 6")],
        [("[0, 0], seat: side_chair", "[0, 0], posture: leaning")],
        [("previz: 1\n", "# first\n---\nprevz: 1\n".replace("prevz", "previz"))],
        [("f_number: 2.8", "f_number: 28e-1")],
    ],
)  # fmt: skip
def test_the_limits_themselves_are_accepted(read: Any, changes: list[tuple[str, str]]) -> None:
    assert messages(read(*changes)) == []


def test_a_point_in_the_bay_of_an_l_shaped_room_is_outside(read: Any) -> None:
    draft = read(POLYGON, ("wall: west", "wall: 6"), ("[0.5, -2.1]", "[2, 2]"))
    assert [m.split(";")[0] for m in messages(draft)] == [
        "people.host.at_m: [2, 2] is outside the room"
    ]


def test_corners_may_run_either_way_round(read: Any) -> None:
    clockwise = "{floor_m: [[-3, 3.5], [3, 3.5], [3, -3.5], [-3, -3.5]], height_m: 2.8}"
    assert messages(read((POLYGON[0], clockwise), ("wall: west", "wall: 4"))) == []


def test_nothing_of_a_scan_is_checked_against_walls(read: Any) -> None:
    scan = (POLYGON[0], "{scan: {file: hall.glb}}")
    opening = ("  window: {wall: west, along_m: 2, width_m: 2.2, sill_m: 0.9, height_m: 1.4}\n", "")
    far = ("[0.5, -2.1]", "[50, -2.1]")
    draft = read(scan, ("openings:\n", ""), opening, far, files={"hall.glb": "glTF"})
    assert messages(draft) == []


def test_the_rest_of_a_faulty_scene_is_kept(read: Any) -> None:
    hair = "  hair: {fixture: softbox_9, aim: guest, place: {at_m: [1, 1], height_m: 2}}\n"
    draft = read(("lights:\n", "lights:\n" + hair), ("dimmer_pct: 60", "dimmer_pct: 600"))
    assert len(draft.problems) == 2
    assert draft.pruned
    assert list(draft.scene.lights) == ["key"]
    assert draft.scene.lights["key"].dimmer_pct == 100


def test_what_leans_on_a_pruned_entry_is_pruned_with_it(read: Any) -> None:
    extra = "  third: {at_m: [1, 1], faces: host, stature_cm: 17}\n"
    gazing = ("faces: guest}", "faces: guest, gaze: third}")
    draft = read(("people:\n", "people:\n" + extra), gazing, ("[1, 1]", "[10, 1]"))
    assert len(draft.problems) == 2
    assert sorted(draft.scene.people) == ["guest", "host"]
    assert draft.scene.people["host"].gaze is None


def test_nothing_remains_without_a_camera(read: Any) -> None:
    draft = read(("f_number: 2.8", "f_number: 280"))
    assert draft.scene is None
    assert draft.pruned


def test_digest_follows_the_content_and_nothing_else(read: Any) -> None:
    plain = read().digest
    assert len(plain) == 64
    assert read(("title:", "# a remark\ntitle:")).digest == plain
    assert read(("width_m: 6,", "width_m: 6.0,")).digest == plain
    assert read(("f_number: 2.8", "f_number: 2.8\n    adapter: null")).digest == plain
    assert read(("f_number: 2.8", "f_number: 4")).digest != plain
    base = read().path.read_text()
    variant = {"day.yaml": base, "scene.yaml": "based_on: day.yaml\n"}
    assert read(files=variant).digest == plain
    assert read(sets=("key.dimmer_pct=60",)).digest == plain
    assert read(sets=("key.dimmer_pct=61",)).digest != plain


def test_digest_follows_the_order_of_the_cameras(read: Any) -> None:
    camera = "{sensor: full_frame, lens: prime_85_f1.8, f_number: 2.8, aim: guest, "
    camera += "place: {at_m: [1.5, -2], height: eye}}\n"
    last = read(("lights:\n", f"  B: {camera}lights:\n"))
    first = read(("cameras:\n", f"cameras:\n  B: {camera}"))
    assert last.problems == first.problems == []
    assert last.digest != first.digest


def test_digest_follows_the_bytes_of_named_files(read: Any) -> None:
    lut = ("lights:\n", "look: {lut: warm.cube}\nlights:\n")
    one = read(lut, files={"warm.cube": "LUT_3D_SIZE 2\n"})
    two = read(lut, files={"warm.cube": "LUT_3D_SIZE 3\n"})
    assert one.problems == two.problems == []
    assert one.digest != two.digest


def test_a_missing_scene_is_one_line(tmp_path: Path, catalog: Catalog) -> None:
    for path in (tmp_path, tmp_path / "none.yaml"):
        draft = read_scene(path, catalog)
        assert messages(draft) == ["no such file"]
        assert draft.scene is None


def test_a_broken_catalogue_is_a_problem_and_no_error(
    read: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> tuple[str, ...]:
        raise CatalogError("lenses.yaml is broken")

    monkeypatch.setattr(Catalog, "names", broken)
    assert messages(read()) == ["lenses.yaml is broken"]


@pytest.mark.parametrize(
    "name", ["/etc/passwd", "../x", "a/../../x", "~/x", "C:/x", "a\\b", "", " ", "a\x00b", "none"]
)
def test_paths_stay_inside(tmp_path: Path, name: str) -> None:
    with pytest.raises(PathError):
        resolve_inside(tmp_path, name)


def test_a_path_may_lie_in_the_scene_or_in_the_catalogue(tmp_path: Path) -> None:
    scene, shared = tmp_path / "scene", tmp_path / "shared"
    for folder in (scene, shared):
        folder.mkdir()
    (shared / "a.cube").write_text("1")
    assert resolve_inside(scene, "a.cube", shared) == shared / "a.cube"
    (scene / "a.cube").write_text("2")
    assert resolve_inside(scene, "a.cube", shared) == scene / "a.cube"
    (scene / "b.cube").symlink_to(shared / "a.cube")
    with pytest.raises(PathError, match="link"):
        resolve_inside(scene, "b.cube", shared)


def test_the_schema_is_one_and_accepts_what_the_models_accept(read: Any) -> None:
    schema = scene_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    text = read().path.read_text()
    validator.validate(yaml.safe_load(text))
    validator.validate({"based_on": "day.yaml", "lights": {"key": None}})
    validator.validate({"based_on": ["a.yaml"], "cameras": {"A": {"f_number": 4, "aim": None}}})
    for wrong in (
        {"previz": 1},
        {"based_on": 3},
        {"based_on": "day.yaml", "lihgts": {}},
        {"based_on": "day.yaml", "cameras": {"A": {"f_number": 400}}},
        yaml.safe_load(text.replace("f_number: 2.8", "f_number: 280")),
        yaml.safe_load(text.replace("sensor:", "sensr:")),
    ):
        assert not validator.is_valid(wrong)
    json.dumps(schema)


def test_every_key_of_the_schema_is_explained() -> None:
    for name, noun in scene_schema()["$defs"].items():
        for key, value in noun["properties"].items():
            assert value["title"], (name, key)
            said = value.get("description") or "$ref" in json.dumps(value)
            assert said, (name, key)


def test_the_reference_names_every_key() -> None:
    schema = scene_schema()
    page = reference_markdown(schema)
    for name, noun in schema["$defs"].items():
        if not name.endswith("Changes"):
            for key in noun["properties"]:
                assert f"| `{key}` |" in page
    assert "None" not in page
    assert page.endswith("\n")
    assert not page.endswith("\n\n")


def test_a_fault_inside_a_crowd_is_told_beside_the_crowd(read: Any) -> None:
    """Nothing may rest on an entry because there are too many to look at each."""
    crowd = "".join(f"  more_{n}: {{at_m: [{n / 2 - 2.5}, 2]}}\n" for n in range(11))
    draft = read(("[0, 0], seat", "[null, 0], seat"), ("cameras:\n", f"{crowd}cameras:\n"))
    assert messages(draft) == [
        "people: must have 0 to 12 entries, found 13",
        "people.guest.at_m, item 1: must be a number from -100 to 100, found null",
    ]


def test_more_faults_than_are_told_leave_nothing_to_rely_on(read: Any) -> None:
    bad = "{fixture: {}, place: {at_m: [0, {x: 1}], height_m: {}}, dimmer_pct: {}, cct_k: {}}"
    many = "".join(f"  more_{n}: {bad}\n" for n in range(50))
    said = messages(read(("lights:\n", f"lights:\n{many}")))
    assert "there may be more problems; correct these first" in said
    assert any(message.startswith("lights.more_0.place.at_m, item 2: must be") for message in said)


@pytest.mark.parametrize(
    ("looks", "said"),
    [
        ("stature_cm: 97", "people.host.stature_cm: must be from 98 to 220, found 97"),
        ("stature_cm: 134", "people.host.stature_cm: must be from 135 to 220 with age_years: 40, "
         "found 134"),
        ("sex: male, age_years: 10, stature_cm: 163", "people.host.stature_cm: must be from 116 to "
         "162 with sex: male and age_years: 10, found 163"),
        ("age_years: 5", "people.host.age_years: must be from 6 to 95, found 5"),
    ],
)  # fmt: skip
def test_a_body_that_is_not_modelled_is_refused_with_the_range(
    read: Any, looks: str, said: str
) -> None:
    assert messages(read(("[0.5, -2.1], seat", f"[0.5, -2.1], {looks}, seat"))) == [said]
