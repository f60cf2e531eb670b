"""The triangle each sample sees, by pyrender's rasteriser. Importing this loads the graphics libraries."""

from __future__ import annotations

import contextlib
import threading
import weakref
from itertools import pairwise, product
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pyrender
from OpenGL import GL
from OpenGL.error import Error as GLError
from pyrender.shader_program import ShaderProgramCache

from builder.arrays import Floats, Ints
from builder.camera.context import OPENING_TROUBLE, open_context
from builder.camera.drawn import fronts, room_faces, solid_faces
from builder.camera.finder import Unavailable
from builder.camera.projection import project
from builder.camera.sight import SUPERSAMPLE, Eye
from builder.model.model import Model

SHADERS = Path(__file__).parent / "shaders"
MOST = 2**24 - 2
"""Triangles and vertices that can be told apart: pyrender keeps indices as single precision numbers, and a triangle's
number is written in 24 bits, less one value for "nothing"."""
PIECE_PX = 1500
"""Greatest side drawn at once: a whole plate in one piece takes 0.25 GB more, and no less time."""
NEAREST = 0.02
"""Where drawing begins, in shares of the eye's distance."""
TRIAL_PX = (640, 240)
"""Enough triangles to use all three bytes of a number."""


class RasterFinder:
    """Draws the scene with each triangle's number for its colour.

    One context a finder, made on opening and given back by :meth:`close` or with the finder. Any thread may look, one
    at a time. Raises Unavailable if no context can be made or the driver does not give the numbers back exactly.
    """

    method: Literal["raster", "rays"] = "raster"

    def __init__(self, model: Model, most_px: int = PIECE_PX) -> None:
        """``most_px``: greatest side drawn in one piece, if the driver allows it."""
        assert max(len(model.scene.faces), len(model.scene.vertices)) <= MOST, "the scene has too many triangles"
        self._model = model
        self._solid = solid_faces(model)
        self._lock = threading.Lock()
        self._canvas = _Canvas()
        self._closed = weakref.finalize(self, self._canvas.release)
        self._most_px = min(self._canvas.most_px, most_px)
        self.drawn_by = self._canvas.drawn_by

    def faces(self, eye: Eye) -> Ints:
        """(h, w) int32, index into the scene's faces or -1, at the eye's sample centres."""
        assert self._closed.alive, "the camera is closed"
        scene = self._model.scene
        room = room_faces(self._model, eye)
        front = fronts(scene, self._solid, eye)
        # pyrender draws front sides only; a hole shows the inside of the form, so what is turned away is turned round.
        # Drawn after the rest, it loses where both lie at one depth: along every contour.
        away = self._solid[~front]
        order = np.concatenate([self._solid[front], room, away])
        triangles = np.concatenate([scene.faces[order[: len(order) - len(away)]], scene.faces[away][:, ::-1]])
        pose = eye.world_from_camera
        width, height = eye.width_px * SUPERSAMPLE, eye.height_px * SUPERSAMPLE
        with self._lock:
            drawn = self._canvas.draw(
                scene.vertices, triangles, pose, _lens(eye, scene.vertices), (width, height), self._most_px
            )
        return np.append(order, np.int32(-1))[drawn]

    def close(self) -> None:
        """Give the context back."""
        self._closed()


class _Lens(pyrender.camera.Camera):  # type: ignore[misc]
    """A camera with a projection of our own: (4, 4), camera frame to OpenGL's clip space."""

    def __init__(self, projection: Floats, near: float, far: float) -> None:
        super().__init__(znear=near, zfar=far)
        self._projection = projection

    def get_projection_matrix(self, width: int | None = None, height: int | None = None) -> Floats:
        """The projection as given, whatever the size of the picture."""
        return self._projection

    def cut(self, left: float, right: float, top: float, bottom: float) -> _Lens:
        """The lens of a part of this one's picture, in shares of its width and height from the top left."""
        matrix = self._projection.copy()
        matrix[0] = (matrix[0] - (left + right - 1) * matrix[3]) / (right - left)
        matrix[1] = (matrix[1] + (top + bottom - 1) * matrix[3]) / (bottom - top)
        return _Lens(matrix, self.znear, self.zfar)


