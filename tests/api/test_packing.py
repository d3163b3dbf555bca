"""A day of twelve scenes, counted by hand; page, workbook, table and JSON say the same of it."""

from __future__ import annotations

import csv
import json
from collections import Counter
from pathlib import Path
from typing import Any

import openpyxl
import pypdfium2
import pytest
from click.testing import CliRunner

from previz.api import PackOptions, pack_scenes
from previz.api.packing import Packed
from previz.cli.root import root
from previz.errors import InputError
from previz.measure.kit.day import FULL_KG, LIFT_KG
from previz.telling.kit import Words, kit_json

pytestmark = pytest.mark.usefixtures("mannequins")
BASE = """\
previz: 1
title: The plain set
room: {width_m: 6, depth_m: 5, height_m: 2.8}
openings:
  window: {kind: window, wall: west, along_m: 1, width_m: 2, sill_m: 0.9, height_m: 1.5,
           gel_nd: 0.6}
people: {guest: {at_m: [0, 0], seat: stool}}
cameras:
  A: {sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 2.8, aim: guest,
      place: {at_m: [0, -1.9], height: eye}}
lights:
  key: {fixture: softbox_90, aim: guest, place: {at_m: [1.2, -1.2], height_m: 2}}
sound: {boom: {over: guest, stand_at_m: [1.4, 0.4]}, lavalier: guest}
"""
DAY = {
    "01_plain": "",
    "02_halogen": "lights: {key: {fixture: fresnel_tungsten_650}}",
    "03_two_cameras": "cameras: {B: {sensor: super35_3perf, lens: zoom_70_200_f2.8, "
    "focal_length_mm: 85, f_number: 2.8, aim: guest, place: {at_m: [-1, -1.6], height: eye}}}",
    "04_three_soft": "lights: {fill: {fixture: softbox_90, aim: guest, place: "
    "{at_m: [-1.2, -1.2], height_m: 2}}, back: {fixture: softbox_90, aim: guest, place: "
    "{at_m: [0, 1.0], height_m: 2}}}",
    "05_more_nd": "openings: {window: {gel_nd: 0.9}}",
    "06_long": "recording: {hours: 4}",
    "07_mute": "sound: {boom: null, lavalier: null}",
    "08_board": "lights: {board: {fixture: bounce_board_120, aim: guest, place: "
    "{at_m: [-1.3, -0.8], height_m: 1.4}}}",
    "09_filter": "exposure: {nd_density: 0.6}",
    "10_lamp": "lights: {lamp: {fixture: practical_table_lamp, place: "
    "{at_m: [2.2, 1.8], height_m: 1}}}",
    "11_warm": "lights: {key: {gels: [orange_half]}}",
    "12_full_frame": "cameras: {A: {sensor: full_frame}}",
}
ND_06, ND_09 = "ND 0.6, two stops", "ND 0.9, three stops"
WARM = "Orange correction (CTO), half, 5600 K to 4100 K"
EXPECTED = {
    # Shared: as many as the scene that needs most.
    "Camera: Super 35, 3 perforations high, 24.89 x 13.87 mm": 2,  # 03
    "Camera: Full frame, 36 x 24 mm": 1,
    "Monitor, 7 inch, with a stand": 1,
    "24-70 mm, standard zoom for full frame": 1,
    "70-200 mm, tele zoom for full frame": 1,
    "ND 0.6 filter, front of 85 mm": 1,
    # Panes of 100 x 75 cm, 2 cm more on each side; a face of 90 x 90 cm, 5 cm more.
    f"{ND_06}, cut": 4, f"{ND_09}, cut": 4, f"{WARM}, cut": 1,
    # 4 x 0.79 m of a roll 1.22 m wide and a tenth: 3.5 m; 1.0 m and a tenth.
    f"{ND_06}, from a roll this wide": 4, f"{ND_09}, from a roll this wide": 4,
    f"{WARM}, from a roll this wide": 2,
    "Softbox 90 x 90 cm, LED bi-colour": 3,  # 04
    "Fresnel, halogen 650 W": 1, "White bounce board 120 x 120 cm": 1,
    "Table lamp with cloth shade, warm LED bulb": 1,
    "Tripod with fluid head": 2, "Light stand": 3, "Grip stand with head and arm": 1,
    # 20 N at 2 m over a lever of 0.25 m take 16.3 kg; head and stand weigh 7.6: two bags of 5 kg
    # each, three times in 04, and one on the boom.
    "Sandbag": 7,
    "Short shotgun microphone with shock mount and foam": 1, "Boom pole, at least this long": 1,
    "Stand with a boom cradle": 1, "Microphone lead": 1,
    "Lavalier with transmitter and receiver": 1, "Clips and skin-safe tape for a lavalier": 1,
    "Recorder with timecode, card and battery": 1, "Closed headphones": 1,
    # Every light is within 5 m of the middle of a wall, along the walls: three in 04.
    "Extension lead": 3,
    "Distribution block, 4 sockets": 1, "Residual-current plug": 1, "Socket tester": 1,
    "Drive for copies": 2, "Card reader and laptop": 1, "Charger for two": 1,
    "Lens tissue and blower": 1, "Grey and white card": 1, "Tape measure": 1,
    "Light and colour meter": 1, "First-aid kit": 1, "Squeegee, water spray and blade for film": 1,
    "Ladder": 1, "Pair of heat-proof gloves": 2, "Clothes pegs and clamps, bag": 1,
    # Used up: added. 90 GB an hour, 230 GB on a card: one a camera in 2 h, two in 4 h.
    "Card, 256 GB": 10 * 1 + 2 + 2,
    "Room on the drives, both copies": 10 * 360 + 720 + 720,
    # 30 W for 4 h of 78.4 Wh: 2, and 1 for the monitor; 5 with two cameras, 4 + 2 for 8 h, 1 + 1
    # for 15 W.
    "Camera battery, 98 Wh": 9 * 3 + 5 + 6 + 2,
    "AA cell for the lavalier": 10 * 4 + 8,  # four in 5 h; none in 07
    "Gaffer tape, roll": 12, "Paper tape for marks, roll": 12,
}  # fmt: skip


