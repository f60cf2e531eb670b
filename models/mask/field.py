"""A small sculpting table: a signed distance grid, shapes to add or cut, and sandpaper.

Sculpting frame, millimetres: x to the viewer's right, y up, z towards the viewer.
Negative values are inside the clay. Nothing here knows about faces.
"""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates

FAR_MM = 50.0


def smooth_union(a, b, blend_mm):
    """Cubic smooth minimum of two distance arrays; blend_mm is the width of the fillet."""
    if blend_mm <= 0:
        return np.minimum(a, b)
    h = np.maximum(blend_mm - np.abs(a - b), 0.0) / blend_mm
    return np.minimum(a, b) - h * h * h * (blend_mm / 6.0)


def rotation(about_x_deg=0.0, about_y_deg=0.0, about_z_deg=0.0):
    """3x3 rotation Rz Ry Rx."""
    ax, ay, az = np.radians([about_x_deg, about_y_deg, about_z_deg])
    rx = [[1, 0, 0], [0, np.cos(ax), -np.sin(ax)], [0, np.sin(ax), np.cos(ax)]]
    ry = [[np.cos(ay), 0, np.sin(ay)], [0, 1, 0], [-np.sin(ay), 0, np.cos(ay)]]
    rz = [[np.cos(az), -np.sin(az), 0], [np.sin(az), np.cos(az), 0], [0, 0, 1]]
    return np.array(rz) @ np.array(ry) @ np.array(rx)


def spline(knots, steps_per_span=10):
    """Catmull-Rom curve through knots (n, m); returns (k, m) with the ends kept."""
    knots = np.asarray(knots, float)
    padded = np.vstack([2 * knots[0] - knots[1], knots, 2 * knots[-1] - knots[-2]])
    t = np.linspace(0, 1, steps_per_span, endpoint=False)[:, None]
    spans = []
    for p0, p1, p2, p3 in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        spans.append(
            0.5 * (2 * p1 + (p2 - p0) * t + (2 * p0 - 5 * p1 + 4 * p2 - p3) * t**2 + (3 * p1 - p0 - 3 * p2 + p3) * t**3)
        )
    return np.vstack([*spans, knots[-1:]])


@dataclass(frozen=True)
class Ellipsoid:
    """Ellipsoid with centre and radii in mm, turned by rx, ry, rz degrees."""

    centre: tuple
    radii: tuple
    turn_deg: tuple = (0.0, 0.0, 0.0)

    def bounds(self):
        """Lowest and highest corner (3,) of a box around the shape, mm."""
        axes = rotation(*self.turn_deg) * np.array(self.radii)
        reach = np.sqrt((axes**2).sum(axis=1))
        return self.centre - reach, self.centre + reach

    def distance(self, x, y, z):
        """Signed distance in mm at broadcast coordinates; negative inside."""
        turn = rotation(*self.turn_deg).T
        px, py, pz = x - self.centre[0], y - self.centre[1], z - self.centre[2]
        local = [turn[i, 0] * px + turn[i, 1] * py + turn[i, 2] * pz for i in range(3)]
        k0 = np.sqrt(sum((q / r) ** 2 for q, r in zip(local, self.radii, strict=True)))
        k1 = np.sqrt(sum((q / r**2) ** 2 for q, r in zip(local, self.radii, strict=True)))
        return k0 * (k0 - 1.0) / np.maximum(k1, 1e-6)


@dataclass(frozen=True)
class RoundedBox:
    """Box with half sizes in mm (edge rounding included)."""

    centre: tuple
    half: tuple
    round_mm: float = 0.0

    def bounds(self):
        """Lowest and highest corner (3,) of a box around the shape, mm."""
        return np.subtract(self.centre, self.half), np.add(self.centre, self.half)

    def distance(self, x, y, z):
        """Signed distance in mm at broadcast coordinates; negative inside."""
        q = [np.abs(v - c) - (h - self.round_mm) for v, c, h in zip((x, y, z), self.centre, self.half, strict=True)]
        outside = np.sqrt(sum(np.maximum(v, 0.0) ** 2 for v in q))
        inside = np.minimum(np.maximum(np.maximum(q[0], q[1]), q[2]), 0.0)
        return outside + inside - self.round_mm


