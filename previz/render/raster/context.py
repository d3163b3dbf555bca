"""A graphics context without a window, through the platforms of `pyrender`.

Which library makes contexts (EGL, OSMesa or the desktop's own) is chosen when OpenGL is first
imported and then holds for the whole process: an environment that changes later changes nothing.
"""

from __future__ import annotations

import ctypes
import importlib.machinery
import importlib.util
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType
from typing import Any

from previz.errors import MissingError

CHOICE = "PYOPENGL_PLATFORM"
TOLD = {"egl": "EGL", "osmesa": "OSMesa", "": "the desktop's own"}
_LIBRARIES = {"egl": ("libEGL.so.1",), "osmesa": ("libOSMesa.so.8", "libOSMesa.so.6")}
LACKING = (
    "there is no OpenGL here to draw with: install libegl1 and libgl1-mesa-dri"
    " (apt install libegl1 libgl1-mesa-dri)"
)


class Context:
    """One context, current on the thread that made it, which alone may use and close it.

    A thread has one at a time; several threads may have one each. It can be closed and another
    one made as often as wanted.
    """

    def __init__(self) -> None:
        """MissingError where nothing can be drawn with."""
        self.library = _chosen()
        self._platform: Any = None
        try:
            platform = _platform_of(self.library)
            platform.init_context()
            platform.make_current()
            self._platform = platform
        except MissingError:
            raise
        except Exception as error:  # whatever a graphics library says, there is none
            raise MissingError(f"{LACKING}; {_line(error)}") from error

    @property
    def drawn_by(self) -> str:
        """What it found, for people: "OpenGL 4.5, in software (EGL)"."""
        from OpenGL import GL as gl  # noqa: PLC0415, N811 - only once the library is chosen

        version = gl.glGetString(gl.GL_VERSION).decode().split()[0]
        device = gl.glGetString(gl.GL_RENDERER).decode()
        software = any(word in device.lower() for word in ("llvmpipe", "softpipe", "software"))
        means = "in software" if software else "on a graphics card"
        return f"OpenGL {version}, {means} ({TOLD[self.library]})"

    def close(self) -> None:
        """Let go of it, on its own thread. A second time does nothing."""
        platform, self._platform = self._platform, None
        if platform is None:
            return
        import OpenGL.contextdata  # noqa: PLC0415

        # What is kept for a context must go while it is current: the next may have its address.
        OpenGL.contextdata.cleanupContext()
        platform.delete_context()


def _chosen() -> str:
    """The library for contexts: the one that is set already, else the first one that is there."""
    if sys.platform in ("darwin", "win32"):
        return ""
    asked = os.environ.get(CHOICE, "")
    for library in [asked] if asked in _LIBRARIES else list(_LIBRARIES):
        if any(_loads(name) for name in _LIBRARIES[library]):
            os.environ[CHOICE] = library
            return library
    raise MissingError(LACKING)


def _loads(name: str) -> bool:
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _platform_of(library: str) -> Any:
    """The package's platform; a context's picture is never its own, so one pixel does."""
    with _without_its_front():
        if library == "egl":
            from pyrender.platforms.egl import EGLPlatform  # noqa: PLC0415

            return _lasting(EGLPlatform)(1, 1)
        if library == "osmesa":
            from pyrender.platforms.osmesa import OSMesaPlatform  # noqa: PLC0415

            return OSMesaPlatform(1, 1)
        from pyrender.platforms.pyglet_platform import PygletPlatform  # noqa: PLC0415

        return PygletPlatform(1, 1)


def _lasting(base: Any) -> Any:
    """The EGL platform without its end of everything.

    Its own `delete_context` ends EGL for the whole process, other threads' contexts with it.
    """
    from OpenGL import EGL as egl  # noqa: PLC0415, N811

    class LastingPlatform(base):  # type: ignore[misc]  # a class of an untyped package
        """Ends its own context alone."""

        _egl_context: Any
        _egl_display: Any

        def delete_context(self) -> None:
            """Let go of the context; the display stays open for the next one."""
            context, self._egl_context = self._egl_context, None
            if context is None:
                return
            none = (egl.EGL_NO_SURFACE, egl.EGL_NO_SURFACE, egl.EGL_NO_CONTEXT)
            egl.eglMakeCurrent(self._egl_display, *none)
            egl.eglDestroyContext(self._egl_display, context)
            egl.eglReleaseThread()

    return LastingPlatform


@contextmanager
def _without_its_front() -> Iterator[None]:
    """`pyrender` without what its front door brings: a viewer, fonts and `trimesh`, a second long.

    Whoever imports it in earnest before or after gets all of it.
    """
    if "pyrender" in sys.modules:
        yield
        return
    spec = importlib.util.find_spec("pyrender")
    if spec is None:
        raise MissingError("pyrender is not installed: pip install pyrender-maintained")
    bare = ModuleType("pyrender")
    bare.__path__ = list(spec.submodule_search_locations or [])
    bare.__spec__ = importlib.machinery.ModuleSpec("pyrender", None, is_package=True)
    sys.modules["pyrender"] = bare
    try:
        yield
    finally:
        sys.modules.pop("pyrender", None)


def _line(error: Exception) -> str:
    return " ".join(f"{type(error).__name__} {error}".split())[:120]
