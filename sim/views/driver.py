"""The driver that pictures are drawn by: tried in a child process, and not again while all of it is as it was then.

Where drivers lack, VTK can end the whole process; the child takes that fall. A trial that went well is remembered with
every file of code that it had loaded: size, times and number of each. Only where VTK draws by EGL, whose libraries are
all that it hangs on: whether a display's server is there no file can tell, so with a display each process tries anew.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys

from sim.base.answers import in_pieces, kept_text
from sim.base.user_cache import answers_folder

TRIAL_SECONDS = 30.0
# Ends with status 0 where it could draw, and prints which files of code this process had loaded then (Linux).
TRIAL = """
import os
import sys
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(16, 16)
window.AddRenderer(vtkRenderer())
window.Render()
if not window.SupportsOpenGL():
    os._exit(1)
if sys.platform == "linux":
    with open("/proc/self/maps", encoding="utf-8", errors="surrogateescape") as maps:
        lines = [line.rstrip("\\n").split(None, 5) for line in maps]
    loaded = {line[5] for line in lines if len(line) == 6 and "x" in line[1] and ".so" in line[5]}
    sys.stdout.write("\\0".join(sorted(loaded)))
    sys.stdout.flush()
os._exit(0)
"""
# What may choose another driver: variables of the environment that begin so, and folders in which drivers are named.
_CHOOSING = ("LD_", "VTK_", "LIBGL", "MESA", "GALLIUM", "EGL", "__EGL", "__GL", "DRI_", "WAYLAND")
_NAMED_IN = ("/etc/glvnd/egl_vendor.d", "/usr/share/glvnd/egl_vendor.d", "/dev/dri")


def problem_of_driver() -> str:
    """Return why pictures cannot be drawn off the screen, empty if they can."""
    _choose_window()
    if not (in_pieces() and sys.platform == "linux" and not os.environ.get("DISPLAY")):
        return _tried()[0]
    problem: list[str] = []

    def made() -> tuple[str, bool]:
        found, loaded = _tried()
        problem.append(found)
        kept = [(path, _state(path)) for path in loaded]
        return json.dumps(kept), not found and bool(kept) and all(state for _, state in kept)

    kept_text(answers_folder(), "driver", asked=_surroundings(), make=made, holds=unchanged)
    return problem[0] if problem else ""


def unchanged(kept: str) -> bool:
    """Tell whether every file of code of a trial that went well is still the one that it was."""
    try:
        found = [_state(path) == state for path, state in json.loads(kept)]
    except (ValueError, TypeError):
        return False
    return bool(found) and all(found)


def _state(path: str) -> list[int] | None:
    """Return size, times and number of a file; None where it is not there."""
    try:
        found = os.stat(path)  # noqa: PTH116  (a hundred of them)
    except OSError:
        return None
    return [found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino, found.st_dev]


def _surroundings() -> str:
    """Return what decides which driver is loaded, as text."""
    chosen = sorted(pair for pair in os.environ.items() if pair[0].startswith(_CHOOSING))
    named = []
    for folder in _NAMED_IN:
        try:
            named.append(
                [(one.name, _state(one.path)) for one in sorted(os.scandir(folder), key=lambda e: e.name)]
            )
        except OSError:
            named.append([])
    return repr((TRIAL, sys.executable, tuple(os.uname()), os.getuid(), chosen, named))


def _tried() -> tuple[str, list[str]]:
    """Try VTK in a child process; return what went wrong, empty if nothing did, and which files it had loaded."""
    try:
        done = subprocess.run(  # noqa: S603  (our own interpreter and our own text)
            [sys.executable, "-c", TRIAL], capture_output=True, timeout=TRIAL_SECONDS, check=False
        )
    except subprocess.TimeoutExpired:
        return f"no picture within {TRIAL_SECONDS:g} s", []
    except OSError as error:
        return str(error.strerror), []
    if done.returncode == 0:
        return "", os.fsdecode(done.stdout).split("\0") if done.stdout else []
    return f"the trial ended with {'signal' if done.returncode < 0 else 'status'} {abs(done.returncode)}", []


def _choose_window() -> None:
    """Without a display let VTK draw by EGL, which needs no X server."""
    if sys.platform == "linux" and not os.environ.get("DISPLAY"):
        os.environ.setdefault("VTK_DEFAULT_OPENGL_WINDOW", "vtkEGLRenderWindow")