@dataclass(frozen=True)
class Tube:
    """Round tube along a dense polyline of (x, y, z, radius) rows."""

    rows: np.ndarray

    @classmethod
    def through(cls, knots, steps_per_span=10):
        """A tube along the spline through (x, y, z, radius) knots."""
        return cls(spline(knots, steps_per_span))

    def bounds(self):
        """Lowest and highest corner (3,) of a box around the shape, mm."""
        centre, radius = self.rows[:, :3], self.rows[:, 3:]
        return (centre - radius).min(axis=0), (centre + radius).max(axis=0)

    def distance(self, x, y, z):
        """Signed distance in mm at broadcast coordinates; negative inside."""
        best = np.full(np.broadcast_shapes(x.shape, y.shape, z.shape), FAR_MM, np.float32)
        axes = (x.ravel(), y.ravel(), z.ravel())
        for start, end in zip(self.rows, self.rows[1:], strict=False):
            reach = max(start[3], end[3]) + 14.0
            window = tuple(
                slice(*np.searchsorted(axis, (min(s, e) - reach, max(s, e) + reach)))
                for axis, s, e in zip(axes, start[:3], end[:3], strict=True)
            )
            wx, wy, wz = x[window[0]], y[:, window[1]], z[:, :, window[2]]
            along = (end - start).astype(np.float32)
            length2 = max(float((along[:3] ** 2).sum()), 1e-9)
            px, py, pz = wx - start[0], wy - start[1], wz - start[2]
            t = np.clip((px * along[0] + py * along[1] + pz * along[2]) / length2, 0.0, 1.0)
            gap = np.sqrt((px - t * along[0]) ** 2 + (py - t * along[1]) ** 2 + (pz - t * along[2]) ** 2)
            view = best[window]
            np.minimum(view, gap - (start[3] + t * along[3]), out=view)
        return best


