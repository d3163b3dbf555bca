"""Which Mitsuba variant gives the right light on this machine, proven in a child process.

A wrong LLVM library aborts the whole process, a processor may crash where another reads
luck, and a graphics card may give wrong light without a word. So each candidate renders and
meters `previz.render.proof`'s small stage in a child process before the parent trusts it: one
that dies, warns, or is off by more than its noise is refused. The answer is kept in the user's
cache and thrown away when packages, driver, processor or the renderer's own code change.
"""

from __future__ import annotations

import ctypes
import importlib.metadata
import json
import os
import platform
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path

from previz import cache
from previz.errors import MissingError

PREFERENCE = ("cuda_ad_rgb", "metal_ad_rgb", "llvm_ad_rgb", "scalar_rgb")
LLVM_OLDEST, LLVM_NEWEST = 17, 22
LLVM_VARIABLE = "DRJIT_LIBLLVM_PATH"
PROOF_SECONDS = 300
KIND, MOST_KEPT = "proofs", 40
_LATE = f"no answer within {PROOF_SECONDS} s"
_USERS_LLVM = os.environ.get(LLVM_VARIABLE, "")  # as it was before `choose` set it


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


def probe(variant: str, say: Callable[[str], None] | None = None) -> Probe:
    """Prove one variant in a child process; `say` hears of it before it begins."""
    if variant == "metal_ad_rgb" and sys.platform != "darwin":
        return Probe(variant, False, "not on this system")
    if variant == "cuda_ad_rgb" and not _cuda_driver():
        return Probe(variant, False, "no driver of a graphics card found (libcuda)")
    if say is not None:
        say("proving once that this machine computes the right light; this takes a while")
    if variant != "llvm_ad_rgb":
        fault = _fault(variant, None)
        return Probe(variant, fault is None, fault or "")
    tried = []
    for library in llvm_candidates():
        fault = _fault(variant, library)
        if fault is None:
            return Probe(variant, True, f"with {library}", str(library))
        tried.append(f"{library}: {fault}")
    return Probe(variant, False, "; ".join(tried) or f"no LLVM {LLVM_OLDEST} or newer found")


def _cuda_driver() -> bool:
    name = "nvcuda.dll" if sys.platform == "win32" else "libcuda.so.1"
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def _fault(variant: str, library: Path | None) -> str | None:
    """What is wrong with a variant; None if its light is right."""
    environment = dict(os.environ)
    if library is not None:
        environment[LLVM_VARIABLE] = str(library)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "previz.render.proof", variant],
            env=environment,
            capture_output=True,
            text=True,
            timeout=PROOF_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return _LATE
    warned = done.stderr.strip().splitlines()
    if done.returncode < 0:
        return f"the process was aborted (signal {-done.returncode})"
    if done.returncode > 0:
        return warned[-1][:200] if warned else f"exit status {done.returncode}"
    return f"the renderer warns: {warned[0][:200]}" if warned else _wrong_light(done.stdout)


def _wrong_light(report: str) -> str | None:
    """What a report says is wrong; None when every part of it is right."""
    try:
        parts = json.loads(report)
        wrong = [str(part["sentence"]) for part in parts if not part["right"]]
    except (ValueError, TypeError, KeyError):
        return "no answer"
    if not parts:
        return "no answer"
    return f"wrong light: {'; '.join(wrong)}" if wrong else None


def choose(wanted: str | None = None, say: Callable[[str], None] | None = None) -> Probe:
    """The best variant that works, or the `wanted` one; `say` hears when it has to be proved.

    Raises MissingError when it does not work.
    """
    answer = _first_that_works((wanted,) if wanted else PREFERENCE, say)
    # Also for a variant without LLVM: the library is looked up once per process, and should
    # a compiled variant follow, it must not find whatever LLVM the system has lying about.
    library = answer.llvm or next((str(path) for path in llvm_candidates()), "")
    if library:
        os.environ[LLVM_VARIABLE] = library
    return answer


def _first_that_works(variants: tuple[str, ...], say: Callable[[str], None] | None) -> Probe:
    failures, waiting = [], list(filter(None, [say]))

    def say_once(text: str) -> None:
        # Of variants that are proved one after the other, people wait for one proof.
        while waiting:
            waiting.pop()(text)

    for variant in variants:
        result = proved(variant, say_once)
        if result.works:
            return result
        failures.append(f"{variant}: {result.why}")
    raise MissingError(
        "no way to render works here (" + " | ".join(failures) + "); `previz doctor` says more"
    )


def proved(variant: str, say: Callable[[str], None] | None = None) -> Probe:
    """What became of a variant; proved now unless an answer is kept for this very machine."""
    kept = _cache_file(variant)
    answer = _read_cache(kept)
    if answer is None:
        answer = probe(variant, say)
        if _LATE not in answer.why:  # a busy machine is not a wrong one
            _write_cache(kept, answer)
    return answer


@lru_cache(maxsize=1)
def _fingerprint() -> str:
    """All that an answer rests on: packages, interpreter, processor, driver, code."""
    versions = [importlib.metadata.version(name) for name in ("mitsuba", "drjit", "numpy")]
    code = Path(__file__).parent
    sources = [*code.glob("*.py"), *code.glob("pathtracer/*.py"), *code.glob("proof/*.py")]
    return cache.key_of(
        sources, versions, sys.executable, sys.version, _USERS_LLVM, _processor(), _driver()
    )


def _processor() -> str:
    """The processor and what it can do, as the system tells it."""
    try:
        lines = Path("/proc/cpuinfo").read_text().splitlines()
    except OSError:
        return f"{platform.processor()} {platform.machine()}"
    wanted = ("model name", "flags", "Features", "CPU part")
    return "|".join(dict.fromkeys(line for line in lines if line.startswith(wanted)))


def _driver() -> str:
    """The graphics driver's version; nothing where there is none."""
    try:
        told = Path("/proc/driver/nvidia/version").read_text()
    except OSError:
        told = ""
    if not _cuda_driver():
        return told
    version = ctypes.c_int(0)
    name = "nvcuda.dll" if sys.platform == "win32" else "libcuda.so.1"
    ctypes.CDLL(name).cuDriverGetVersion(ctypes.byref(version))
    return f"{told} {version.value}"


def _cache_file(variant: str) -> Path:
    """Where an answer is kept: installations beside each other keep their own."""
    return cache.folder() / KIND / f"{variant}-{_fingerprint()[:16]}.json"


def _read_cache(path: Path) -> Probe | None:
    try:
        answer = Probe(**json.loads(path.read_text()))
        os.utime(path)  # the least recently used go first
    except (OSError, ValueError, TypeError):
        return None
    return answer if not answer.llvm or Path(answer.llvm).exists() else None


def _write_cache(path: Path, answer: Probe) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(f".{os.getpid()}")
        fresh.write_text(json.dumps(asdict(answer)))
        fresh.replace(path)
        for old in sorted(path.parent.glob("*.json"), key=lambda p: -p.stat().st_mtime)[MOST_KEPT:]:
            old.unlink(missing_ok=True)
    except OSError:
        return  # A home that cannot be written costs a proof each time, nothing else.
