"""Lengths as they are read off a tape measure: centimetres first, and inches."""

from __future__ import annotations

from builder.words.words import number

MM_PER_INCH = 25.4
"""By definition since 1959."""
HALVES_BELOW_CM, TENTHS_BELOW_CM = 50.0, 5.0
"""Half centimetres are worth setting below the first, millimetres below the second; a lamp's place matters no more."""
QUARTERS_BELOW_IN, TENTHS_BELOW_IN = 20.0, 2.0
_QUARTERS = ("", "¼", "½", "¾")


def tape_cm(length_mm: float) -> str:
    """Centimetres: whole from 50 on, to a half from 5 on, to a millimetre below."""
    cm = length_mm / 10.0
    if abs(cm) < TENTHS_BELOW_CM:
        return number(cm)
    return number(round(cm * 2.0) / 2.0) if abs(cm) < HALVES_BELOW_CM else number(cm, 0)


def tape_in(length_mm: float) -> str:
    """Inches: to a half from 20 on, to a quarter from 2 on, to a tenth below."""
    inches = length_mm / MM_PER_INCH
    if abs(inches) < TENTHS_BELOW_IN:
        return number(inches)
    quarters = round(abs(inches) * 4.0) if abs(inches) < QUARTERS_BELOW_IN else 2 * round(abs(inches) * 2.0)
    whole, rest = divmod(quarters, 4)
    return ("−" if inches < 0.0 else "") + (str(whole) if whole else "") + _QUARTERS[rest]
