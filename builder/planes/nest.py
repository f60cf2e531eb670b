"""Which bigger plane each smaller one is cut from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Ints
from builder.model.triangles import Indices, Triangles
from builder.planes.straighten import Labelled


@dataclass(frozen=True, slots=True, eq=False)
class Nest:
    """Of each label (k,) its bigger plane, and whether that crosses the mirror, so that the smaller one may too."""

    parent: Indices
    crosses: Bools


def open_nest(labelled: Labelled) -> Nest:
    """What the biggest planes are gathered in: all of it."""
    count = len(labelled.span)
    return Nest(np.zeros(count, np.int64), np.ones(count, np.bool_))


def nested(fine: Labelled, outer: Labelled) -> tuple[Labelled, Nest]:
    """The fine labels, each in the bigger plane that most of it lies in, so that every bigger plane has one at least.

    Where none is left to a bigger plane, the label that covers most of it is cut along its border.
    """
    skin, many = fine.skin, len(outer.span)
    area = np.linalg.norm(Triangles(skin.vertices, skin.faces).crosses(), axis=1) + 1e-300
    label, span = fine.label.copy(), fine.span.copy()
    for _ in range(many + 1):
        count = len(span)
        shared = np.bincount(label * many + outer.label, area, count * many).reshape(count, many)
        parent = np.argmax(shared, axis=1)
        empty = np.flatnonzero(np.bincount(parent, minlength=many) == 0)
        if len(empty) == 0:
            break
        piece = int(empty[0])
        from_label = int(np.argmax(shared[:, piece]))
        label[(label == from_label) & (outer.label == piece)] = count
        span = np.append(span, span[from_label])
    return Labelled(skin, label, span, fine.mirrored), Nest(parent, outer.span[parent])


def parents(parent: Indices, span: Bools, outer_span: Bools | None, mirrored: bool) -> Ints:
    """(k,) of each plane the one of the bigger level that it is part of; ``parent`` is of the half where it is half.

    Planes that have an image are followed by the images, in their order. -1 without ``outer_span``.
    """
    paired = np.flatnonzero(~span) if mirrored else np.zeros(0, np.int64)
    if outer_span is None:
        return np.full(len(span) + len(paired), -1, np.int32)
    image = np.arange(len(outer_span))
    image[~outer_span] = len(outer_span) + np.arange(int((~outer_span).sum()))
    return np.concatenate([parent, image[parent[paired]]]).astype(np.int32)
