"""The camera: opened on a model once, then looking from any number of eyes."""

from __future__ import annotations

import os
import sys
from types import TracebackType
from typing import Literal

from builder.camera.barycentric import weights
from builder.camera.cast import RayFinder
from builder.camera.finder import Finder, Unavailable
from builder.camera.sight import Eye, Sight
from builder.errors import CameraError, Notice, Problem
from builder.model.model import Model

Method = Literal["auto", "raster", "rays"]
"""How to find what each sample sees: by OpenGL, by casting rays, or by the first of them that works here."""

INSTALL = (
    "install a graphics library that needs no display (Debian and Ubuntu: apt install libegl1 libgl1 libgl1-mesa-dri)"
)


class Camera:
    """Looks at one model. Use in a ``with`` block, or close it; what is held also goes with the camera itself.

    ``method`` is the way in use, ``drawn_by`` the program behind it with its version, for what must change when it
    does. ``notices`` says so if OpenGL was wanted and could not be used.
    """

    def __init__(self, model: Model, method: Method) -> None:
        """Raises CameraError if ``method`` is ``raster`` and OpenGL cannot be used."""
        self._model = model
        self._wanted = method
        self._reason: str | None = None
        self._finder = self._open()

    @property
    def method(self) -> Literal["raster", "rays"]:
        """The way in use."""
        return self._finder.method

    @property
    def drawn_by(self) -> str:
        """What finds the triangles, with its version."""
        return self._finder.drawn_by

    @property
    def notices(self) -> tuple[Notice, ...]:
        """That rays stand in for OpenGL, and why; nothing otherwise."""
        if self._reason is None:
            return ()
        return (
            Notice("camera", f"looking by rays, since OpenGL cannot be used here ({self._reason}); faster: {INSTALL}"),
        )

    def look(self, eye: Eye) -> Sight:
        """What the eye sees. CameraError if ``raster`` was asked for and OpenGL fails."""
        try:
            face = self._finder.faces(eye)
        except Unavailable as error:
            self._finder.close()
            self._finder = self._instead(error)
            face = self._finder.faces(eye)
        u, v = weights(eye, self._model.scene, face)
        for array in (face, u, v):
            array.setflags(write=False)
        return Sight(eye=eye, face=face, u=u, v=v, method=self._finder.method)

    def close(self) -> None:
        """Give back what is held; may be called twice."""
        self._finder.close()

    def __enter__(self) -> Camera:
        """The camera itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close it."""
        self.close()

    def _open(self) -> Finder:
        if self._wanted == "rays":
            return RayFinder(self._model)
        try:
            return _raster(self._model)
        except Unavailable as error:
            return self._instead(error)

    def _instead(self, error: Unavailable) -> Finder:
        """Rays in place of OpenGL, if any way would do."""
        if self._wanted == "raster":
            raise CameraError(
                Problem("camera", f"OpenGL cannot be used here ({error})", do=f"{INSTALL}, or look by rays")
            ) from error
        self._reason = str(error)
        return RayFinder(self._model)


def open_camera(model: Model, method: Method = "auto") -> Camera:
    """A camera on ``model``. CameraError if ``method`` is ``raster`` and OpenGL cannot be used here."""
    return Camera(model, method)


def _raster(model: Model) -> Finder:
    """The OpenGL finder; its libraries are loaded here and nowhere else. Unavailable if it cannot be opened."""
    if sys.platform.startswith("linux"):
        # read when OpenGL is imported; EGL needs no display, and draws on a graphics card or in software alike
        chosen = os.environ.setdefault("PYOPENGL_PLATFORM", "egl")
        if chosen != "egl":
            raise Unavailable(f"PYOPENGL_PLATFORM is {chosen!r}, and only 'egl' draws without a display")
        # pyrender loads its window library, too, which otherwise wants those of a desktop
        os.environ.setdefault("PYGLET_HEADLESS", "True")
    try:
        from builder.camera.raster import RasterFinder
    except (ImportError, OSError, AttributeError) as error:
        # PyOpenGL fails with AttributeError where a library it looks for is not there
        raise Unavailable("the libraries of OpenGL or EGL are not there") from error
    return RasterFinder(model)
