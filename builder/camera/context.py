"""A place to draw with no window. Importing this loads the graphics libraries."""

from __future__ import annotations

import sys

from OpenGL.error import Error as GLError
from pyrender.platforms.base import Platform

from builder.camera.finder import Unavailable

OPENING_TROUBLE = (GLError, AssertionError, AttributeError, ImportError, OSError, RuntimeError, ValueError)
"""What making a context has been seen to raise where libraries, drivers or devices are missing or of no use."""


def open_context(width_px: int, height_px: int) -> Platform:
    """A current context. Unavailable if none can be made.

    On Linux by EGL, on the first device that works (only the one EGL_DEVICE_ID names, if it is set); elsewhere by
    pyrender's hidden window.
    """
    return (_egl if sys.platform.startswith("linux") else _hidden_window)(width_px, height_px)


def _egl(width_px: int, height_px: int) -> Platform:
    try:
        from builder.camera.egl import SharedDisplay, devices

        found = devices()
    except OPENING_TROUBLE as error:
        raise Unavailable("EGL does not start") from error
    if not found:
        raise Unavailable("EGL knows no such device to draw on")
    last: Exception | None = None
    for device in found:
        platform = SharedDisplay(width_px, height_px, device)
        try:
            platform.init_context()
        except OPENING_TROUBLE as error:
            last = error
        else:
            return platform
    raise Unavailable("no EGL device draws with OpenGL 4.1") from last


def _hidden_window(width_px: int, height_px: int) -> Platform:
    try:
        from pyglet.gl import ConfigException, ContextException
        from pyglet.window import WindowException
        from pyrender.platforms.pyglet_platform import PygletPlatform
    except OPENING_TROUBLE as error:
        raise Unavailable("no window library can be loaded") from error
    try:
        platform = PygletPlatform(width_px, height_px)
        platform.init_context()
        platform.make_current()
    except (*OPENING_TROUBLE, WindowException, ContextException, ConfigException) as error:
        raise Unavailable("no hidden window draws with OpenGL 3.3") from error
    return platform
