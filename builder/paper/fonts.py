"""The letters of printed pages: Bitstream Vera, which comes with reportlab and may be embedded."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from pathlib import Path

import reportlab
from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfbase.ttfonts import TTFont

MM_PER_POINT = 25.4 / 72
"""ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 inch."""
FILES = {"regular": "Vera.ttf", "bold": "VeraBd.ttf", "oblique": "VeraIt.ttf"}


@cache
def font(style: str) -> TTFont:
    """The font of a style (``regular``, ``bold`` or ``oblique``), read once."""
    return TTFont(f"Vera-{style}", str(Path(reportlab.__file__).parent / "fonts" / FILES[style]), asciiReadable=False)


_TO_LETTERS = "toUnicodeCMap:"
"""What the keys of reportlab's way back from codes to letters begin with."""
_PAIRS = re.compile(r"\d+ beginbfchar\n(.*)\nendbfchar", re.DOTALL)
MOST_PAIRS = 100
"""In one block of such a map (Adobe technical note 5014, 1.4.2)."""


def write_fonts(pdf: PDFDocument) -> None:
    """Embed every font that was used, with its way back to letters.

    reportlab leads the empty code of a subset back to U+0000, which is no letter (ISO 14289-1, 7.21.7): it is left out.
    """
    for face in pdf.delayedFonts:
        face.addObjects(pdf)
    for key, stream in pdf.idToObject.items():
        if key.startswith(_TO_LETTERS):
            stream.content = _PAIRS.sub(_blocks, stream.content)


def _blocks(found: re.Match[str]) -> str:
    pairs = [pair for pair in found[1].splitlines() if not pair.endswith("<0000>")]
    blocks = [pairs[start : start + MOST_PAIRS] for start in range(0, len(pairs), MOST_PAIRS)]
    return "\n".join("\n".join((f"{len(block)} beginbfchar", *block, "endbfchar")) for block in blocks)


def printable(text: str, style: str = "regular") -> str:
    """``text`` with every letter that the font has; a letter it lacks loses its accent, or becomes a question mark."""
    known = font(style).face.charToGlyph
    out = []
    for letter in text:
        if ord(letter) in known or letter == "\u00a0":
            out.append(letter)
        else:
            plain = "".join(part for part in unicodedata.normalize("NFKD", letter) if ord(part) in known)
            out.append(plain or "?")
    return "".join(out)


def width_mm(text: str, size_pt: float, style: str = "regular") -> float:
    """How wide ``text`` is when set in one line, mm."""
    return float(font(style).stringWidth(printable(text, style), size_pt)) * MM_PER_POINT


def wrapped(text: str, size_pt: float, wide_mm: float, style: str = "regular") -> tuple[str, ...]:
    """``text`` in lines no wider than ``wide_mm``, broken at spaces; a single longer word is broken where it must be.

    Line ends in ``text`` stay. Text of nothing but space gives one empty line.
    """
    lines: list[str] = []
    for given in text.splitlines() or [""]:
        line = ""
        for word in given.split():
            longer = f"{line} {word}" if line else word
            if width_mm(longer, size_pt, style) <= wide_mm:
                line = longer
                continue
            if line:
                lines.append(line)
            while len(word) > 1 and width_mm(word, size_pt, style) > wide_mm:
                fits = next(
                    n for n in range(len(word) - 1, 0, -1) if n == 1 or width_mm(word[:n], size_pt, style) <= wide_mm
                )
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        lines.append(line)
    return tuple(lines)
