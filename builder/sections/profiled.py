"""The form between contours led along the profile."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.ndimage import gaussian_filter1d
from shapely import MultiPolygon

from builder.arrays import Floats, Singles
from builder.sections.field import distances, joined
from builder.sections.lattice import Lattice
from builder.sections.sections import Sections
from builder.sections.sliced import polygons, rings_of

BESIDE = 0.1
"""So far to each side of its plane the profile leads the form, as a share of the form's height."""
STEEPEST = 10.0
"""A distance in the profile's plane is taken for one in a contour's plane up to so many times as great or small."""
EVENED = 2.0
"""In steps of the grid: distances are compared by their means over so much (a bell's width), as each is nothing
somewhere.
"""


def led(field: Singles, levels: Floats, lattice: Lattice, sections: Sections) -> Singles:
    """Signed distances (c, b, a) from the first contour's layer to the last, changed so that their sign in the plane of
    the profile is the profile's.

    ``levels`` (k, b, a) are those of the contours themselves. What is added is the difference, in the profile's plane,
    of the profile's own distances and the joined ones; it is nothing in the contours' planes, and fades to nothing
    :data:`BESIDE` the plane as (1 - t^2)^3. The profile's distances are first scaled, by a factor above 0 that is
    joined over the height too, to be the contours' own where they meet.
    """
    assert sections.profile is not None
    layers = lattice.layers_mm[lattice.at[0] : lattice.at[-1] + 1]
    heights = lattice.layers_mm[lattice.at]
    rows = lattice.at - lattice.at[0]
    flat = np.stack(np.meshgrid(lattice.y_mm, layers), axis=2)
    wanted = distances(rings_of(_without_ends(sections.profile, heights[0], heights[-1])), flat)
    here = _in_plane(field, lattice, sections.profile_x_mm)
    known = _in_plane(levels, lattice, sections.profile_x_mm)
    steep = (_evened(known) / _evened(wanted[rows])).clip(1 / STEEPEST, STEEPEST)
    off = wanted * np.exp(joined(np.log(steep), heights, layers)) - here
    off -= joined(off[rows], heights, layers)
    aside = (lattice.x_mm - sections.profile_x_mm) / (BESIDE * (layers[-1] - layers[0]))
    fade = (1.0 - np.minimum(np.square(aside), 1.0)) ** 3
    changed = field.copy()
    for column in np.flatnonzero(fade):
        changed[:, :, column] += fade[column] * off
    return changed


def _without_ends(profile: Floats, low: float, high: float) -> MultiPolygon:
    """The profile from the first contour's height to the last, gone on straight up and down: its own ends are none of
    the form's between contours.
    """
    whole = shapely.make_valid(shapely.Polygon(profile))
    (first, _), (last, _) = profile.min(axis=0), profile.max(axis=0)
    far, hair = high - low, 1e-6 * (high - low)
    parts = [shapely.intersection(whole, shapely.box(first, low, last, high))]
    for height, end in ((low + hair, low - far), (high - hair, high + far)):
        chords = shapely.intersection(whole, shapely.LineString([(first - 1.0, height), (last + 1.0, height)]))
        for chord in shapely.get_parts(chords):
            left, _, right, _ = chord.bounds
            parts.append(shapely.box(left, min(height, end), right, max(height, end)))
    return polygons(shapely.union_all(parts))


def _evened(distance: Floats) -> Floats:
    """Mean size of distances (n, b) along their rows."""
    return np.asarray(gaussian_filter1d(np.abs(distance), EVENED, axis=1, mode="nearest"))


def _in_plane(field: Floats | Singles, lattice: Lattice, x_mm: float) -> Floats:
    """(n, b) a field (n, b, a) in the plane."""
    place = (x_mm - lattice.x_mm[0]) / lattice.step_mm
    low = int(np.clip(np.floor(place), 0, field.shape[2] - 2))
    part = place - low
    return np.asarray((1 - part) * field[:, :, low] + part * field[:, :, low + 1], np.float64)