class Field:
    """Signed distance on a regular grid; x nodes sit at half cells so that it can be mirrored."""

    def __init__(self, low_mm, high_mm, step_mm, values=None):
        self.step_mm = step_mm
        self.low = np.asarray(low_mm, float)
        count = np.ceil((np.asarray(high_mm) - self.low) / step_mm).astype(int) + 1
        self.x, self.y, self.z = (
            (lo + step_mm * np.arange(n)).astype(np.float32) for lo, n in zip(self.low, count, strict=True)
        )
        self.values = np.full(tuple(count), FAR_MM, np.float32) if values is None else values

    def mirrored(self):
        """The whole grid, from a half that starts at x = step / 2."""
        whole = np.concatenate([self.values[::-1], self.values], axis=0)
        high = self.low + self.step_mm * (np.array(self.values.shape) - 1)
        low = np.array([-high[0], self.low[1], self.low[2]])
        return Field(low, high - 1e-6, self.step_mm, whole)

    def _window(self, low, high):
        shape = self.values.shape
        start = np.clip(np.floor((np.asarray(low) - self.low) / self.step_mm).astype(int), 0, shape)
        stop = np.clip(np.ceil((np.asarray(high) - self.low) / self.step_mm).astype(int) + 1, 0, shape)
        return tuple(slice(a, b) for a, b in zip(start, stop, strict=True))

    def _coordinates(self, window):
        return (self.x[window[0], None, None], self.y[None, window[1], None], self.z[None, None, window[2]])

    def add(self, shape, blend_mm=0.0):
        """Join a shape on with a fillet."""
        low, high = shape.bounds()
        margin = 2 * blend_mm + 12.0
        window = self._window(low - margin, high + margin)
        view = self.values[window]
        view[...] = smooth_union(view, shape.distance(*self._coordinates(window)), blend_mm)

    def cut(self, shape, blend_mm=0.0):
        """Take a shape away with a fillet."""
        low, high = shape.bounds()
        margin = 2 * blend_mm + 12.0
        window = self._window(low - margin, high + margin)
        view = self.values[window]
        view[...] = -smooth_union(-view, shape.distance(*self._coordinates(window)), blend_mm)

    def keep_inside(self, shape, blend_mm=0.0):
        """Cut away everything outside a shape, over the whole grid."""
        window = tuple(slice(0, n) for n in self.values.shape)
        self.values = -smooth_union(-self.values, -shape.distance(*self._coordinates(window)), blend_mm)

    def _bump(self, centre, radii, reach):
        window = self._window(np.subtract(centre, np.multiply(radii, reach)), np.add(centre, np.multiply(radii, reach)))
        parts = (
            np.exp(-0.5 * ((v - c) / r) ** 2) for v, c, r in zip(self._coordinates(window), centre, radii, strict=True)
        )
        gx, gy, gz = parts
        return window, gx * gy * gz

    def push(self, height_mm, centre, radii):
        """Swell the surface by height_mm (negative: press in) under a gaussian thumb."""
        window, bump = self._bump(centre, radii, 3.6)
        self.values[window] -= height_mm * bump

    def sand(self, sigma_mm, centre=None, radii=None):
        """Smooth everything, or only under a thumb that fades to nothing (flat in the middle)."""
        sigma = sigma_mm / self.step_mm
        if centre is None:
            self.values = gaussian_filter(self.values, sigma, mode="nearest" if self.low[0] < 0 else "reflect")
            return
        window, bump = self._bump(centre, radii, 3.0)
        weight = 1.0 - (1.0 - bump) ** 3
        pad = int(np.ceil(4 * sigma))
        wide = tuple(slice(max(s.start - pad, 0), s.stop + pad) for s in window)
        inner = tuple(slice(s.start - w.start, s.stop - w.start) for s, w in zip(window, wide, strict=True))
        smooth = gaussian_filter(self.values[wide], sigma, mode="reflect")[inner]
        self.values[window] += weight * (smooth - self.values[window])

    def front(self, xy):
        """Height z of the front-most surface over each (x, y) row; the grid's back where there is none."""
        inside = self.values < 0
        last = inside.shape[2] - 1 - np.argmax(inside[:, :, ::-1], axis=2)
        last = np.where(inside.any(axis=2), last, 0)
        nxt = np.minimum(last + 1, inside.shape[2] - 1)
        a = np.take_along_axis(self.values, last[..., None], 2)[..., 0]
        b = np.take_along_axis(self.values, nxt[..., None], 2)[..., 0]
        share = np.where(b > a, np.clip(-a / np.maximum(b - a, 1e-6), 0, 1), 0)
        height = self.z[0] + self.step_mm * (last + share)
        index = ((np.asarray(xy, float) - self.low[:2]) / self.step_mm).T
        return map_coordinates(height, index, order=1, mode="nearest")

    def laid(self, rows, steps_per_span=10):
        """A tube on the surface through (x, y, radius, lift) knots; lift is its centre's height over it."""
        curve = spline(rows, steps_per_span)
        z = self.front(curve[:, :2]) + curve[:, 3]
        return Tube(np.column_stack([curve[:, 0], curve[:, 1], z, curve[:, 2]]))

    def sample(self, points):
        """Distance at (n, 3) points, linear between nodes."""
        index = ((np.asarray(points) - self.low) / self.step_mm).T
        return map_coordinates(self.values, index, order=1, mode="nearest")

    def slope(self, points):
        """Gradient of the field at (n, 3) points, (n, 3)."""
        return np.stack([(self.sample(points + e) - self.sample(points - e)) / 2.0 for e in np.eye(3)], axis=1)

    def settle(self, points, rounds=8):
        """Move points (n, 3) along the gradient until they lie on the surface."""
        points = np.array(points, float)
        for _ in range(rounds):
            slope = self.slope(points)
            steep2 = np.maximum((slope**2).sum(axis=1), 0.05)
            points -= (np.clip(self.sample(points), -6, 6) / steep2)[:, None] * slope
        return points

    def lifted(self, points, lift_mm):
        """Points (n, 3) moved off the surface along its normal."""
        slope = self.slope(points)
        return points + lift_mm * slope / np.maximum(np.linalg.norm(slope, axis=1, keepdims=True), 1e-6)
