"""Filters that turn a measured number into a word of the trade."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType

from builder.prompts.words import hour, length_words

_GREYS = (
    "black",
    "near black",
    "very dark grey",
    "dark grey",
    "middle-dark grey",
    "middle grey",
    "middle-light grey",
    "light grey",
    "very light grey",
    "near white",
    "white",
)
_PARTS = (
    (0.1, "about a tenth"),
    (1 / 7, "about a seventh"),
    (0.2, "about a fifth"),
    (0.25, "about a quarter"),
    (1 / 3, "about a third"),
    (0.4, "about two fifths"),
    (0.5, "about half"),
    (0.6, "about three fifths"),
    (2 / 3, "about two thirds"),
    (0.75, "about three quarters"),
    (0.8, "about four fifths"),
    (0.9, "about nine tenths"),
)
_SMALL = (
    (0.1, "a tenth of"),
    (0.125, "an eighth of"),
    (1 / 6, "a sixth of"),
    (0.2, "a fifth of"),
    (0.25, "a quarter of"),
    (1 / 3, "a third of"),
    (0.4, "two fifths of"),
    (0.5, "half of"),
    (0.6, "three fifths of"),
    (2 / 3, "two thirds of"),
    (0.75, "three quarters of"),
    (0.8, "four fifths of"),
    (0.9, "nine tenths of"),
)
_MOST_TIMES = 12
_PLAIN = 0.02
"""Within two in a hundred a draughtsman says the number and no more: 4 mm on a drawing 200 mm high."""
_UPRIGHT_DEG = 1.5
"""Below this a needle held to an edge shows no lean; common practice, no source."""
_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_LARGEST_TERM = 12
_RATIO_TOLERANCE = 0.02


class Unfit(ValueError):
    """A filter or an expression was given something it cannot put into words; the text is for the tutor."""


def _number(value: object, name: str, low: float = -math.inf, high: float = math.inf) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise Unfit(f"'{name}' takes a number")
    # shares are sums of floats: a millionth over is rounding, not a mistake
    if not low - 1e-6 <= value <= high + 1e-6:
        bounds = f"from {low:g} to {high:g}" if math.isfinite(high) else f"of {low:g} or more"
        raise Unfit(f"'{name}' takes a number {bounds}, and this is {value:g}")
    return float(value)


def percent(share: object) -> str:
    """A share 0..1: ``38%``, ``under 1%``, ``over 99%``."""
    value = 100.0 * _number(share, "percent", 0.0, 1.0)
    if 0.0 < value < 1.0:
        return "under 1%"
    if 99.0 < value < 100.0:
        return "over 99%"
    return f"{value:.0f}%"


def part(share: object) -> str:
    """A share 0..1 as a drawing teacher says it: ``about a third``. Reads on as "of the form"."""
    value = _number(share, "part", 0.0, 1.0)
    if value < 0.02:
        return "hardly any"
    if value < 0.06:
        return "a sliver"
    if value > 0.96:
        return "almost all"
    return min(_PARTS, key=lambda pair: abs(pair[0] - value))[1]


def shares(row: object) -> str:
    """A row of shares: ``26%, 41% and 33%``."""
    if not isinstance(row, Sequence) or isinstance(row, str) or not row:
        raise Unfit("'shares' takes a row of shares")
    words = [percent(share) for share in row]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def mm(length: object) -> str:
    """A length in millimetres: ``8.5 mm``, ``120 mm``, ``1.2 m``."""
    return length_words(_number(length, "mm", 0.0))


def degrees(angle: object) -> str:
    """An angle: ``35°``. The sign is dropped; say the side in words."""
    return f"{abs(_number(angle, 'degrees')):.0f}°"


def ratio(width_to_height: object) -> str:
    """A proportion in small whole numbers: ``3 wide to 4 high``, within two in a hundred where it can be."""
    value = _number(width_to_height, "ratio", 1e-4)
    if value < 1 / _LARGEST_TERM:
        return f"1 wide to {1 / value:.0f} high"
    if value > _LARGEST_TERM:
        return f"{value:.0f} wide to 1 high"
    terms = range(1, _LARGEST_TERM + 1)
    pairs = sorted(((wide, high) for wide in terms for high in terms), key=lambda pair: (sum(pair), pair))
    close = [pair for pair in pairs if abs(pair[0] / pair[1] / value - 1.0) <= _RATIO_TOLERANCE]
    wide, high = close[0] if close else min(pairs, key=lambda pair: abs(pair[0] / pair[1] / value - 1.0))
    return f"{wide} wide to {high} high"


def times(length: object) -> str:
    """One length in another, as a draughtsman counts it: ``a little over 2 1/2 times``, ``about two fifths of``,
    ``equal to``. Reads on as "the unit".
    """
    value = _number(length, "times", 0.0)
    if value < 0.08:
        return "hardly a tenth of"
    if value < 0.95:
        return f"about {min(_SMALL, key=lambda pair: abs(pair[0] - value))[1]}"
    if value < 1.12:
        return "equal to" if abs(value - 1.0) <= _PLAIN else f"a little {'more' if value > 1 else 'less'} than"
    if value > _MOST_TIMES:
        return f"more than {_MOST_TIMES} times"
    near = _counted(value)
    said = "twice" if near == 2 else f"{_mixed(near)} times"
    return f"{_hedge(value, near)}{said}"


def units(length: object) -> str:
    """A length counted in units: ``2 1/2 units``, ``a little under 3 units``, ``about two thirds of a unit``."""
    value = _number(length, "units", 0.0)
    if value < 0.95:
        return f"{times(value)} a unit"
    if value > _MOST_TIMES:
        return f"more than {_MOST_TIMES} units"
    near = Fraction(1) if value < 1.12 else _counted(value)
    return f"{_hedge(value, near)}{_mixed(near)} unit{'' if near == 1 else 's'}"


def _counted(value: float) -> Fraction:
    """The nearest of whole numbers, halves, and below four thirds and quarters too."""
    parts = (1, 2, 3, 4) if value < 4 else (1, 2)
    return min({Fraction(round(value * part), part) for part in parts}, key=lambda near: (abs(near - value), near))


def _mixed(number: Fraction) -> str:
    whole, rest = divmod(number, 1)
    return f"{whole} {rest}" if rest and whole else f"{whole or rest}"


def _hedge(value: float, near: Fraction) -> str:
    if abs(value / float(near) - 1.0) <= _PLAIN:
        return ""
    return f"a little {'over' if value > near else 'under'} "


def lean(off_plumb_deg: object) -> str:
    """The slope of a line by its angle off plumb, + leaning to the right at its top: ``plumb``, ``about 12 degrees off
    plumb, leaning right at the top``, ``about 20 degrees off level, its right end the higher``. Follows "it is".
    """
    angle = _number(off_plumb_deg, "lean", -90.0, 90.0)
    if abs(angle) > 45.0:
        return slope(math.copysign(90.0 - abs(angle), angle), "level")
    return slope(angle, "plumb")


def slope(angle_deg: object, counted_from: object = "level") -> str:
    """The slope of a line by its angle from ``level`` (+ rising to the right) or from ``plumb`` (+ leaning to the right
    at its top): ``level``, ``about 7 degrees off level, its right end the higher``. Follows "it is".
    """
    angle = _number(angle_deg, "slope", -90.0, 90.0)
    if counted_from not in ("level", "plumb"):
        raise Unfit("'slope' is counted from 'level' or from 'plumb'")
    if abs(angle) < _UPRIGHT_DEG:
        return str(counted_from)
    side = "right" if angle > 0 else "left"
    end = f"its {side} end the higher" if counted_from == "level" else f"leaning {side} at the top"
    return f"about {abs(angle):.0f} degrees off {counted_from}, {end}"


def grey(value: object) -> str:
    """A value 0..10 in words: ``dark grey``."""
    return _GREYS[round(_number(value, "grey", 0.0, 10.0))]


def value(number: object) -> str:
    """A value 0..10 with its words: ``value 3, dark grey``."""
    step = round(_number(number, "value", 0.0, 10.0))
    return f"value {step}, {_GREYS[step]}"


def count(number: object, one: object = "", many: object = "") -> str:
    """A whole number in words up to twelve, with its noun: ``3|count('shape')`` is ``three shapes``."""
    whole = round(_number(number, "count", 0.0))
    word = _COUNTS[whole] if whole < len(_COUNTS) else f"{whole}"
    if not one:
        return word
    noun = one if whole == 1 else many or f"{one}s"
    return f"{word} {noun}"


def time(minutes: object) -> str:
    """A stretch of time, rounded as a teacher rounds it: ``1 minute``, ``7 minutes``, ``25 minutes``."""
    value = _number(minutes, "time", 0.0)
    whole = max(1, round(value) if value < 10 else 5 * round(value / 5))
    return f"{whole} minute" if whole == 1 else f"{whole} minutes"


def place(x: object, y: object) -> str:
    """A place in the silhouette's box from its left (0..1) and top (0..1): ``upper left``, ``centre``."""
    across, down = _number(x, "place", 0.0, 1.0), _number(y, "place", 0.0, 1.0)
    side = "left" if across < 0.36 else "right" if across > 0.64 else ""
    height = "upper" if down < 0.36 else "lower" if down > 0.64 else ""
    if not side and not height:
        return "centre"
    return f"{height or 'middle'} {side or 'middle'}"