@pytest.fixture
def scenes(tmp_path: Path) -> list[Path]:
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    for name, change in DAY.items():
        text = f"based_on: base.yaml\n{change}\n"
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return [tmp_path / f"{name}.yaml" for name in DAY]


@pytest.fixture
def packed(scenes: list[Path], tmp_path: Path) -> Packed:
    return pack_scenes(scenes, PackOptions(out=tmp_path / "kit"))


def table(path: Path) -> tuple[list[str], list[list[str]]]:
    with path.open(encoding="utf-8", newline="") as file:
        head, *lines = csv.reader(file)
    return head, lines


def text_of(page: Path) -> str:
    document = pypdfium2.PdfDocument(page)
    text = " ".join(one.get_textpage().get_text_range() for one in document)
    document.close()
    return " ".join(text.split())


def test_twelve_scenes_of_a_day_are_the_list_that_was_counted_by_hand(packed: Packed) -> None:
    found = {line.item.name: line.item.count for line in packed.day.items}
    assert found == EXPECTED
    assert len(found) == len(packed.day.items), "no item stands there twice"


def test_each_scene_has_its_own_count(packed: Packed) -> None:
    by_name = {line.item.name: dict(line.by_scene) for line in packed.day.items}
    assert by_name["Softbox 90 x 90 cm, LED bi-colour"] == {
        name: 3 if name == "04_three_soft" else 1 for name in DAY if name != "02_halogen"
    }
    assert by_name["Fresnel, halogen 650 W"] == {"02_halogen": 1}
    assert "07_mute" not in by_name["Closed headphones"]
    assert by_name["Sandbag"]["07_mute"] == 2


def test_every_piece_is_in_one_case_and_no_case_is_too_heavy_without_a_word(
    packed: Packed,
) -> None:
    packed_in: Counter[str] = Counter()
    for case in packed.day.cases:
        inside = sum((line.item.weight_kg or 0.0) * n for line, n in case.contents)
        assert inside <= case.weight_kg <= max(FULL_KG, inside + 5.0)
        assert case.takes_two == (case.weight_kg > LIFT_KG)
        packed_in.update({line.item.name: n for line, n in case.contents})
    for line in packed.day.items:
        wanted = line.item.count if line.item.packed_in else 0
        assert packed_in[line.item.name] == wanted, line.item.name


