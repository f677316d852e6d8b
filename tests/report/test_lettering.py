from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.data.typefaces import font_folder
from laydown.report.lettering import text_width, wrap
from laydown.report.plain_text import capital, markup, printable


@pytest.mark.parametrize("words", ["Polyester white", "46 um underbase, 2 hits", "MMMM iiii", "Signal red + 10 %"])
def test_ascii_is_as_wide_as_the_semibold_letters_of_the_font(words):
    from PIL import ImageFont, features

    font = ImageFont.truetype(str(font_folder() / "Inter-SemiBold.otf"), 1000, layout_engine=ImageFont.Layout.BASIC)
    assert features.check("freetype2")
    # The basic layout engine applies no kerning for this font; the bound covers what shaping may take away.
    assert text_width(words, 1000) == pytest.approx(font.getlength(words), rel=0.03)


@given(st.text(max_size=90), st.floats(min_value=20, max_value=120), st.integers(min_value=1, max_value=4))
def test_no_line_is_wider_than_its_room(words, width, most):
    lines = wrap(words, width, 6.4, most)

    assert 1 <= len(lines) <= most
    assert all(text_width(line, 6.4) <= width + 1e-9 or len(line) == 1 for line in lines)


def test_text_that_fits_keeps_every_word():
    assert " ".join(wrap("General low-bleed white", 60, 6.4, 2)) == "General low-bleed white"


def test_text_that_does_not_fit_says_so():
    assert wrap("one two three four five six seven", 40, 6.4, 2)[-1].endswith("…")


@given(st.text(max_size=60))
def test_what_is_printed_holds_no_control_characters(words):
    shown = printable(words)

    assert not any(ord(letter) < 32 or 0xD800 <= ord(letter) < 0xE000 or letter in "\u202e\u2066" for letter in shown)
    assert shown == printable(shown)


def test_markup_characters_are_escaped_and_words_start_large():
    assert markup('<a href="x">&\x00') == "&lt;a href=&quot;x&quot;&gt;&amp;"
    assert capital("bleed: grade 4") == "Bleed: grade 4"
    assert not capital("")
