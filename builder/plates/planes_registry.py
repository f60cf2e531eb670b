"""The plate kinds of planes: one for each level."""

from __future__ import annotations

from functools import partial

from builder.plates.planes import make_planes
from builder.plates.plate import PlanesKind

PLANES_KINDS: tuple[PlanesKind, ...] = (
    PlanesKind(
        name="planes-big",
        title="Big planes",
        teaches=(
            "The model cut to its few biggest planes, each in one flat value, with the shadow that falls across it in "
            "a second. Name each plane by the way it faces, top, side, front or under, and say which of them the lamp "
            "strikes most squarely. Lay in these values before any rounding: a head that reads as a block at arm's "
            "length will still read when it is finished."
        ),
        tolerance="shaded",
        make=partial(make_planes, level=0),
        level=0,
        group="planes",
    ),
    PlanesKind(
        name="planes-middle",
        title="Middle planes",
        teaches=(
            "Each big plane divided into the planes it is built of, and lit by the same lamp. Find the edge where two "
            "planes meet, then look for that turn in the tone plate, where it is softened but in the same place. Two "
            "planes of one value may face different ways: put the edge in all the same, and see what it does."
        ),
        tolerance="shaded",
        make=partial(make_planes, level=1),
        level=1,
        group="planes",
    ),
    PlanesKind(
        name="planes-small",
        title="Small planes",
        teaches=(
            "The planes that carry the features, still flat and still few enough to count. Use it late, to settle one "
            "passage at a time: compare the value of each plane with its neighbours, and keep it inside the value of "
            "the big plane that it was cut from. Model from plane to plane, not from dark to light."
        ),
        tolerance="shaded",
        make=partial(make_planes, level=2),
        level=2,
        group="planes",
    ),
)
