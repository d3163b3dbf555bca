"""`previz catalog`: list, show, search, as people and as programs read them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from previz.catalog import KINDS, Catalog
from previz.cli.catalog import command
from previz.errors import CatalogError, InputError


def run(*words: str) -> Result:
    return CliRunner().invoke(command, words, prog_name="previz catalog")


def test_list_all_and_one_kind() -> None:
    everything = run("list").output.splitlines()
    assert len(everything) == sum(len(Catalog.load().names(kind)) for kind in KINDS)
    for word in ("lenses", "lens"):
        lines = run("list", word).output.splitlines()
        assert [line.split()[0] for line in lines] == list(Catalog.load().names("lenses"))
    assert "f/2.8, T3.1, focus from 0.4 m, 0.9 kg" in run("list", "lens").output


def test_list_as_json() -> None:
    rows = json.loads(run("list", "adapters", "--json").output)
    assert rows[0] == {
        "catalogue": "adapters",
        "name": "reducer_0.71",
        "label": "Focal reducer, one stop faster, full-frame lens on Super 35 or 24 x 16 mm",
        "figures": "x 0.71, 1.0 stops faster, 0.2 kg",
    }


def test_unknown_kind() -> None:
    result = run("list", "lense")
    assert result.exit_code == 2
    assert "'lense' is no kind of record; did you mean lenses?" in result.output


def test_show() -> None:
    lines = run("show", "full_frame").output.splitlines()
    assert lines[0].split() == ["catalogue", "sensors"]
    fields = {line.split()[0]: line.split(maxsplit=1)[1] for line in lines}
    assert fields["width_mm"] == "36"
    assert fields["modes.uhd"] == (
        "reads 36 x 20.25 mm, writes 3840 x 2160 px, to 30 fps (full width, 16:9)"
    )
    shown = json.loads(run("show", "softbox_90", "--json").output)
    assert [record["name"] for record in shown] == ["softbox_90"]
    assert shown[0]["flux_lm"] == Catalog.load().fixture("softbox_90").flux_lm
    assert {"label", "kind", "source"} <= set(shown[0])


def test_show_unknown_name_gives_the_nearest_of_all_kinds() -> None:
    result = run("show", "softbox90")
    assert isinstance(result.exception, CatalogError)
    assert (
        str(result.exception) == "nothing called 'softbox90' in the catalogue; nearest: softbox_90"
    )


@pytest.mark.parametrize(
    ("words", "names"),
    [
        ("softbox 90", ["softbox_90", "softbox_90_daylight"]),
        ("softboxes 90", ["softbox_90", "softbox_90_daylight"]),
        ("50 mm fast", ["prime_50_f1.4", "cine_prime_50_t1.6"]),
        ("macro", ["prime_100_macro_f2.8"]),
        ("Tungsten FRESNEL", ["fresnel_tungsten_650", "fresnel_tungsten_300"]),
        ("sensor hd_120 24x16", ["format_24x16"]),
        ("bounce", ["bounce_board_120", "bounce_board_60x90", "silver_board_90",
                    "reflector_white", "reflector_silver"]),
    ],
)  # fmt: skip
def test_search(words: str, names: list[str]) -> None:
    found = json.loads(run("search", *words.split(), "--json").output)
    assert [row["name"] for row in found] == names


def test_name_hits_come_first() -> None:
    hits = Catalog.load().search("hair")
    assert hits[0].name == "hair"
    assert "strip_30x120" in [hit.name for hit in hits]


def test_search_for_nothing() -> None:
    assert Catalog.load().search("") == ()
    result = run("search", "softbxo")
    assert result.exit_code == 0
    assert result.output == "Nothing found for 'softbxo'; nearest name: softbox_90.\n"
    assert json.loads(run("search", "qqqq", "--json").output) == []


def test_broken_catalogue_is_told_before_anything_is_listed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "lenses.yaml").write_text("a: {label: A}\n")
    monkeypatch.setenv("PREVIZ_CATALOG", str(tmp_path))
    result = run("list", "sensors")
    assert isinstance(result.exception, InputError)
    assert len(result.exception.problems) == 11
    assert result.output == ""


def test_completion_offers_kinds_and_names() -> None:
    shell = {"_PREVIZ_CATALOG_COMPLETE": "bash_complete", "COMP_CWORD": "2"}
    for words, offered in (
        ("previz-catalog list le", "plain,lenses"),
        ("previz-catalog show cine_zoom_2", "plain,cine_zoom_20_80_t4\nplain,cine_zoom_20_110_t3"),
    ):
        result = CliRunner().invoke(
            command, prog_name="previz-catalog", env={**shell, "COMP_WORDS": words}
        )
        assert result.output.strip() == offered
