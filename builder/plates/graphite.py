"""The pencil range: the picture brought into what graphite on white paper can reach, its two families kept apart.

Paper is not as light as a lit plaster seems beside it, and graphite is far from black. What a pencil can reach stays as
it is; darker and lighter values are drawn together until they fit. And the draughtsman's rule is kept that no shadow is
as light as the darkest light of the same surface (common practice, no source): where light thrown back into a shadow is
lighter than a halftone, the two families are moved apart, each keeping the order within itself. It holds for each
surface by itself, since a dark wall in the light may well be darker than a white cast in the shadow. Along a soft edge
the shadow comes up to the border, so that the edge is drawn as soft as the lamp makes it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Bytes, Floats, Ints, Singles
from builder.form.footing import Footing
from builder.light.lit import Lit
from builder.light.value import luminance_of_value, value_of_luminance
from builder.model.model import Part
from builder.plates.arrival import nearness
from builder.plates.luminance import PixelLight

DARKEST_VALUE = 2.0
"""Soft graphite laid on heavily: it sends back about 3 % of the light, most of it as sheen. From memory, no source."""
PAPER_VALUE = 9.3
"""White drawing paper, bare: 83 % of the light. From memory, no source."""
PARTING = 0.2
"""Value steps that are left between the families where they would cross: about four codes of the 256 of a picture, the
least that shows as an edge. Chosen by eye."""

_ROOM = 0.3
"""Value steps that each family has at least, with half of the parting."""
_TAIL = 0.02
"""Share of a family's pixels at either end that may be squeezed more than the rest: stray pixels do not rule it."""
_TAIL_ROOM = 0.1
"""Part of a family's room that its tail gets when it is squeezed."""
_KEPT = 0.5
"""A family that must give way is first squeezed to this part of its own spread, then moved as a whole."""
_ENDS_SHARE, _END_ROOM = 0.001, 0.05
"""Share of the picture, at either end, and value steps kept for it, when the whole is brought into range."""
_DARK_KNEE, _LIGHT_KNEE = 4.0, 8.0
"""Values between these reach the drawing as they are."""
_LEVELS = 4096
"""Luminances are looked up in so many equal steps of their square root, straight between: within 2e-6 of a value."""
_SHADOW, _LIGHT = 0, 1

_TRUE = value_of_luminance((np.arange(_LEVELS + 1) / _LEVELS) ** 2)
_LUMINANCE = luminance_of_value(np.linspace(0.0, 10.0, 10 * 400 + 1))


def pencilled(lit: Lit, footing: Footing, light: PixelLight, in_light: Bools) -> Singles:
    """The luminance of every pixel as :func:`in_pencil_range` has it; in_light (h, w) bool, the pixels of the light
    family. Sculpture and plinth are one surface, the ground another. The backdrop is not drawn as a form: it is brought
    into range as a whole.
    """
    surface = np.where(footing.part == Part.PLINTH, Part.MODEL, footing.part).astype(np.uint8)
    formed = in_light | (footing.part == Part.BACKDROP)
    near = nearness(lit.emitters[0], footing, light.key, light.key_open, formed)
    return in_pencil_range(light.luminance, near, surface)


def in_pencil_range(luminance: Singles, near: Singles, surface: Bytes) -> Singles:
    """Luminance (h, w) float32 within what graphite on white paper can reach, the families of each surface apart.

    Black becomes :data:`DARKEST_VALUE`, white :data:`PAPER_VALUE`. On one surface every pixel of the shadow family is
    darker than every pixel of the light family; pixels of the light, and pixels of the shadow as near to it as each
    other, keep their order. Only pixels on the outline between two surfaces, which show both, may lie between these.

    Args:
        luminance: (h, w) float32, relative, clipped to 0..1.
        near: (h, w) float32, 1 for pixels of the light family, less for those of the shadow; see
            :func:`builder.plates.arrival.nearness`.
        surface: (h, w) uint8, a number for each surface.

    """
    met = np.zeros(256, np.bool_)
    _meet(surface, met)
    slot = (np.cumsum(met) - 1).astype(np.int32)
    counts = np.zeros((int(met.sum()), 2, _LEVELS + 1), np.int64)
    _count(luminance, near, surface, slot, counts)
    reached = _reached(counts.sum(axis=(0, 1)))
    # The value that shadow and light of each surface are drawn with, level by level, each with its rise to the next.
    apart = [_apart(reached, count[_SHADOW], count[_LIGHT]) for count in counts]
    values = np.stack([each[:2] for each in apart])
    table = np.stack([values, np.diff(values, axis=2, append=values[:, :, -1:])], axis=3).transpose(0, 2, 1, 3)
    table = np.ascontiguousarray(table.reshape(len(counts), _LEVELS + 1, 4), np.float32)
    edge = np.array([each[2] for each in apart], np.float32)
    value, painted = np.zeros(luminance.shape, np.float32), np.zeros(luminance.shape, np.float32)
    _draw(luminance, near, surface, slot, table, edge, value)
    _paint(luminance, surface, value, _LUMINANCE, painted)
    return painted