class _NumberRenderer(pyrender.Renderer):  # type: ignore[misc]
    """pyrender's renderer with one sample a pixel, reading back colours only.

    pyrender keeps four, which a driver may tell apart by depth even where it is told not to, and mixes them: the mean
    of two triangles' numbers is the number of a third. Depths, not wanted here, take three times as long to read.
    """

    _main_fb: int | None
    _main_fb_dims: tuple[int, int]

    def _configure_main_framebuffer(self) -> None:
        size = self.viewport_width, self.viewport_height
        if self._main_fb is not None and self._main_fb_dims == size:
            return
        self._delete_main_framebuffer()
        self._main_cb, self._main_db = GL.glGenRenderbuffers(2)
        self._main_fb = self._main_fb_ms = GL.glGenFramebuffers(1)
        GL.glBindFramebuffer(GL.GL_FRAMEBUFFER, self._main_fb)
        for buffer, holds, place in (
            (self._main_cb, GL.GL_RGBA8, GL.GL_COLOR_ATTACHMENT0),
            (self._main_db, GL.GL_DEPTH_COMPONENT24, GL.GL_DEPTH_ATTACHMENT),
        ):
            GL.glBindRenderbuffer(GL.GL_RENDERBUFFER, buffer)
            GL.glRenderbufferStorage(GL.GL_RENDERBUFFER, holds, *size)
            GL.glFramebufferRenderbuffer(GL.GL_FRAMEBUFFER, place, GL.GL_RENDERBUFFER, buffer)
        self._main_fb_dims = size

    def _delete_main_framebuffer(self) -> None:
        if self._main_fb is not None:
            GL.glDeleteFramebuffers(1, [self._main_fb])
            GL.glDeleteRenderbuffers(2, [self._main_cb, self._main_db])
        self._main_fb = self._main_fb_ms = None

    def _read_main_framebuffer(self, scene: Any, flags: Any) -> tuple[Any, None]:
        width, height = self._main_fb_dims
        GL.glBindFramebuffer(GL.GL_READ_FRAMEBUFFER, self._main_fb)
        pixels = GL.glReadPixels(0, 0, width, height, GL.GL_RGBA, GL.GL_UNSIGNED_BYTE)
        return np.frombuffer(pixels, np.uint8).reshape(height, width, 4)[::-1], None


def _lens(eye: Eye, vertices: Floats) -> _Lens:
    """The eye's projection, with depth from near the eye to the far end of the box round the vertices."""
    near = NEAREST * eye.distance_mm
    ends = np.array(list(product(*zip(vertices.min(axis=0), vertices.max(axis=0), strict=True))))
    far = max(2 * near, 1.01 * float(project(eye, ends)[1].max()))
    matrix = np.zeros((4, 4))
    matrix[0, 0], matrix[1, 1] = 1 / eye.tan_x, 1 / eye.tan_y
    matrix[2, 2], matrix[2, 3] = (far + near) / (near - far), 2 * far * near / (near - far)
    matrix[3, 2] = -1
    return _Lens(matrix, near, far)