def test_table_workbook_and_json_say_the_same(packed: Packed) -> None:
    _, book_file, table_file = packed.files
    told = kit_json(packed.day, Words())
    head, lines = table(table_file)
    book = openpyxl.load_workbook(book_file)
    sheet = book["Packing"]
    cells = [["" if v is None else str(v) for v in row] for row in sheet.values]
    assert cells[0] == ["done", *head]
    assert head[:5] == ["category", "item", "size", "count", "unit"]
    assert head[-5:] == ["case", "weight each, kg", "weight in all, kg", "note", "source"]
    assert head[5:-5] == list(DAY)
    assert len(lines) == len(cells) - 1 == len(told["items"])
    for line, row, item in zip(lines, cells[1:], told["items"], strict=True):
        assert [number(v) for v in row[1:]] == [number(v) for v in line]
        assert line[:5] == [item["category"], item["item"], item["size"], str(item["count"]),
                            item["unit"]]  # fmt: skip
        assert {s: int(n) for s, n in zip(DAY, line[5:-5], strict=True) if n} == item["scenes"]
        assert line[-5] == ", ".join(item["cases"])
        assert number(line[-4]) == ("" if item["weight_kg"] is None else item["weight_kg"])
        assert line[-2:] == [item["note"], item["source"]] and item["source"]
    assert book.sheetnames == ["Packing", "Cases", "Power", "Setting up", "Ask the place",
                               "Read this"]  # fmt: skip
    assert sheet.freeze_panes == "D2" and sheet.print_title_rows == "$1:$1"
    assert sheet.page_setup.paperSize == 9


def number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def test_the_page_has_every_item_every_question_and_every_caution(packed: Packed) -> None:
    text = text_of(packed.files[0])
    for name in (*EXPECTED, *DAY, *packed.cautions, "Ask the place", "Where are the sockets?"):
        assert name in text, name
    assert "104 x 79 cm" in text and "220 W, 1.0 A at 230 V" in text


def test_setting_up_is_in_order_and_adds_up(packed: Packed) -> None:
    needs = packed.day.scenes["04_three_soft"]
    assert [step.minutes for step in needs.steps] == [15, 9, 24, 15, 20, 20, 10, 5, 10, 5, 5]
    assert needs.minutes == 138
    assert [step.what.split()[0] for step in needs.steps[:5]] == [
        "Walk", "Power", "Film", "Light", "Lights",
    ]  # fmt: skip


def test_more_scenes_than_columns_are_told_by_number(scenes: list[Path], tmp_path: Path) -> None:
    made = pack_scenes([*scenes, scenes[0]], PackOptions(out=tmp_path / "kit", paper="letter"))
    assert list(made.day.scenes)[-1] == "01_plain 2"
    text = text_of(made.files[0])
    assert "1, 3\N{EN DASH}13" in text, "the softbox is in all but the second"


def command(*words: object) -> Any:
    return CliRunner().invoke(root, ["kit", *(str(word) for word in words)])


def test_the_command_prints_json_and_writes_three_files(scenes: list[Path], tmp_path: Path) -> None:
    done = command(scenes[0], "--out", tmp_path / "k", "--json", "--set", "key.fixture=softbox_150")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    assert [Path(file).name for file in told["files"]] == ["kit.pdf", "kit.xlsx", "kit.csv"]
    assert all(Path(file).is_file() for file in told["files"])
    names = [item["item"] for item in told["items"]]
    assert "Softbox 150 x 150 cm, LED bi-colour" in names
    assert told["scenes"][0]["ratings_not_given"] == ["mains"]
    assert any("rated for" in question for question in told["questions"])


def test_feet_are_feet_everywhere(scenes: list[Path], tmp_path: Path) -> None:
    us = "power.outlet=us_20a"
    done = command(scenes[0], "--out", tmp_path / "k", "--units", "feet", "--set", us)
    assert done.exit_code == 0 and " lb in all" in done.stdout
    head, lines = table(tmp_path / "k" / "kit.csv")
    by_name = {line[1]: line for line in lines}
    assert by_name["Extension lead"][2] == "25 ft"
    assert by_name[f"{ND_06}, cut"][2] == "40.9 x 31.1 in"
    assert by_name[f"{ND_06}, from a roll this wide"][3:5] == ["14", "ft"]
    assert float(by_name["Sandbag"][head.index("weight each, lb")]) == 15.0


def test_settings_go_with_one_scene(scenes: list[Path]) -> None:
    done = command(*scenes[:2], "--set", "key.dimmer_pct=5")
    assert done.exit_code == 2 and "name one scene" in done.output
    with pytest.raises(ValueError, match="one scene"):
        pack_scenes(scenes[:2], PackOptions(settings=("key.dimmer_pct=5",)))


def test_the_problems_of_all_scenes_are_told_at_once(scenes: list[Path], tmp_path: Path) -> None:
    for path in scenes[:2]:
        path.write_text("based_on: base.yaml\nlights: {key: {fixture: softbx}}\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        pack_scenes(scenes[:3], PackOptions(out=tmp_path / "kit"))
    assert [problem.place.file.name for problem in caught.value.problems] == [
        "01_plain.yaml", "02_halogen.yaml",
    ]  # fmt: skip
    assert not (tmp_path / "kit").exists()
