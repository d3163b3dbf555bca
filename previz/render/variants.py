"""Which Mitsuba variant works on this machine, proven in a child process.

A wrong LLVM library aborts the whole process, and no version number tells beforehand
(15 and 16 pass the library's own check and then die). So each candidate runs a small
kernel in a child process whose result is compared before the parent trusts it. The
answer is kept in the user's cache and thrown away when anything it rests on changes.
"""

from __future__ import annotations

import ctypes
import importlib.metadata
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from previz import cache
from previz.errors import MissingError

PREFERENCE = ("cuda_ad_rgb", "metal_ad_rgb", "llvm_ad_rgb", "scalar_rgb")
LLVM_OLDEST, LLVM_NEWEST = 17, 22
LLVM_VARIABLE = "DRJIT_LIBLLVM_PATH"
PROBE_SECONDS = 60
_USERS_LLVM = os.environ.get(LLVM_VARIABLE, "")  # as it was before `choose` set it

_PROBE = """
import sys
import mitsuba as mi
mi.set_variant(sys.argv[1])
if "_ad_" in sys.argv[1]:
    import drjit as dr
    low = dr.minimum(mi.Float([1.0, 4.0]), mi.Float([2.0, 3.0]))
    answer = [float(v) for v in dr.sqrt(low * low).numpy()]
else:
    answer = [min(1.0, 2.0), min(4.0, 3.0)]
scene = mi.load_dict({"type": "scene", "a": {"type": "sphere"}})
met = scene.ray_test(mi.Ray3f(mi.Point3f(0, 0, -3), mi.Vector3f(0, 0, 1)))
hit = met if isinstance(met, bool) else bool(met.numpy().all())
print("works" if answer == [1.0, 3.0] and hit else "wrong result")
"""


@dataclass(frozen=True)
class Probe:
    """What became of one candidate: `why` says why not, or which library it needs."""

    variant: str
    works: bool
    why: str
    llvm: str = ""


def llvm_candidates() -> Iterator[Path]:
    """LLVM libraries worth trying, best first: the user's, pip's, the system's newest first."""
    if _USERS_LLVM:
        yield Path(_USERS_LLVM)
        return
    for name in ("libLLVM.so", "libLLVM.dylib", "LLVM-C.dll"):
        bundled = Path(sys.prefix) / "lib" / name
        if bundled.exists():
            yield bundled
    found = [
        path
        for folder, pattern in (
            ("/usr/lib", "*-linux-gnu/libLLVM*.so*"),
            ("/usr/lib64", "libLLVM*.so*"),
            ("/opt/homebrew/opt/llvm/lib", "libLLVM*.dylib"),
            ("C:/Program Files/LLVM/bin", "LLVM-C.dll"),
        )
        for path in Path(folder).glob(pattern)
    ]
    # Newest first, but what was seen to abort on some processors (23) after all others.
    newest_first = sorted(
        found,
        key=lambda path: (_version(path) > LLVM_NEWEST, -_version(path), len(path.name)),
    )
    seen: set[Path] = set()
    for path in newest_first:
        real = path.resolve()
        if real not in seen and not 0 < _version(path) < LLVM_OLDEST:
            seen.add(real)
            yield path


def _version(path: Path) -> int:
    match = re.search(r"LLVM[-.]?(?:so\.)?(\d+)", path.resolve().name)
    return int(match.group(1)) if match else 0


def probe(variant: str) -> Probe:
    """Try one variant in a child process."""
    if variant == "metal_ad_rgb" and sys.platform != "darwin":
        return Probe(variant, False, "only on Apple machines")
    if variant == "cuda_ad_rgb" and not _cuda_driver():
        return Probe(variant, False, "no NVIDIA driver found (libcuda)")
    if variant != "llvm_ad_rgb":
        answer = _run(variant, None)
        return Probe(variant, answer == "works", "" if answer == "works" else answer)
    tried = []
    for library in llvm_candidates():
        answer = _run(variant, library)
        if answer == "works":
            return Probe(variant, True, f"with {library}", str(library))
        tried.append(f"{library}: {answer}")
    return Probe(variant, False, "; ".join(tried) or f"no LLVM {LLVM_OLDEST} or newer found")


def _cuda_driver() -> bool:
    name = "nvcuda.dll" if sys.platform == "win32" else "libcuda.so.1"
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _run(variant: str, library: Path | None) -> str:
    environment = dict(os.environ)
    if library is not None:
        environment[LLVM_VARIABLE] = str(library)
    try:
        done = subprocess.run(
            [sys.executable, "-c", _PROBE, variant],
            env=environment,
            capture_output=True,
            text=True,
            timeout=PROBE_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"no answer within {PROBE_SECONDS} s"
    if done.returncode < 0:
        return f"the process was aborted (signal {-done.returncode})"
    if done.returncode > 0:
        lines = done.stderr.strip().splitlines()
        return lines[-1][:200] if lines else f"exit status {done.returncode}"
    return done.stdout.strip() or "no answer"


def choose(wanted: str | None = None) -> Probe:
    """The best variant that works, or the `wanted` one.

    Raises MissingError when it does not work. A kept answer is used while the library,
    the interpreter and the packages are the same.
    """
    kept = _cache_file(wanted)
    answer = _read_cache(kept)
    if answer is None:
        answer = _first_that_works((wanted,) if wanted else PREFERENCE)
        _write_cache(kept, answer)
    # Also for a variant without LLVM: the library is looked up once per process, and should
    # a compiled variant follow, it must not find whatever LLVM the system has lying about.
    library = answer.llvm or next((str(path) for path in llvm_candidates()), "")
    if library:
        os.environ[LLVM_VARIABLE] = library
    return answer


def _first_that_works(variants: tuple[str, ...]) -> Probe:
    failures = []
    for variant in variants:
        result = probe(variant)
        if result.works:
            return result
        failures.append(f"{variant}: {result.why}")
    raise MissingError(
        "no way to render works here (" + " | ".join(failures) + "); `previz doctor` says more"
    )


def _fingerprint() -> str:
    versions = [importlib.metadata.version(name) for name in ("mitsuba", "drjit")]
    return "|".join([*versions, sys.executable, sys.version.split()[0], _USERS_LLVM])


def _cache_file(wanted: str | None) -> Path:
    return cache.folder() / f"variant-{wanted or 'best'}.json"


def _read_cache(path: Path) -> Probe | None:
    try:
        kept = json.loads(path.read_text())
        if kept.pop("fingerprint") != _fingerprint():
            return None
        answer = Probe(**kept)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return None
    return answer if not answer.llvm or Path(answer.llvm).exists() else None


def _write_cache(path: Path, answer: Probe) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(f".{os.getpid()}")
        fresh.write_text(json.dumps({**asdict(answer), "fingerprint": _fingerprint()}))
        fresh.replace(path)
    except OSError:
        return  # A home that cannot be written costs a probe each time, nothing else.