def _pieces(length: int, most: int) -> list[tuple[int, int]]:
    """Beginnings and ends of the fewest pieces of about one length, none longer than ``most``."""
    count = -(-length // most)
    return list(pairwise(length * place // count for place in range(count + 1)))


class _Canvas:
    """A context and pyrender's renderer in it."""

    def __init__(self) -> None:
        self._platform = open_context(*TRIAL_PX)
        self._renderer: Any = None
        try:
            self._renderer = _NumberRenderer(*TRIAL_PX)
            # on a Mac pyrender doubles every picture and shrinks it again, which would mix the numbers
            self._renderer.dpscale = 1
            self._renderer._program_cache = ShaderProgramCache(str(SHADERS))
            GL.glDisable(GL.GL_DITHER)
            limits = [GL.glGetIntegerv(GL.GL_MAX_RENDERBUFFER_SIZE), *GL.glGetIntegerv(GL.GL_MAX_VIEWPORT_DIMS)]
            self.most_px = int(min(limits))
            names = [GL.glGetString(name).decode("ascii", "replace") for name in (GL.GL_RENDERER, GL.GL_VERSION)]
            self.drawn_by = f"raster: {', '.join(names)}"
            self._trial()
        except OPENING_TROUBLE as error:
            self.release()
            raise Unavailable("the graphics driver failed at once") from error
        except Unavailable:
            self.release()
            raise

    def draw(
        self, vertices: Floats, faces: Ints, pose: Floats, lens: _Lens, size: tuple[int, int], most_px: int
    ) -> Ints:
        """Numbers of the triangles seen: (h, w) int32, -1 for nothing. ``size`` is (w, h); greater pictures than
        ``most_px`` are drawn in pieces. Unavailable if the driver fails.
        """
        width, height = size
        scene = pyrender.Scene()
        node = scene.add(pyrender.Mesh([pyrender.Primitive(positions=vertices, indices=faces, mode=4)]))
        found = np.zeros((height, width), np.int32)
        try:
            self._platform.make_current()
            for top, bottom in _pieces(height, most_px):
                for left, right in _pieces(width, most_px):
                    part = lens.cut(left / width, right / width, top / height, bottom / height)
                    found[top:bottom, left:right] = self._piece(scene, node, part, pose, right - left, bottom - top)
        except (GLError, RuntimeError) as error:
            raise Unavailable("the graphics driver failed") from error
        finally:
            self._platform.make_uncurrent()
        assert found.max(initial=-1) < len(faces), "the driver gave a number that no triangle has"
        return found

    def release(self) -> None:
        """Give everything back."""
        with contextlib.suppress(GLError):  # a driver that has failed has nothing left to give back
            self._platform.make_current()
            if self._renderer is not None:
                self._renderer.delete()
            self._platform.make_uncurrent()
            self._platform.delete_context()

    def _piece(self, scene: Any, node: Any, lens: _Lens, pose: Floats, width: int, height: int) -> Ints:
        camera = scene.add(lens, pose=pose)
        scene.main_camera_node = camera
        self._renderer.viewport_width, self._renderer.viewport_height = width, height
        flags = pyrender.RenderFlags
        colour, _ = self._renderer.render(scene, flags.SEG | flags.OFFSCREEN | flags.RGBA, {node: 1})
        scene.remove_node(camera)
        numbers = np.ascontiguousarray(colour).view("<u4")[..., 0] & 0xFFFFFF
        return numbers.astype(np.int32) - 1

    def _trial(self) -> None:
        """Draw one triangle round every second pixel's centre: each must give its own number, the rest nothing."""
        width, height = TRIAL_PX
        columns, rows = np.meshgrid(np.arange(0, width, 2) + 0.5, np.arange(height) + 0.5)
        centres = np.stack([columns / width * 2 - 1, 1 - rows / height * 2, np.zeros_like(rows)], axis=-1).reshape(
            -1, 1, 3
        )
        reach = np.array([[-0.4, -0.4, 0], [0.4, -0.4, 0], [0, 0.4, 0]]) * [2 / width, 2 / height, 0]
        corners = (centres + reach).reshape(-1, 3)
        faces = np.arange(len(corners), dtype=np.int32).reshape(-1, 3)
        expected = np.full((height, width), -1, np.int32)
        expected[:, ::2] = np.arange(len(faces)).reshape(height, -1)
        lens = _Lens(np.diag([1.0, 1.0, -1.0, 1.0]), 0.1, 1.0)
        if not np.array_equal(self.draw(corners, faces, np.eye(4), lens, TRIAL_PX, self.most_px), expected):
            raise Unavailable("the graphics driver does not give the numbers of triangles back as they were drawn")
