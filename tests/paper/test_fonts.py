from __future__ import annotations

from pathlib import Path

import pytest
import reportlab
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont

from builder.paper.fonts import FILES, printable, width_mm, wrapped

WORDS = st.lists(st.text("abcdefgiMW ", min_size=1, max_size=12), max_size=12).map(" ".join)


def test_widths_are_the_fonts() -> None:
    """FreeType (by Pillow) reads the same lengths out of the font file, to the whole units it gives."""
    file = Path(reportlab.__file__).parent / "fonts" / FILES["regular"]
    free = ImageFont.truetype(str(file), 2048, layout_engine=ImageFont.Layout.BASIC)
    for text in ("M", "0123456789", "Drawing height 180 mm"):
        assert width_mm(text, 2048.0) == pytest.approx(free.getlength(text) * 25.4 / 72, rel=1e-3)


@given(WORDS, st.floats(8, 60))
@settings(max_examples=60, deadline=None)
def test_lines_fit_and_lose_nothing(text: str, wide: float) -> None:
    """No line is wider than asked for, unless one letter is; all letters stay in order."""
    lines = wrapped(text, 9.0, wide)
    assert all(width_mm(line, 9.0) <= wide + 1e-9 or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_line_ends_stay() -> None:
    """A tutor's own line ends are kept."""
    assert wrapped("one\ntwo three", 9.0, 100.0) == ("one", "two three")


def test_letters_that_the_font_lacks() -> None:
    """An accent is dropped before a letter is; what is left is a question mark."""
    assert printable("Größe") == "Größe"
    assert printable("ế") in ("ê", "e")
    assert printable("面") == "?"