def _reached(count: Ints) -> Floats:
    """The value that each level is drawn with before the families are looked at, (n,), from the pixels of each."""
    low, high = _TRUE[_quantile(count, _ENDS_SHARE)], _TRUE[_quantile(count, 1.0 - _ENDS_SHARE)]
    true, drawn = [0.0], [DARKEST_VALUE]
    if low < DARKEST_VALUE:
        true += [max(low, _END_ROOM), _DARK_KNEE]
        drawn += [DARKEST_VALUE + _END_ROOM, _DARK_KNEE]
    else:
        true += [DARKEST_VALUE + 2 * _END_ROOM]
        drawn += [DARKEST_VALUE + 2 * _END_ROOM]
    if high > PAPER_VALUE - _END_ROOM:
        true += [_LIGHT_KNEE, min(high, 10.0 - _END_ROOM)]
        drawn += [_LIGHT_KNEE, PAPER_VALUE - _END_ROOM]
    else:
        true += [PAPER_VALUE - 2 * _END_ROOM]
        drawn += [PAPER_VALUE - 2 * _END_ROOM]
    return np.interp(_TRUE, [*true, 10.0], [*drawn, PAPER_VALUE])


def _apart(reached: Floats, shadow: Ints, light: Ints) -> tuple[Floats, Floats, float]:
    """The values that shadow and light of one surface are drawn with, (n,) each, from the pixels of each level; and the
    value that the shadow has at its soft edge, not a number where it is left as it is.

    Where they cross, the family that has fewer pixels gives way the more.
    """
    if not shadow.any() or not light.any() or np.flatnonzero(shadow)[-1] < np.flatnonzero(light)[0]:
        return reached, reached, np.nan
    most_shadow, least_light = reached[_quantile(shadow, 1.0 - _TAIL)], reached[_quantile(light, _TAIL)]
    yielding = shadow.sum() / (shadow.sum() + light.sum()) if most_shadow > least_light else 0.5
    border = least_light + yielding * (most_shadow - least_light)
    border = min(max(border, DARKEST_VALUE + _ROOM), PAPER_VALUE - _ROOM)
    below = _squeezed(reached, shadow, DARKEST_VALUE, border - PARTING / 2)
    # The lights are the same seen from the other end of the scale.
    above = _squeezed(-reached[::-1], light[::-1], -PAPER_VALUE, -border - PARTING / 2)
    return below, -above[::-1], np.nan if below is reached else border - PARTING / 2


def _squeezed(reached: Floats, count: Ints, least: float, most: float) -> Floats:
    """Values (n,) of a family brought between ``least`` and ``most``, in the same order; left alone where they fit."""
    # Pixels were counted at the nearest level: those of the first and last lie within a level to either side.
    levels = np.flatnonzero(count)
    first, last = reached[max(levels[0] - 1, 0)], reached[min(levels[-1] + 1, len(reached) - 1)]
    if last <= most:
        return reached
    bulk, room = reached[_quantile(count, 1.0 - _TAIL)], most - least
    start = most - max(_KEPT * (bulk - first), _TAIL_ROOM * room)
    start = min(first, max(start, least + _TAIL_ROOM * room))
    share = (bulk - first) / (last - first) if last > first else 1.0
    knee = min(bulk, start + max(1.0 - _TAIL_ROOM, share) * (most - start))
    from_, to = [least], [least]
    for here, there in ((first, start), (bulk, knee), (last, most)):
        if here > from_[-1]:
            from_.append(here)
            to.append(there)
    return np.interp(reached, from_, to)


