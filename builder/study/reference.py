"""The tutor's reference of study.yml, written from the fields, sets of views and lightings themselves.

python -m builder.study.reference > content/reference/study-file.md
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib.resources import files

import click

from builder.study import schema
from builder.study.card_fields import CARDS
from builder.study.description import Lamp, Length
from builder.study.groups import Field, Group
from builder.study.lightings import LIGHTINGS
from builder.study.presets import LAST_NUMBER, LAST_PRESET_NUMBER, PRESETS
from builder.study.section_fields import CONTOUR, SECTIONS
from builder.study.sheet_fields import SHEETS

COMMAND = "python -m builder.study.reference > content/reference/study-file.md"

_GROUPS = (
    ("The study", "These fields stand at the left edge of the file.", schema.STUDY),
    ("stand", "Under `stand:`.", schema.STAND),
    (
        "finish",
        "Under `finish:`. Each is the share of light thrown back, all colours alike.",
        schema.FINISH,
    ),
    ("views: a set", "An item of the list under `views:` that begins with `preset`.", schema.PRESET_VIEWS),
    ("views: one of your own", "An item of the list under `views:` that has a `number`.", schema.OWN_VIEW),
    (
        "lightings: one of the list, adjusted",
        "An item of the list under `lightings:` that begins with `lighting`.",
        schema.NAMED_LIGHTING,
    ),
    (
        "lightings: one of your own",
        "An item of the list under `lightings:` that has a `key` lamp.",
        schema.OWN_LIGHTING,
    ),
    (
        "key, fill and rim",
        "The lamps of a lighting of your own. Every lamp is turned towards the model's middle. The key has no `stops`: "
        "it is what the others are measured against. Without `stops`, a fill has "
        f"{schema.FILL.field('stops').default:g} and "
        f"a rim {schema.RIM.field('stops').default:g}.",
        schema.FILL,
    ),
    ("planes", "Under `planes:`.", schema.PLANES),
    ("planes: the zone", "Under `zone:` in `planes:`.", schema.ZONE),
    ("guides", "Under `guides:`. All landmarks stand under `landmarks:`.", schema.GUIDES),
    ("sections", "Under `sections:`.", SECTIONS),
    ("sections: a contour", "An item of the list under `contours:` in `sections:`.", CONTOUR),
    ("sheets", "Under `sheets:`.", SHEETS),
    ("cards", "Under `cards:`.", CARDS),
    ("prompts", "Under `prompts:`.", schema.PROMPTS),
    ("picture", "Under `picture:`.", schema.PICTURE),
)


def reference() -> str:
    """The whole page as Markdown, ending in a line break."""
    start = files("builder.study").joinpath("starter", "reference.md").read_text(encoding="utf-8")
    parts = [start.strip()]
    for title, where, group in _GROUPS:
        parts += [f"### {title}", where, _table(group)]
    parts += ["## Sets of views", _preset_words()]
    for preset in PRESETS:
        parts += [
            f"### {preset.name}",
            preset.about,
            _rows(("Number", "Bearing", "Eye level", "Title"), _places(preset.places)),
        ]
    parts += ["## Lightings", "Write the name alone, or adjust it with the fields above."]
    for lighting in LIGHTINGS:
        key = f"Key: {_lamp_words(lighting.key)}. Ambient: {lighting.ambient_stops:g} stops."
        parts += [f"### {lighting.title.lower()}", lighting.about, key]
    return "\n\n".join(parts) + "\n"


def _table(group: Group) -> str:
    rows = ((f"`{field.key}`", _capital(field.kind.takes), _default(field), field.meaning) for field in group.fields)
    return _rows(("Field", "Takes", "Without it", "Meaning"), rows)


def _default(field: Field) -> str:
    if field.required:
        return f"**needed**, unless `{field.unless}` is given" if field.unless else "**needed**"
    if field.otherwise:
        return field.otherwise
    return f"`{_length_words(field.default)}`" if isinstance(field.default, Length) else f"`{_plain(field.default)}`"


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _length_words(length: Length) -> str:
    return f"{length.value:g} {'sizes' if length.in_sizes else 'mm'}"


def _lamp_words(lamp: Lamp) -> str:
    shape = f"disc {_length_words(lamp.width)} across"
    if lamp.shape == "rectangle":
        shape = f"rectangle {_length_words(lamp.width)} wide and {_length_words(lamp.height)} high"
    where = f"bearing {lamp.bearing_deg:g}°, elevation {lamp.elevation_deg:g}°, {_length_words(lamp.distance)} away"
    return f"{where}, {shape}"


def _preset_words() -> str:
    return (
        f"Numbers 1 to {LAST_PRESET_NUMBER} belong to these sets and never change; your own views take "
        f"{LAST_PRESET_NUMBER + 1} to {LAST_NUMBER}. Left and right are the model's own."
    )


def _places(places: tuple[tuple[int, float, float, str], ...]) -> Iterator[tuple[str, ...]]:
    for number, bearing, level, title in places:
        yield str(number), f"{bearing:g}°", f"{level:g}°", title


def _rows(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join(f"| {' | '.join(cell.replace('|', '&#124;') for cell in line)} |" for line in lines)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


if __name__ == "__main__":
    click.echo(reference(), nl=False)
