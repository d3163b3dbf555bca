"""A still as it comes from a camera: any kind that is read, and one clear line for the rest."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from previz.deliver.verify.still import check_shape, read_still
from previz.errors import InputError
from previz.stage.stage import StageCamera

CAMERA = StageCamera(
    "A", np.eye(4), 0.024, 0.0135, 0.05, 2.8, 2.8, 2.0, fps=25.0, shutter_s=0.02, iso=800.0,
    nd_density=0.0,
)  # fmt: skip


def picture(width: int = 64, height: int = 36) -> np.ndarray:
    rows = np.zeros((height, width, 3), np.uint8)
    rows[: height // 2, : width // 2] = [200, 100, 50]
    return rows


@pytest.mark.parametrize("kind", ["png", "jpg", "tif"])
def test_kinds_of_file(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"still.{kind}"
    Image.fromarray(picture()).save(path, quality=100) if kind == "jpg" else Image.fromarray(
        picture()
    ).save(path)
    still = read_still(path)
    assert still.size_px == (64, 36) and still.taken is None and len(still.sha256) == 64
    np.testing.assert_allclose(still.picture[5, 5], [200, 100, 50], atol=4)
    check_shape(still, CAMERA)


def test_it_is_turned_upright_and_says_when_it_was_taken(tmp_path: Path) -> None:
    path = tmp_path / "turned.jpg"
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter to the right
    exif[0x0132] = "2026:05:12 10:30:00"
    Image.fromarray(np.rot90(picture())).save(path, exif=exif, quality=100)
    still = read_still(path)
    assert still.size_px == (64, 36) and still.taken == "2026:05:12 10:30:00"
    np.testing.assert_allclose(still.picture[5, 5], [200, 100, 50], atol=6)


def test_a_colour_profile_is_used(tmp_path: Path) -> None:
    """Lab is a profile that every library has: its white and its greys come out as sRGB."""
    path = tmp_path / "profiled.tif"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    Image.fromarray(picture()).save(path, icc_profile=profile.tobytes())
    assert read_still(path).notes == ()
    Image.fromarray(picture()).save(path, icc_profile=b"no profile")
    still = read_still(path)
    assert "taken as sRGB" in still.notes[0]
    np.testing.assert_array_equal(still.picture, picture())


def test_sixteen_bits_of_grey_keep_their_level(tmp_path: Path) -> None:
    path = tmp_path / "deep.png"
    Image.fromarray(np.full((36, 64), 0x8080, np.uint16)).save(path)
    still = read_still(path)
    assert (still.picture == 0x80).all() and still.notes


def test_alpha_and_palettes_are_read(tmp_path: Path) -> None:
    for mode in ("RGBA", "P", "L"):
        path = tmp_path / f"{mode}.png"
        Image.fromarray(picture()).convert(mode).save(path)
        assert read_still(path).picture.shape == (36, 64, 3)


def test_what_is_no_picture(tmp_path: Path) -> None:
    whole = tmp_path / "whole.png"
    Image.fromarray(np.random.default_rng(1).integers(0, 255, (90, 160, 3), np.uint8)).save(whole)
    cut = tmp_path / "cut.png"
    cut.write_bytes(whole.read_bytes()[:9000])
    text = tmp_path / "text.png"
    text.write_text("a still", encoding="utf-8")
    empty = tmp_path / "empty.jpg"
    empty.touch()
    for path in (cut, text, empty, tmp_path, tmp_path / "missing.png"):
        with pytest.raises(InputError) as caught:
            read_still(path)
        (line,) = str(caught.value).splitlines()
        assert line.startswith(f"{path}: ")


def test_a_hundred_megapixels_and_more_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "large.png"
    for size in ((12_000, 9_000), (20_000, 20_000)):
        Image.new("1", size).save(path)
        with pytest.raises(InputError, match="megapixels"):
            read_still(path)


def test_another_shape_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "tall.png"
    Image.fromarray(picture(48, 36)).save(path)
    with pytest.raises(InputError, match=r"1\.333 : 1, and camera A records 1\.778"):
        check_shape(read_still(path), CAMERA)
    check_shape(read_still(path), replace(CAMERA, sensor_width_m=0.018))


def test_a_card_is_read_inside_its_corners(tmp_path: Path) -> None:
    path = tmp_path / "card.png"
    Image.fromarray(picture()).save(path)
    still = read_still(path)
    wanted = np.array([200, 100, 50]) / 255.0
    for corners in (
        [[4, 3], [28, 15]],
        [[28, 15], [4, 3]],
        [[4, 3], [28, 15], [28, 3], [4, 15]],
    ):
        np.testing.assert_allclose(still.patch(np.array(corners, float)), wanted, atol=1e-6)
    with pytest.raises(ValueError, match="enclose no pixel"):
        still.patch(np.array([[-40.0, -40.0], [-30.0, -30.0]]))