def _quantile(count: Ints, share: float) -> int:
    """The level that this share of the pixels does not pass."""
    return int(np.searchsorted(np.cumsum(count), share * count.sum()))


@njit(cache=True, nogil=True)
def _meet(surface: Any, met: Any) -> None:
    """Mark the numbers that occur."""
    for y in range(surface.shape[0]):
        for x in range(surface.shape[1]):
            met[surface[y, x]] = True


@njit(cache=True, nogil=True)
def _count(luminance: Any, near: Any, surface: Any, slot: Any, counts: Any) -> None:
    """Count the pixels of each surface in shadow and light by the level nearest to their luminance."""
    level = np.zeros(luminance.shape[1], np.float32)
    for y in range(luminance.shape[0]):
        _level(luminance[y], counts.shape[2] - 1, level)
        for x in range(luminance.shape[1]):
            family = 1 if near[y, x] >= np.float32(1.0) else 0
            counts[slot[surface[y, x]], family, int(level[x] + np.float32(0.5))] += 1


@njit(cache=True, nogil=True)
def _draw(luminance: Any, near: Any, surface: Any, slot: Any, table: Any, edge: Any, value: Any) -> None:
    """The value of each pixel.

    table (surfaces, levels + 1, 4): shadow, its rise to the next level, light, its rise; edge (surfaces,): the value
    of the shadow at its soft edge.
    """
    level = np.zeros(luminance.shape[1], np.float32)
    for y in range(luminance.shape[0]):
        _level(luminance[y], table.shape[1] - 1, level)
        for x in range(luminance.shape[1]):
            i, s = int(level[x]), slot[surface[y, x]]
            part = level[x] - np.float32(i)
            if near[y, x] >= np.float32(1.0):
                value[y, x] = table[s, i, 2] + part * table[s, i, 3]
                continue
            value[y, x] = table[s, i, 0] + part * table[s, i, 1]
            if edge[s] > value[y, x]:
                value[y, x] += near[y, x] * (edge[s] - value[y, x])


@njit(cache=True, nogil=True)
def _level(luminance: Any, steps: int, level: Any) -> None:
    """The level of each luminance of a row, whole numbers being the levels themselves."""
    for x in range(len(luminance)):
        clipped = min(max(luminance[x], np.float32(0.0)), np.float32(1.0))
        level[x] = np.sqrt(clipped) * np.float32(steps)


@njit(cache=True, nogil=True)
def _paint(luminance: Any, surface: Any, value: Any, luminances: Any, painted: Any) -> None:
    """The luminance of each pixel's value, looked up among those of even steps of value from 0 to 10.

    A pixel beside another surface may show something of both, and fit the values of neither: if it lies between its two
    neighbours in truth, it is kept between them in the drawing, so that no outline gets a rim.
    """
    h, w = value.shape
    scale = (len(luminances) - 1) / 10.0
    for y in range(h):
        for x in range(w):
            here, own = value[y, x], surface[y, x]
            if 0 < x < w - 1 and (surface[y, x - 1] != own or surface[y, x + 1] != own):
                here = _kept(here, luminance[y, x - 1 : x + 2], value[y, x - 1], value[y, x + 1])
            elif 0 < y < h - 1 and (surface[y - 1, x] != own or surface[y + 1, x] != own):
                here = _kept(here, luminance[y - 1 : y + 2, x], value[y - 1, x], value[y + 1, x])
            step = here * scale
            k = int(step)
            painted[y, x] = luminances[k] + (step - k) * (luminances[k + 1] - luminances[k])


@njit(cache=True, nogil=True)
def _kept(value: Any, luminance: Any, before: Any, after: Any) -> Any:
    """The value, between those before and after it if the middle of the three luminances lies between the outer two."""
    if min(luminance[0], luminance[2]) <= luminance[1] <= max(luminance[0], luminance[2]):
        return min(max(value, min(before, after)), max(before, after))
    return value
