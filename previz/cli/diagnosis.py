"""What `previz doctor` looks at. Native libraries are tried in child processes: they can crash."""

from __future__ import annotations

import importlib.metadata
import os
import platform
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from previz.errors import PrevizError
from previz.render.compute import in_plain_words

if TYPE_CHECKING:
    from previz.render.variants import Probe

PACKAGES = (
    "mitsuba", "drjit", "karellen-llvm-core", "mitsuba-oidn", "opencolorio", "OpenEXR", "numpy",
    "pillow", "PyOpenGL", "pyrender-maintained", "trimesh", "manifold3d", "shapely",
    "mapbox_earcut", "pydantic", "PyYAML", "click", "rich",
)  # fmt: skip
CHILD_SECONDS = 60
LITTLE_MEMORY_GB = 2.0
_NOT_FOUND = re.compile(r"(lib[^\s:]+\.so[.\d]*): cannot open shared object file")
_DEBIAN = {"libatomic.so.1": "libatomic1"}  # the one library that no Python package brings

_DENOISE = """
import numpy as np, mitsuba_oidn
grey = np.full((16, 16, 3), 0.5, np.float32)
out = mitsuba_oidn.denoise(grey, None, None, hdr=True)
assert np.isfinite(np.asarray(out)).all(), "the result is no picture"
"""
_DEVELOP = """
import numpy as np
from previz.develop.view import develop
develop(np.full((2, 2, 3), 0.18, np.float32), "film")
"""
_DRAW = "from previz.render.raster.backend import drawn_by; print(drawn_by())"
_HOW_TO_DRAW = (
    "to draw at once: apt install libegl1 libgl1-mesa-dri; without it pictures are traced"
)
_EXR = "import OpenEXR; OpenEXR.File"


@dataclass(frozen=True)
class Check:
    """One thing looked at. Without a `needed` one that works, nothing can be rendered."""

    name: str
    works: bool
    needed: bool
    detail: str
    advice: str = ""


def checks(probes: list[Probe]) -> Iterator[Check]:
    """Everything there is to look at, one after the other; `probes` are the tried variants."""
    yield _rendering(probes)
    yield _drawing()
    yield _native("denoiser", _DENOISE, "mitsuba-oidn", needed=False)
    yield _native("picture colours (OpenColorIO)", _DEVELOP, "opencolorio", needed=True)
    yield _native("OpenEXR files", _EXR, "OpenEXR", needed=False)
    yield _catalogue()
    yield _memory()


def _rendering(probes: list[Probe]) -> Check:
    best = next((probe for probe in probes if probe.works), None)
    if best is None:
        advice = _missing_library(probes) or _how_to_get_llvm()
        return Check("rendering", False, True, "nothing to compute on works", advice)
    slow = best.variant == "scalar_rgb"
    detail = f"on the {in_plain_words(best.variant)}{f', {best.why}' if best.why else ''}"
    return Check("rendering", True, True, detail, _how_to_get_llvm() if slow else "")


def _missing_library(probes: list[Probe]) -> str:
    """What to install if the renderer was refused by the system's loader; else nothing."""
    for probe in probes:
        found = _NOT_FOUND.search(probe.why)
        if found:
            package = _DEBIAN.get(found[1])
            on_debian = f"; with apt: apt install {package}" if package else ""
            return f"install the system library {found[1]}{on_debian}"
    return ""


def _how_to_get_llvm() -> str:
    """What to install on this machine for fast rendering without a GPU."""
    if sys.platform == "linux" and platform.machine() == "x86_64":
        how = "pip install 'karellen-llvm-core>=19,<23'"
    elif sys.platform == "linux":
        how = "install LLVM 17 or newer; with apt: apt install libllvm19"
    elif sys.platform == "darwin":
        how = "brew install llvm"
    else:
        how = "install LLVM 17 or newer into C:/Program Files/LLVM"
    return f"about three times faster with LLVM: {how}"


def _drawing() -> Check:
    """Whether pictures can be drawn at once, and by what."""
    found, fault = _tried(_DRAW)
    if fault is None:
        return Check("drawing at once", True, False, found)
    why, _, _ = fault.removeprefix("previz.errors.MissingError: ").partition(": install")
    return Check("drawing at once", False, False, why, _HOW_TO_DRAW)


def _native(name: str, code: str, package: str, *, needed: bool) -> Check:
    fault = run_child(code)
    if fault is None:
        return Check(name, True, needed, "works")
    return Check(name, False, needed, fault, f"pip install --force-reinstall {package}")


def run_child(code: str) -> str | None:
    """Run Python code in a child process; None if all went well, else the reason in a line."""
    return _tried(code)[1]


def _tried(code: str) -> tuple[str, str | None]:
    """What Python code prints in a child process, and what went wrong, in a line."""
    try:
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            timeout=CHILD_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return "", f"no answer within {CHILD_SECONDS} s"
    if done.returncode == 0:
        return done.stdout.strip(), None
    lines = done.stderr.strip().splitlines()
    if done.returncode < 0:
        return "", f"the process was aborted (signal {-done.returncode})"
    return "", lines[-1][:200] if lines else f"exit status {done.returncode}"


def _catalogue() -> Check:
    from previz.catalog import KINDS, Catalog  # noqa: PLC0415  (imports pydantic)

    advice = "correct the catalogue file named; for built-in ones install previz again"
    try:
        catalog = Catalog.load()
        catalog.check()
        catalog.data_file("people", "body.npz")
    except PrevizError as error:
        return Check("catalogue", False, True, str(error).splitlines()[0], advice)
    count = sum(len(catalog.names(kind)) for kind in KINDS)
    where = ", ".join(str(folder) for folder in catalog.folders)
    return Check("catalogue", True, True, f"{count} records in {where}")


def _memory() -> Check:
    free = free_memory_gb()
    if free is None:
        return Check("free memory", True, False, "unknown on this system")
    enough = free >= LITTLE_MEMORY_GB
    advice = "" if enough else "close other programs, or render smaller pictures (--width 960)"
    return Check("free memory", enough, False, f"{free:.1f} GB", advice)


def free_memory_gb() -> float | None:
    """Memory that programs can still take, in GB of 10^9 bytes; None where it is not told."""
    try:
        lines = Path("/proc/meminfo").read_text().splitlines()
    except OSError:
        return None
    kilobytes = [line.split()[1] for line in lines if line.startswith("MemAvailable:")]
    return int(kilobytes[0]) * 1024 / 1e9 if kilobytes else None


def machine() -> dict[str, str | int]:
    """The machine and its interpreter."""
    return {
        "system": platform.platform(),
        "processor": platform.machine(),
        "threads": os.cpu_count() or 1,
        "python": f"{platform.python_version()} ({sys.executable})",
    }


def package_versions() -> dict[str, str | None]:
    """Versions of the packages previz is built on; None for one that is not installed."""
    versions: dict[str, str | None] = {}
    for name in PACKAGES:
        try:
            versions[name] = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            versions[name] = None
    return versions
