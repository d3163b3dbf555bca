"""The faces are there, hold the letters that we set, and measure as the font's own tables say."""

import pytest
from PIL import ImageFont

from previz.deliver.paper.faces import font_file, width_of

FACES = ("regular", "italic", "semibold", "bold", "light")
SET = "Ä é ß ø ł 1/2 3.25 m 12′ 6½″ 45° ± × – — · → ² µ €"


@pytest.mark.parametrize("face", FACES)
def test_a_line_is_as_wide_as_another_library_sets_it(face):
    other = ImageFont.truetype(str(font_file(face)), 200, layout_engine=ImageFont.Layout.BASIC)
    assert width_of(SET, face, 200.0) == pytest.approx(other.getlength(SET), rel=0.01)


@pytest.mark.parametrize("face", FACES)
def test_every_letter_that_is_set_has_a_shape(face):
    other = ImageFont.truetype(str(font_file(face)), 40)
    missing = other.getmask("\uffff").getbbox(), other.getlength("\uffff")
    for letter in SET.replace(" ", ""):
        assert (other.getmask(letter).getbbox(), other.getlength(letter)) != missing, letter
