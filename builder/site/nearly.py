"""Numbers as a draughtsman says them: the nearest easy fraction, and whether it is a little more or less."""

from __future__ import annotations

from builder.words.words import Words, number

PARTS = ((0.0, ""), (1 / 4, "¼"), (1 / 3, "⅓"), (1 / 2, "½"), (2 / 3, "⅔"), (3 / 4, "¾"), (1.0, ""))
"""Parts of a whole that are easy to halve or third by eye."""
LEAST, MOST = 0.2, 10.0
"""Numbers outside are said in figures."""
EVEN_SHARE, LITTLE_SHARE = 0.02, 0.07
"""A number within this share of a fraction is that fraction, to the eye; a little over or under it within that."""


def nearly(value: float, words: Words) -> str:
    """A number >= 0 in words: ``a little over 2½``."""
    if not LEAST <= value <= MOST:
        return number(value, 2)
    whole = int(value)
    part, glyph = min(
        (entry for entry in PARTS if whole + entry[0] > 0), key=lambda entry: abs(value - whole - entry[0])
    )
    near = whole + part
    if part == 1.0:
        whole += 1
    said = f"{whole or ''}{glyph}"
    if abs(value - near) <= EVEN_SHARE * near:
        return said
    if abs(value - near) > LITTLE_SHARE * near:
        return words("nearly.about", number=number(value, 1))
    return words(f"nearly.{'over' if value > near else 'under'}", number=said)
