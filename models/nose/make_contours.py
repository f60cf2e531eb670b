"""Draw the contours of the study nose: a form of our own, cut level at the heights of its contours.

    python models/nose/make_contours.py

writes contours.svg, profile.yml and landmarks.yml beside this file. The nose is invented: no person and no cast was
measured. Millimetres: x to the model's left, z up from the base; depth y is 0 at the back plane, and lower in front.
"""

import argparse
from pathlib import Path

import numpy as np
import shapely
from form import HALF_WIDTH_MM, HEIGHT_MM, nose
from skimage.measure import find_contours

HERE = Path(__file__).resolve().parent
HEIGHTS_MM = (0, 14, 28, 33, 37, 41, 46, 53, 63, 81, 102, 119, 135, 153, 167, 176)
"""Of the contours, the footprint's first: close together where the form turns fast."""
STEP_MM = 0.5
DEEPEST_MM = 116.0
FLAT_MM = 0.04
"""The lines drawn keep this near to the form's."""
EDGE_MM = 10.0
"""White round the drawing."""
WINGS_MM, BROWS_MM, SOCKETS_MM, CHEEKS_MM = 53, 153, 119, 63
"""Heights of the contours on which landmarks stand."""


def contour(height_mm):
    """(n, 2) x and y of the outline at a height, from the back on the right over the front to the back on the left.

    Hollows that are closed all round, which no open contour can show, are left out.
    """
    x = np.arange(0.5 * STEP_MM, HALF_WIDTH_MM + 4.0, STEP_MM)
    f = np.arange(-8.0, DEEPEST_MM, STEP_MM)
    half = nose(x[None, :], f[:, None], np.float64(height_mm))
    found = find_contours(np.hstack([half[:, ::-1], half]), 0.0)
    around = max(found, key=lambda line: np.ptp(line[:, 1]))
    ring = np.column_stack([STEP_MM * around[:, 1] - x[-1], -(f[0] + STEP_MM * around[:, 0])])
    behind = shapely.box(-200.0, 0.0, 200.0, 50.0)
    front = shapely.line_merge(shapely.difference(shapely.LinearRing(ring), behind))
    line = shapely.get_coordinates(shapely.simplify(front, FLAT_MM))
    return line if line[0, 0] < 0 else line[::-1]


def profile():
    """(n, 2) depth y and height of the front edge in the plane x = 0, from the base up."""
    step = 0.25
    z = np.arange(0.0, HEIGHT_MM + 0.5, 1.0)
    f = np.arange(0.0, DEEPEST_MM, step)
    field = nose(np.float64(0.0), f[None, :], z[:, None])
    last = len(f) - 1 - np.argmax(field[:, ::-1] < 0, axis=1)
    rows = np.arange(len(z))
    inner, outer = field[rows, last], field[rows, last + 1]
    line = np.column_stack([-(f[last] + step * inner / (inner - outer)), z])
    return shapely.get_coordinates(shapely.simplify(shapely.LineString(line), FLAT_MM))


def drawing(contours):
    """The SVG text: all contours over one another, seen from above, the front lowest."""
    points = np.concatenate(contours)
    half = np.ceil(np.abs(points[:, 0]).max()) + EDGE_MM
    deep = np.ceil(-points[:, 1].min()) + 2 * EDGE_MM
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{2 * half:.0f}mm" height="{deep:.0f}mm" '
        f'viewBox="{-half:.0f} {-EDGE_MM:.0f} {2 * half:.0f} {deep:.0f}" fill="none" stroke="#000" stroke-width="0.2">',
        "<title>A nose: contours at true scale, seen from above, the front at the bottom</title>",
        '<circle id="origin" cx="0" cy="0" r="1"/>',
    ]
    for number, line in enumerate(contours, 1):
        places = " ".join(f"{x:.2f},{abs(y):.2f}" for x, y in line)
        lines.append(f'<path id="contour-{number}" d="M{places}"/>')
    return "\n".join([*lines, "</svg>", ""])


def landmarks(contours, front):
    """Map each name to (x, y, z) mm, all of them on a contour or on the profile, as the study has them: x and y are 0
    under the middle of the form.
    """
    at = dict(zip(HEIGHTS_MM, contours, strict=True))
    y, z = front.T

    def foremost(low, high, sign=1):
        kept = np.flatnonzero((z >= low) & (z <= high))
        place = kept[np.argmin(sign * y[kept])]
        return (0.0, y[place], z[place])

    wing = at[WINGS_MM][at[WINGS_MM][:, 1] < -50.0]
    named = {
        "middle of the lip": (0.0, y[0], z[0]),
        "base of the nose": (0.0, np.interp(30.0, z, y), 30.0),
        "tip of the nose": foremost(45, 75),
        "break of the bridge": (0.0, np.interp(103.0, z, y), 103.0),
        "root of the nose": foremost(118, 140, -1),
        "point between the brows": foremost(140, 165),
    }
    sides = {
        "wing of the nose": (*wing[np.argmax(wing[:, 0])], WINGS_MM),
        "brow": _crossing(at[BROWS_MM], 30.0, BROWS_MM),
        "inner corner of the socket": _crossing(at[SOCKETS_MM], 25.0, SOCKETS_MM),
        "cheek": _crossing(at[CHEEKS_MM], 46.0, CHEEKS_MM),
        "top corner of the slab": (HALF_WIDTH_MM, 0.0, HEIGHT_MM),
    }
    for name, (x, depth, height) in sides.items():
        named |= {f"left {name}": (x, depth, height), f"right {name}": (-x, depth, height)}
    low = min(y.min(), *(line[:, 1].min() for line in contours))
    return {name: (x, depth - low / 2, height) for name, (x, depth, height) in named.items()}


def _crossing(line, x, height_mm):
    """The foremost place of a contour at x."""
    place = shapely.intersection(shapely.LineString(line), shapely.LineString([(x, -200.0), (x, 1.0)]))
    return (x, shapely.get_coordinates(place)[:, 1].min(), height_mm)


def main():
    """Cut, draw and write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    out = parser.parse_args().out
    contours, front = [contour(height) for height in HEIGHTS_MM], profile()
    points = ", ".join(f"[{y:.2f}, {z:.0f}]" for y, z in front)
    marks = [f"{name}: [{x:.1f}, {y:.1f}, {z:.1f}]" for name, (x, y, z) in landmarks(contours, front).items()]
    for name, text in (
        ("contours.svg", drawing(contours)),
        ("profile.yml", f"[{points}]\n"),
        ("landmarks.yml", "\n".join([*marks, ""])),
    ):
        (out / name).write_text(text, "utf-8", newline="\n")


if __name__ == "__main__":
    main()
