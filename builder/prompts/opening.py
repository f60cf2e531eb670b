"""What an opening names to begin with: one concrete thing of this view, told as a sentence."""

from __future__ import annotations

from collections.abc import Mapping

from builder.plates.plate import FactValue
from builder.prompts.filters import clock
from builder.prompts.words import bearing_words

ALIKE = 0.02
"""Of the form; sides that turn away by no more than this apart are told as alike. Our division."""
SIDES = frozenset({"left_share", "right_share"})
ENDS = frozenset({"darkest_x", "darkest_y", "lightest_x", "lightest_y"})


def begin_words(facts: Mapping[str, FactValue]) -> dict[str, FactValue]:
    """The words ``begin_form``, ``begin_look`` and ``begin_light``: a sentence each.

    A word whose facts are not all there is left out.
    """
    made: dict[str, FactValue] = {}
    if facts.keys() >= SIDES:
        made["begin_form"] = _form(facts)
        made["begin_look"] = _look(facts)
    if facts.keys() >= ENDS:
        dark, light = (clock(facts[f"{end}_x"], facts[f"{end}_y"]) for end in ("darkest", "lightest"))
        known = facts.get("middle_height_at", facts.get("aligned_upper"))
        begin = "squint for" if known is None else f"judge *{known}* by"
        made["begin_light"] = f"{_from(facts)} {begin} the darkest place, {dark}, and the lightest, {light}."
    return made


def _form(facts: Mapping[str, FactValue]) -> str:
    """The line that most hangs on and the landmark nearest to half the height, and the side to go on to."""
    upper, middle = facts.get("aligned_upper"), facts.get("middle_height_at")
    line = "Run a level line through" if facts.get("aligned_along") == "level" else "Hang a plumb line from"
    begin = [f"{line} *{upper}*"] if upper is not None else []
    if middle is not None and middle != upper:
        begin.append(f"{'tick' if begin else 'Tick'} half the height near *{middle}*")
    if not begin:
        return f"Begin on the outline and work {_way(facts)}."
    return f"{', '.join(begin)}, then work {_way(facts)}."


def _look(facts: Mapping[str, FactValue]) -> str:
    """Between which landmarks the eye goes first, and to which side then."""
    places = [facts[name] for name in ("aligned_upper", "middle_height_at") if name in facts]
    if len(set(places)) < 2:
        return f"{_from(facts)} look {f'from *{places[0]}*' if places else 'along the outline'} and work {_way(facts)}."
    return f"{_from(facts)} look from *{places[0]}* to *{places[1]}*, then work {_way(facts)}."


def _from(facts: Mapping[str, FactValue]) -> str:
    """Which view it is, to begin a sentence with."""
    bearing = facts.get("bearing_deg", 0.0)
    assert isinstance(bearing, int | float)
    return f"In this {bearing_words(bearing)},"


def _way(facts: Mapping[str, FactValue]) -> str:
    """Towards the side to which more of the form turns; outwards where both are alike."""
    left, right = facts["left_share"], facts["right_share"]
    assert isinstance(left, int | float) and isinstance(right, int | float)
    if abs(left - right) < ALIKE:
        return "outwards"
    return "left" if left > right else "right"