def clock(x: object, y: object) -> str:
    """A place in the silhouette's box on a clock face: ``at 2 o'clock``, or ``near the middle``."""
    across, up = _number(x, "clock", 0.0, 1.0) - 0.5, 0.5 - _number(y, "clock", 0.0, 1.0)
    return "near the middle" if math.hypot(across, up) < 0.12 else f"at {hour(across, up)} o'clock"


def at(where: object) -> str:
    """Where a piece of air lies about the form: ``at the upper left``, ``inside the form``."""
    return "inside the form" if where == "inside" else f"at the {where}"


def in_turn(choices: object, number: object) -> object:
    """One of a list, by number, round and round: neighbouring views get different wording."""
    if not isinstance(choices, Sequence) or isinstance(choices, str) or not choices:
        raise Unfit("'in_turn' takes a list")
    return choices[round(_number(number, "in_turn")) % len(choices)]


def sentence(text: object) -> str:
    """The text with a capital at its start."""
    words = str(text)
    return words[:1].upper() + words[1:]


FILTERS: Mapping[str, Callable[..., object]] = MappingProxyType(
    {
        made.__name__: made
        for made in (
            at,
            clock,
            count,
            degrees,
            grey,
            in_turn,
            lean,
            mm,
            part,
            percent,
            place,
            ratio,
            sentence,
            shares,
            slope,
            time,
            times,
            units,
            value,
        )
    }
)
"""Our own filters, by the name used in a template."""

BORROWED = ("abs", "first", "int", "last", "length", "lower", "max", "min", "round", "sum")
"""Filters of the template language that cannot grow what they are given."""
