"""The nose, part by part: bridge, ball, wings, nostrils, lip, cheeks and brow on a slab."""

import numpy as np
from clay import ball, block, hollowed, joined, met, roll
from scipy.interpolate import CubicSpline

HALF_WIDTH_MM = 66.0
HEIGHT_MM = 176.0
SLAB_MM = 22.0
"""Thickness of the slab."""
BRIDGE = np.array(
    [  # height; front of the ridge; its half width; foot of the side wall: aside, forward
        (30.0, 90.0, 13.0, 31.0, 46.0),
        (50.0, 91.0, 12.5, 31.0, 46.0),
        (62.0, 88.6, 11.0, 31.0, 45.0),
        (74.0, 82.2, 9.3, 30.0, 43.5),
        (87.0, 75.0, 8.2, 27.5, 41.5),
        (103.0, 67.8, 9.6, 24.0, 39.5),
        (117.0, 58.8, 8.2, 20.5, 37.5),
        (130.0, 53.0, 7.0, 18.0, 35.5),
        (146.0, 53.0, 8.0, 19.0, 34.0),
    ]
)
"""Broadest where bone turns into cartilage, at 103 mm."""


def nose(x, f, z):
    """Signed distance in mm of places from the whole form, left and right alike."""
    side = np.abs(x)
    clay = joined(_slab(side, f, z), _face(side, f, z), 16.0)
    clay = hollowed(clay, _sockets(side, f, z), 20.0)
    clay = joined(clay, _bridge(side, f, z), 10.0)
    clay = joined(clay, _tip(side, f, z), 12.0)
    clay = joined(clay, _wings(side, f, z), 7.0)
    clay = joined(clay, _columella(side, f, z), 8.0)
    clay = joined(clay, _sill(side, f, z), 10.0)
    clay = hollowed(clay, _creases(side, f, z), 4.0)
    clay = hollowed(clay, _nostrils(side, f, z), 3.0)
    clay = hollowed(clay, _philtrum(side, f, z), 7.0)
    return np.maximum(clay, side - HALF_WIDTH_MM)  # the slab's sides stay flat where a fillet swells


def _slab(x, f, z):
    # reaches past base, back and top, where the contours end it
    return block(x, f, z, (-HALF_WIDTH_MM, -30.0, -30.0), (HALF_WIDTH_MM, SLAB_MM, HEIGHT_MM + 30.0), 3.0)


def _face(x, f, z):
    """Cheeks, the mass over the teeth, and the brow."""
    cheek = ball(x, f, z, (30.0, 12.0, 62.0), (26.0, 26.0, 60.0))
    teeth = ball(x, f, z, (0.0, 14.0, 2.0), (42.0, 38.0, 56.0))
    brow = roll(
        x, f, z, [(-14, 34, 153, 18), (0, 36, 152, 20), (14, 34, 153, 18), (30, 26, 153, 15), (46, 14, 148, 12)]
    )
    middle = ball(x, f, z, (0.0, 10.0, 100.0), (26.0, 33.0, 80.0))
    return joined(joined(joined(middle, teeth, 20.0), cheek, 24.0), brow, 22.0)


def _sockets(x, f, z):
    return ball(x, f, z, (39.0, 45.0, 125.0), (19.0, 15.5, 18.0))


def _bridge(x, f, z):
    """A flat ridge with a plane on each side, down to the level of the nostrils."""
    kept = np.clip(z, BRIDGE[0, 0], BRIDGE[-1, 0])
    front, width, aside, ahead = np.moveaxis(CubicSpline(BRIDGE[:, 0], BRIDGE[:, 1:])(kept), -1, 0)
    over = (f - front) * 0.88  # the ridge leans back by about 28 degrees
    run, rise = aside - width, front - ahead
    beside = ((x - width) * rise + (f - front) * run) / np.sqrt(run * run + rise * rise)
    wedge = met(over, beside, 7.0)
    wedge = met(wedge, 34.0 + 0.45 * (f - 52.0) - z, 8.0)
    return met(wedge, z - 146.0, 10.0)


def _tip(x, f, z):
    middle = ball(x, f, z, (0.0, 75.0, 58.0), (17.0, 18.5, 15.0))
    dome = ball(x, f, z, (6.5, 79.0, 57.5), (10.5, 12.5, 11.5))
    return joined(middle, dome, 8.0)


def _wings(x, f, z):
    return ball(x, f, z, (24.0, 60.0, 47.5), (10.5, 22.5, 14.0), lean_deg=18.0, turn_deg=-18.0)


def _creases(x, f, z):
    knots = [(37, 44, 42, 0.4), (37.5, 46, 49, 1.5), (34.5, 52, 58, 1.7), (29, 60, 63.5, 1.2), (24, 68, 66, 0.2)]
    return roll(x, f, z, knots)


def _columella(x, f, z):
    return roll(x, f, z, [(0, 82, 50.5, 7), (0, 70, 44.5, 5.8), (0, 60, 39.5, 6), (0, 51, 34.5, 7), (0, 44, 28, 9)])


def _sill(x, f, z):
    """The soft step from the lip to the nostrils."""
    return roll(x, f, z, [(-13, 43, 27, 8), (0, 44, 26, 8), (13, 43, 27, 8), (25, 39, 29, 7)])


def _nostrils(x, f, z):
    return ball(x, f, z, (14.0, 65.0, 37.0), (5.5, 15.0, 9.0), lean_deg=26.0, turn_deg=-17.0)


def _philtrum(x, f, z):
    return roll(x, f, z, [(0, 60, 28, 4.5), (0, 61, 14, 5.5), (0, 62, -4, 6.5)])
