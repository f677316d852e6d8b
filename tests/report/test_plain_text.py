"""What cannot be seen on paper is left out of what people typed, and nothing else is."""

import unicodedata

from laydown.report.plain_text import printable

TURNING = "\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def test_every_letter_is_kept_unless_it_is_a_control_a_half_or_turns_the_line():
    for number in range(0x11000):
        letter = chr(number)
        if letter.isspace():
            wanted = "a b"
        elif letter in TURNING or unicodedata.category(letter) in {"Cc", "Cs", "Cn"}:
            wanted = "ab"
        else:
            wanted = f"a{letter}b"
        assert printable(f" a{letter}b ") == wanted, hex(number)
