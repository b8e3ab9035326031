"""Whether a window can be opened here, and what is missing. Loads no Qt: a missing system library would stop it."""

from __future__ import annotations

import ctypes
import importlib.util
import os
import re
import sys
from collections.abc import Mapping
from pathlib import Path

from engine.words import _

__all__ = ["NoWindow", "has_display", "why_no_window"]

# system libraries Qt's window needs beyond those every Debian has, and the packages that hold them
_PACKAGES = {
    "libEGL.so": "libegl1",
    "libGL.so": "libgl1",
    "libGLX.so": "libgl1",
    "libOpenGL.so": "libopengl0",
    "libxkbcommon.so": "libxkbcommon0",
    "libxkbcommon-x11.so": "libxkbcommon-x11-0",
    "libdbus-1.so": "libdbus-1-3",
    "libfontconfig.so": "libfontconfig1",
    "libfreetype.so": "libfreetype6",
    "libglib-2.0.so": "libglib2.0-0",
    "libgthread-2.0.so": "libglib2.0-0",
    "libX11.so": "libx11-6",
    "libX11-xcb.so": "libx11-xcb1",
    "libxcb.so": "libxcb1",
    "libxcb-cursor.so": "libxcb-cursor0",
    "libxcb-icccm.so": "libxcb-icccm4",
    "libxcb-image.so": "libxcb-image0",
    "libxcb-keysyms.so": "libxcb-keysyms1",
    "libxcb-randr.so": "libxcb-randr0",
    "libxcb-render.so": "libxcb-render0",
    "libxcb-render-util.so": "libxcb-render-util0",
    "libxcb-shape.so": "libxcb-shape0",
    "libxcb-shm.so": "libxcb-shm0",
    "libxcb-sync.so": "libxcb-sync1",
    "libxcb-util.so": "libxcb-util1",
    "libxcb-xfixes.so": "libxcb-xfixes0",
    "libxcb-xkb.so": "libxcb-xkb1",
    "libwayland-client.so": "libwayland-client0",
    "libwayland-cursor.so": "libwayland-cursor0",
    "libwayland-egl.so": "libwayland-egl1",
}
# installing these together brings all the rest
_USUAL = (
    "libegl1 libgl1 libxkbcommon-x11-0 libdbus-1-3 libfontconfig1 libxcb-cursor0 libxcb-icccm4 libxcb-image0 "
    "libxcb-keysyms1 libxcb-render-util0 libxcb-shape0 libxcb-xinerama0"
)


class NoWindow(Exception):
    """A window cannot be opened here; one sentence says why and what to do."""


_UNSEEN = ("offscreen", "minimal", "vnc")  # Qt's platforms that nobody sits before


def has_display(environment: Mapping[str, str] | None = None) -> bool:
    """Whether there is a screen that a person looks at."""
    env = os.environ if environment is None else environment
    platform = _platform(env)
    if platform:
        return platform not in _UNSEEN
    if not sys.platform.startswith("linux"):
        return True
    return bool(env.get("DISPLAY") or env.get("WAYLAND_DISPLAY"))


def _platform(env: Mapping[str, str]) -> str:
    return env.get("QT_QPA_PLATFORM", "").split(";")[0].split(":")[0]


def why_no_window(environment: Mapping[str, str] | None = None) -> str:
    """Why no window can be opened, `""` where one can."""
    env = os.environ if environment is None else environment
    if importlib.util.find_spec("PySide6") is None:
        return _("the window needs PySide6, which is not installed; install the program again")
    if not has_display(env) and _platform(env) not in _UNSEEN:
        return _("there is no display to open a window on; every command of `linewright --help` works without one")
    if not sys.platform.startswith("linux"):
        return ""
    for library in _wanted(env):
        fault = _load(library)
        if fault:
            return _missing(fault)
    display = env.get("DISPLAY", "")
    if _platform(env) in ("", "xcb") and not env.get("WAYLAND_DISPLAY") and not _answers(display):
        return _("the display {display!r} does not answer (DISPLAY names it); is it there, and may you use it?").format(
            display=display
        )
    return ""


# connections stay: a server whose only client leaves may begin anew, and would not hear Qt meanwhile
_spoken_to: dict[str, object] = {}


def _answers(display: str) -> bool:
    """Whether an X server can be spoken to; Qt itself would stop the whole program where it cannot."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return True  # nobody to ask
    xcb.xcb_connect.argtypes = (ctypes.c_char_p, ctypes.c_void_p)
    xcb.xcb_connect.restype = ctypes.c_void_p
    xcb.xcb_connection_has_error.argtypes = xcb.xcb_disconnect.argtypes = (ctypes.c_void_p,)
    if display in _spoken_to:
        return True
    connection = xcb.xcb_connect(os.fsencode(display), None)
    if xcb.xcb_connection_has_error(connection):
        xcb.xcb_disconnect(connection)
        return False
    _spoken_to[display] = connection
    return True


def _wanted(env: Mapping[str, str]) -> list[Path]:
    """Qt's own libraries that hang on the system's."""
    spec = importlib.util.find_spec("PySide6")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    home = Path(next(iter(spec.submodule_search_locations))) / "Qt"
    wanted = [home / "lib" / f"libQt6{name}.so.6" for name in ("Core", "Gui", "Widgets")]
    platform = _platform(env)
    if platform in ("", "xcb") and not env.get("WAYLAND_DISPLAY"):
        wanted.append(home / "lib" / "libQt6XcbQpa.so.6")
        wanted.append(home / "plugins" / "platforms" / "libqxcb.so")
    return [path for path in wanted if path.exists()]


def _load(library: Path) -> str:
    try:
        ctypes.CDLL(str(library))
    except OSError as fault:
        return str(fault)
    return ""


def _missing(fault: str) -> str:
    found = re.match(r"(lib[\w.+-]+?\.so)(?:\.\d+)*: cannot open shared object", fault)
    if found is None:
        return _("the window cannot be opened: {fault}").format(fault=fault)
    name = found.group(1)
    first = _PACKAGES.get(name)
    packages = _USUAL if first is None or first in _USUAL.split() else f"{first} {_USUAL}"
    return _("the window needs the system library {library}; on Debian: apt-get install {packages}").format(
        library=fault.split(":")[0], packages=packages
    )
