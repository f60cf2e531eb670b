"""Every plate kind there is. A new kind is one module and one entry here."""

from __future__ import annotations

from functools import partial

from builder.plates.families import make_families, make_light_shadow
from builder.plates.form_registry import FORM_KINDS
from builder.plates.planes_registry import PLANES_KINDS
from builder.plates.plate import LightKind, PlateKind
from builder.plates.tone import make_tone
from builder.plates.values import make_values

LIGHT_KINDS: tuple[LightKind, ...] = (
    LightKind(
        name="tone",
        title="Tone",
        teaches=(
            "The model as the lamp shows it, in full gradation. Draw from this plate, and go back to it whenever a "
            "simpler plate has answered your question. Look at it small and through half-closed eyes first, to see the "
            "large light and dark shapes before the features."
        ),
        tolerance="shaded",
        make=make_tone,
        thumbed=True,
    ),
    LightKind(
        name="values-2",
        title="Two values",
        teaches=(
            "Everything lighter than the middle of the value scale in one light grey, everything darker in one dark "
            "grey. It shows the pattern that must carry the drawing from across the room. Copy the border between the "
            "two first, as one continuous shape, and leave out all that lies inside."
        ),
        tolerance="exact",
        make=partial(make_values, steps=2),
    ),
    LightKind(
        name="values-3",
        title="Three values",
        teaches=(
            "A light, a middle and a dark, each a third of the value scale. Use it for a thumbnail in three tones: "
            "decide which of the three every part belongs to, and keep each as one flat shape. If two parts join in "
            "this plate, let them join in your drawing."
        ),
        tolerance="exact",
        make=partial(make_values, steps=3),
    ),
    LightKind(
        name="values-5",
        title="Five values",
        teaches=(
            "The value scale in five equal steps. It is enough to turn the form: compare where the middle steps are "
            "wide, the form turns slowly, and where they are narrow, it turns fast. Mix or hatch five greys beforehand "
            "and check each against the strip."
        ),
        tolerance="exact",
        make=partial(make_values, steps=5),
    ),
    LightKind(
        name="values-9",
        title="Nine values",
        teaches=(
            "The value scale in nine equal steps, three to each of the three values. Use it to check a finished study: "
            "pick a spot in your drawing, name its step, and look here whether you are too dark or too light. Soft "
            "edges show as bands side by side, hard edges as steps that skip a grey."
        ),
        tolerance="exact",
        make=partial(make_values, steps=9),
    ),
    LightKind(
        name="families",
        title="Light families",
        teaches=(
            "Every place is painted by the cause of its light, not by its grey: highlight, light and halftone where "
            "the lamp arrives, core shadow, cast shadow and reflected light where it does not. Find the border between "
            "the two families first: soft along the terminator, firm along cast edges. Then say the cause of each "
            "shape before you choose its value."
        ),
        tolerance="exact",
        make=make_families,
    ),
    LightKind(
        name="light-shadow",
        title="Light and shadow only",
        teaches=(
            "The six families drawn together into two shapes, light and shadow, parted where the lamp stops arriving. "
            "It is not the plate of two values: a dark halftone stays with the light here, and a bright reflected "
            "light with the shadow. Draw the shadow as one flat shape, then lay this plate beside your drawing."
        ),
        tolerance="exact",
        make=make_light_shadow,
    ),
)

KINDS: tuple[PlateKind, ...] = (*LIGHT_KINDS, *PLANES_KINDS, *FORM_KINDS)
"""Every plate kind, in the order in which they are offered."""
