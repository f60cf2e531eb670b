"""EGL contexts that leave one another alone. Importing this loads EGL."""

from __future__ import annotations

import os
from typing import Any

from OpenGL.EGL import EGL_NO_CONTEXT, EGL_NO_SURFACE, eglDestroyContext, eglMakeCurrent
from pyrender.platforms.egl import EGLDevice, EGLPlatform, query_devices


def devices() -> list[EGLDevice]:
    """The devices to try, best first; only the one whose place in the list EGL_DEVICE_ID names, if that is set."""
    found: list[EGLDevice] = query_devices()
    chosen = os.environ.get("EGL_DEVICE_ID")
    return [device for place, device in enumerate(found) if chosen in (None, str(place))]


class SharedDisplay(EGLPlatform):  # type: ignore[misc]
    """pyrender's EGL context, but the display stays when a context goes and a context stays with no thread.

    All contexts of a process share a device's one display: terminating it, as pyrender does, would end them all. And a
    context that is current in one thread cannot be used by another.
    """

    _egl_context: Any

    def make_uncurrent(self) -> None:
        """Let go of the context, so that any thread may take it up."""
        eglMakeCurrent(self._egl_display, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT)

    def delete_context(self) -> None:
        """Destroy the context and nothing else."""
        context, self._egl_context = self._egl_context, None
        if context is not None:
            eglDestroyContext(self._egl_display, context)
