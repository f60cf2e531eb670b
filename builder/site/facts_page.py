"""The tutor's reference of the facts, written from the list of facts itself.

python -m builder.site.facts_page > content/reference/facts.md
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import click

from builder.plates.fact import Fact
from builder.plates.fact_list import FACTS, GROUPS, STEPS
from builder.site.facts_file import facts_text

COMMAND = "python -m builder.site.facts_page > content/reference/facts.md"

_START = """\
---
title: Facts
description: For the tutor and the teacher - everything that is measured in a view, with its unit.
---
# Facts

Everything that is measured in a view under a lighting, by its name. Use the names in [prompts of your
own](../lessons/own-prompts.md), or take the numbers from [a file](#files) into a program of your own.

Left and right are yours, as you face the picture. The form is what you see of the sculpture, without plinth and ground.

| unit | how to read it |
| --- | --- |
| share | a part of a whole, from 0 to 1 |
| value | Munsell value, from 0, black, to 10, white |
| stops | each stop more is twice the light: 1 is twice as much, -2 a quarter |
| mm, deg, px | millimetres at true size, degrees, pixels of the picture |
| ratio, count | one length over another; how many |
| none | a number that only names something, a word, or yes and no (`true` and `false`) |"""

_MISSING = """\
A fact with an entry in the last column is missing where that is so. Let a prompt ask first:
`{% if light_to_shadow_stops is defined %}`."""

_VALUES = """\
Values are those that the plates are painted in, but for those at the edges of shadow, which are of the light itself,
whatever the plates are painted in."""

_STEPS = (
    f"N is {', '.join(map(str, STEPS[:-1]))} or {STEPS[-1]}. A row has N shares, from dark to light, which sum to 1."
)

_FILES = """\
## Files {{ #files }}

Beside the plates of each view lies a file for each lighting, `plates/<study>/<number>/<lighting>-facts.json`, which the
view's page links to under the table of measurements. A fact that is missing is left out. Cut down to four facts, a file
reads like this:

```json
{example}
```

[The schema](facts.schema.json) (JSON Schema, draft 2020-12) gives type, range, unit and meaning of every fact, and
every file keeps to it. Numbers that are not whole have six significant digits."""

_EXAMPLE = ("number", "bearing_deg", "silhouette_height_mm", "light_share")


def facts_page() -> str:
    """The whole page as Markdown, ending in a line break."""
    parts = [_START, _MISSING]
    about = {"values": [_VALUES], "value_studies": [_STEPS]}
    for group in GROUPS:
        parts += [f"## {group.title}", *about.get(group.name, []), "\n".join(_table(group.facts))]
    head = {"$schema": "../../../reference/facts.schema.json", "study": "mask", "view": 12, "lighting": "side-lamp"}
    example = facts_text(head, {name: FACTS[name].specimen for name in _EXAMPLE})
    return "\n\n".join([*parts, _FILES.format(example=example.strip())]) + "\n"


def _table(facts: tuple[Fact, ...]) -> Iterator[str]:
    """Rows of a table; facts of the several value studies, which differ in a number only, share one."""
    yield "| fact | unit | what it is | missing where |"
    yield "| --- | --- | --- | --- |"
    rows = {}
    for fact in facts:
        name = re.sub(r"^values_\d", "values_N", fact.name)
        meaning = re.sub(r"\bof \d values", "of N values", fact.meaning) if name != fact.name else fact.meaning
        if fact.words:
            meaning += f" ({', '.join(f'`{word}`' for word in fact.words)})"
        rows[name] = f"| `{name}` | {fact.unit} | {meaning} | {fact.missing} |"
    yield from rows.values()


if __name__ == "__main__":
    click.echo(facts_page(), nl=False)
