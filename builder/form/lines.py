"""The line drawing: the contours of the form and the lines that explain it inside them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from builder.arrays import Floats
from builder.form.breaks import Break, Breaks, find_breaks
from builder.form.chains import Chain, find_chains, joined
from builder.form.crowding import Laid, free_runs
from builder.form.curvature import curvature_of
from builder.form.looked import Looked
from builder.form.occluding import SHORTEST as CRUMB
from builder.form.occluding import length_px, occluding_chains, silhouette_chains
from builder.form.ridges import find_ridges
from builder.form.smoothing import smooth_line
from builder.form.stroke import Drawing, Stroke

TITLE = "Line drawing"
FAINTEST = 12.0
"""Bends at which lines in hollows and on ridges end: radians over a way as long as the sculpture. A ball's is 2 in its
middle."""
BENDS = {"hollow": 25.0, "ridge": 40.0}
"""Bends that such a line reaches over a third of its length, or it is left out. Hollows, where shadow gathers, are
drawn sooner than ridges, as draughtsmen do: common practice, no source."""
SHORTEST = 1 / 40
"""Hollows and ridges shorter than this share of the picture's shorter side are left out; of other lines inside the form
those shorter than :data:`~builder.form.occluding.SHORTEST`."""
NEAR = 1 / 240
"""Lines nearer to each other than this share of the picture's shorter side, running side by side, become one."""
NEAR_RIDGES = 1 / 100
"""The same for two ridges: a narrow rounded edge has one on either side."""
STEP_ASIDE_DEG = 50.0
"""Where one of these ends and the other goes on, they become one line if it turns by no more than this."""
BEND_STEP_PX, BEND_ROUNDS, BEND_CORNER_DEG = 2.5, 16, 80.0
"""How hollows and ridges are smoothed (:func:`~builder.form.smoothing.smooth_line`): they wander by as much as a
triangle is wide."""
JOIN_DEG = 25.0
"""Hollows and ridges that go on in each other's direction, to within this, over half of their least length are one."""
_SCRAP = 6
"""Breaks of the shortest pieces of which lines are joined."""
WEIGHTS = {
    "silhouette": (2.0, 2.0),
    "occluding": (1.0, 1.7),
    "crease": (0.8, 1.3),
    "stand": (0.6, 0.8),
    "hollow": (0.6, 1.2),
    "ridge": (0.6, 0.9),
}
"""Weight of a kind of line at the farthest place of the sculpture that is seen and at the nearest."""


def line_drawing(looked: Looked, breaks: Breaks | None = None) -> Drawing:
    """Silhouette, occluding contours, creases, and apparent ridges in hollows and on ridges
    (:mod:`builder.form.ridges`), each only where it is seen; and the plinth's edges, thin.

    Kinds of its strokes are the keys of :data:`WEIGHTS`. A hollow or ridge that would run beside another line is left
    out there; of two, that with the lesser bend times length. ``breaks`` are the view's, if known already.
    """
    eye = looked.eye
    side = min(eye.width_px, eye.height_px)
    near, far = _reach(looked)
    gap = round(NEAR * side)
    laid = Laid(eye.width_px, eye.height_px, NEAR * side)
    ridges = Laid(eye.width_px, eye.height_px, NEAR_RIDGES * side)
    found: list[tuple[str, Chain]] = []
    for kind, chain in _lines(looked, find_breaks(looked) if breaks is None else breaks, SHORTEST * side):
        pieces = [chain]
        if kind in BENDS:
            free = laid.free(chain.points)
            if kind == "ridge":
                free &= ridges.free(chain.points)
            # ridges stop short of each other: they are joined below
            runs = free_runs(free, chain.closed, 2 * gap, 0 if kind == "ridge" else gap)
            pieces = [Chain(chain.points[run], chain.depth[run], chain.jump[run], closed) for run, closed in runs]
        for piece in pieces:
            if kind == "silhouette" or length_px(piece) >= (SHORTEST if kind in BENDS else CRUMB) * side:
                found.append((kind, piece))
                laid.lay(piece.points)
                if kind == "ridge":
                    ridges.lay(piece.points)
    rounded = joined([chain for kind, chain in found if kind == "ridge"], 2 * NEAR_RIDGES * side, STEP_ASIDE_DEG)
    whole = [*(line for line in found if line[0] != "ridge"), *(("ridge", chain) for chain in rounded)]
    strokes = [
        Stroke(_smooth(chain, kind), kind, _weight(kind, chain, near, far), chain.closed) for kind, chain in whole
    ]
    return Drawing(TITLE, eye.width_px, eye.height_px, tuple(strokes))


def _lines(looked: Looked, breaks: Breaks, shortest_px: float) -> Iterator[tuple[str, Chain]]:
    """Every line with its kind, the more important first; hollows and ridges are ``shortest_px`` long or longer."""
    model = looked.model
    for chain in silhouette_chains(breaks):
        yield "silhouette", chain
    for chain in occluding_chains(breaks, looked):
        yield "occluding", chain
    for chain in find_chains(breaks, Break.CREASE):
        yield "crease", chain
    for chain in find_chains(breaks, Break.STAND):
        yield "stand", chain
    found = zip(BENDS.items(), find_ridges(looked, curvature_of(model), breaks, FAINTEST / model.size_mm), strict=True)
    bends = [
        (kind, chain)
        for (kind, least), lines in found
        for chain in joined(find_chains(lines, Break.BEND, least_breaks=_SCRAP), shortest_px / 2, JOIN_DEG)
        if length_px(chain) >= shortest_px and np.quantile(chain.jump, 2 / 3) * model.size_mm >= least
    ]
    yield from sorted(bends, key=lambda line: -float(line[1].jump.sum()))


def _smooth(chain: Chain, kind: str) -> Floats:
    if kind in BENDS:
        return smooth_line(chain.points, chain.closed, BEND_ROUNDS, BEND_STEP_PX, BEND_CORNER_DEG)[0]
    return smooth_line(chain.points, chain.closed)[0]


def _reach(looked: Looked) -> tuple[float, float]:
    """Depths of the sculpture's nearest and farthest places that are seen, mm."""
    eye = looked.eye
    depth = (eye.position - looked.footing.point[looked.subject]) @ eye.world_from_camera[:3, 2]
    return float(depth.min()), float(depth.max())


def _weight(kind: str, chain: Chain, near: float, far: float) -> float:
    """Heavier where the line lies nearer."""
    farthest, nearest = WEIGHTS[kind]
    share = (far - float(np.median(chain.depth))) / max(far - near, 1e-9)
    return farthest + (nearest - farthest) * min(max(share, 0.0), 1.0)
