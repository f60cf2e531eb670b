"""The plate kinds of the form, in the order in which they are offered."""

from __future__ import annotations

from functools import partial

from builder.plates import form_kinds
from builder.plates.plate import ContourKind, FormKind

FORM_KINDS: tuple[FormKind | ContourKind, ...] = (
    FormKind(
        name="block-in-1",
        title="Envelope",
        teaches=(
            "The fewest straight lines that hold the whole form, at most seven, with the pieces of air between them "
            "and the outline lettered. Place these on your paper before anything else: if the envelope is as wide, as "
            "high and as slanted as this one, nothing inside it can go far astray. Check the longest side first, "
            "against a pencil held upright."
        ),
        tolerance="exact",
        make=form_kinds.make_envelope,
        group="construction",
    ),
    FormKind(
        name="block-in-2",
        title="Few straight lines",
        teaches=(
            "The outline in about twelve straight lines, with a corner wherever the form turns. Draw them inside your "
            "envelope, each from corner to corner, and compare lengths and slants before you add any more. A curve is "
            "first two straight lines that meet in the right place."
        ),
        tolerance="exact",
        make=form_kinds.make_few_lines,
        group="construction",
    ),
    FormKind(
        name="block-in-3",
        title="More straight lines",
        teaches=(
            "The same outline in about twice as many lines. Cut off the corners of the stage before; do not start "
            "anew. Where your line and this one part, look which of the two corners is misplaced rather than bending "
            "the line."
        ),
        tolerance="exact",
        make=form_kinds.make_more_lines,
        group="construction",
    ),
    ContourKind(
        name="block-in-4",
        title="Finished contour",
        teaches=(
            "The outline as it is, the edges inside it where one part stands before another, and the main edge between "
            "light and shadow. That edge is drawn as carefully as the outline: with these three a drawing is ready to "
            "be shaded."
        ),
        tolerance="exact",
        make=form_kinds.make_finished,
        group="construction",
    ),
    FormKind(
        name="lines",
        title="Line drawing",
        teaches=(
            "The form in line alone: heavy where it ends, lighter where it folds or sinks, nearer lines stronger than "
            "far ones. Lay it over your own line drawing, or copy it for the weight of its lines. Notice how many "
            "edges are left out, and where a line stops before it meets the next."
        ),
        tolerance="exact",
        make=form_kinds.make_lines,
        group="construction",
    ),
    FormKind(
        name="sections-level",
        title="Level sections",
        teaches=(
            "The model cut by level planes, like the layers of a stack of boards. Where the lines lie close the form "
            "faces up or down, where they stand apart it stands upright, and where they bend it turns. Count up from "
            "the base by the heavy lines; draw three of them across your own drawing before you shade, and let the "
            "hatching follow."
        ),
        tolerance="exact",
        make=partial(form_kinds.make_sections, family="level"),
        group="form",
    ),
    FormKind(
        name="sections-upright",
        title="Upright sections",
        teaches=(
            "The model cut by upright planes from front to back, so that every line is a profile. Follow the heavy one "
            "down the middle first, then its neighbours: what changes from one to the next is how the form turns away. "
            "From straight in front they look straight; turn to another view or to the slanting sections."
        ),
        tolerance="exact",
        make=partial(form_kinds.make_sections, family="upright"),
        group="form",
    ),
    FormKind(
        name="sections-oblique",
        title="Slanting sections",
        teaches=(
            "The model cut by planes that lean back. They run round the form as a sleeve does round an arm, and show "
            "from in front what level and upright lines hide there. Draw your own line across a form you find hard, "
            "then look here whether it bends in the same places."
        ),
        tolerance="exact",
        make=partial(form_kinds.make_sections, family="oblique"),
        group="form",
    ),
    FormKind(
        name="measures",
        title="Measures",
        teaches=(
            "A pencil held at arm's length measures this view: width against height, a unit counted down and across, "
            "what stands plumb or level with what, how the main lines tilt, and where your own eye level falls. "
            "Measure first and write it down; then open the answers one by one and see which of your guesses was "
            "furthest out."
        ),
        tolerance="exact",
        make=form_kinds.make_measures,
        group="measure",
    ),
    FormKind(
        name="grid",
        title="Grid",
        teaches=(
            "Squares over the whole picture, with letters across and numbers down. Rule the same number of squares on "
            "your paper, lightly, and copy where the outline crosses each line before you draw what lies between. Rub "
            "the grid out as soon as the large shapes stand; it measures for you, and you learn by measuring yourself."
        ),
        tolerance="exact",
        make=form_kinds.make_grid,
        group="measure",
    ),
    FormKind(
        name="sight-size",
        title="Marks for sight-size",
        teaches=(
            "Where the subject begins, ends and has its half, upright and across, with plumb and level lines to hang "
            "the drawing on. The lengths are millimetres on the printed sheet. Mark top, foot and half on your paper "
            "first and do not move them; judge every other height from these, stepping back to compare."
        ),
        tolerance="exact",
        make=form_kinds.make_sight_size,
        group="measure",
    ),
)
