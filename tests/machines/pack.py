"""Pack what previz needs into archives, for a machine that has Python and no network.

    python tests/machines/pack.py --out .carry --python /path/to/python3.12

The wheels have the versions of the environment that runs this script, made for the interpreter
that is named. What is not needed to render is left out. The parts are laid into loads, folders
.carry/1, .carry/2 and so on, none larger than the limit; `there.py` unpacks any of them.
"""

from __future__ import annotations

import argparse
import fnmatch
import hashlib
import importlib.metadata
import json
import lzma
import os
import re
import shutil
import struct
import subprocess
import sys
import tarfile
import tempfile
import tomllib
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from packaging.requirements import Requirement

HOUSE = Path(__file__).resolve().parents[2]
MIB = 2**20

# What such a machine is taken to hold already; --missing NAME packs one of these all the same.
ALREADY_THERE = (
    "attrs", "charset-normalizer", "hypothesis", "iniconfig", "networkx", "numpy", "packaging",
    "pillow", "pluggy", "psutil", "pytest", "pyyaml", "scipy", "setuptools", "sortedcontainers",
    "wheel-axle-runtime",
)  # fmt: skip
CHECKERS = ("import-linter", "mypy", "ruff", "types-pyyaml")

# Parts by the names in them, in the order in which they are laid into loads; what no part names
# is in "rest". "films" is for moves, "aside" for PDF and for those tests that ask another library
# for the answer.
PARTS = {
    "renderer": ("mitsuba", "drjit"),
    "rest": (),
    "llvm": ("karellen-llvm-core",),
    "denoiser": ("mitsuba-oidn", "nanobind-backend"),
    "films": ("av",),
    "aside": (
        "embreex", "jsonschema", "jsonschema-specifications", "referencing", "reportlab", "rpds-py",
    ),
}  # fmt: skip

# Nothing of this is read when rendering: headers, stubs, build files, tests, variants not used.
LEFT_OUT = (
    "*.pyi", "*.pxd", "*.pyx", "*/include/*", "*/cmake/*", "*/pkgconfig/*", "share/*",
    "mitsuba/mitsuba", "mitsuba/mitsuba_stubs/*", "mitsuba/*_spectral*.so",
    "mitsuba/*_polarized*.so", "mitsuba/*_mono*.so", "mitsuba/*_double*.so", "*/tests/*",
    "PyOpenColorIO/bin/*", "PyOpenColorIO/bin_*/*",
)  # fmt: skip
# Large plugins of the renderer that `previz/render` names nowhere; a test holds that.
PLUGINS_LEFT_OUT = (
    "batch", "ellipsoids", "ellipsoidsmesh", "gridvolume", "measured", "measured_polarized",
    "pplastic", "projector", "ptracer", "roughconductor", "roughdielectric", "roughplastic",
    "sdfgrid", "sunsky", "timed_sunsky", "volpath", "volpathmis",
)  # fmt: skip
STRIPPED = ("mitsuba/", "drjit/")
LLVM_KEPT = ("libLLVM.so*", "x86_64-unknown-linux-gnu/lib*.so.1.0")
ATOMIC = "libatomic.so.1"  # the system's, which LLVM wants and a bare machine may lack


def canonical(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def needed(missing: set[str]) -> dict[str, str]:
    """Name and version of all that previz and its tests need and the other machine lacks."""
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    waiting = [*project["dependencies"], *project["optional-dependencies"]["dev"]]
    there = {*ALREADY_THERE, *CHECKERS} - missing
    chosen: dict[str, str] = {}
    while waiting:
        wanted = Requirement(waiting.pop())
        name = canonical(wanted.name)
        if name in there or name in chosen:
            continue
        if wanted.marker and not wanted.marker.evaluate({"extra": ""}):
            continue
        chosen[name] = importlib.metadata.version(name)
        waiting += importlib.metadata.requires(name) or []
    return chosen


def platforms(glibc: int) -> list[str]:
    """Platform tags of x86-64 Linux with a C library 2.`glibc`, the newest first."""
    newer = [f"manylinux_2_{minor}_x86_64" for minor in range(glibc, 4, -1)]
    return [*newer, "manylinux2014_x86_64", "manylinux2010_x86_64", "manylinux1_x86_64"]


def download(packages: dict[str, str], version: str, glibc: int, folder: Path) -> None:
    pip = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--dest", str(folder)]
    made_for = ["--only-binary=:all:", "--implementation", "cp", "--python-version", version]
    tags = [word for tag in platforms(glibc) for word in ("--platform", tag)]
    wheels = [f"{name}=={number}" for name, number in packages.items()]
    subprocess.run([*pip, *made_for, *tags, *wheels], check=True)


def unpack_wheel(wheel: Path, site: Path) -> None:
    """Lay a wheel's files where `pip install --target` would, without what is left out."""
    plugins = [f"mitsuba/plugins/{name}.so" for name in PLUGINS_LEFT_OUT]
    patterns = (*LEFT_OUT, *plugins)
    with zipfile.ZipFile(wheel) as archive:
        for member in archive.namelist():
            # A wheel's *.data/purelib and platlib belong at the top, *.data/data at its own name.
            place = re.sub(r"^[^/]+\.data/(purelib|platlib|data)/", "", member)
            unwanted = any(fnmatch.fnmatchcase(place, pattern) for pattern in patterns)
            if not member.endswith("/") and not unwanted and not place.endswith(".pth"):
                path = site / place
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(archive.read(member))


def keep_llvm_alone(site: Path) -> None:
    """Of the LLVM package keep the library and what it loads, under the names it asks for."""
    library = site / "lib"
    for path in [path for path in site.rglob("*") if path.is_file()]:
        inner = path.relative_to(site).as_posix()
        kept = any(fnmatch.fnmatchcase(inner, f"lib/{pattern}") for pattern in LLVM_KEPT)
        if not kept and ".dist-info/" not in inner:
            path.unlink()
    for path in sorted(library.rglob("*.so.*")):
        # An archive of plain files only: what other names lead to is given those names.
        plain = "libLLVM.so" if path.name.startswith("libLLVM") else path.name.removesuffix(".0")
        path.rename(path.with_name(plain))
    system = next(Path("/usr/lib").glob(f"*-linux-gnu/{ATOMIC}"), None)
    if system is None:
        print(f"{ATOMIC} is not on this machine, so it isn't packed: LLVM needs it there")
    else:
        shutil.copyfile(system, library / "x86_64-unknown-linux-gnu" / ATOMIC)


def loadable(path: Path) -> bool:
    """Whether every segment to load (ELF64, PT_LOAD) lies where the system's loader can map it."""
    data = path.read_bytes()
    offset, size, count = (
        struct.unpack_from(kind, data, at)[0] for kind, at in (("<Q", 32), ("<H", 54), ("<H", 56))
    )
    for index in range(count):
        kind, _, start, address, _, _, _, align = struct.unpack_from(
            "<IIQQQQQQ", data, offset + index * size
        )
        if kind == 1 and align > 1 and start % align != address % align:
            return False
    return True


def strip(site: Path) -> None:
    """Drop symbols from the renderer's libraries; one that would no longer load stays whole."""
    for path in site.rglob("*.so*"):
        if not path.relative_to(site).as_posix().startswith(STRIPPED):
            continue
        fresh = path.with_name(f"{path.name}.stripped")
        done = subprocess.run(["strip", "--strip-unneeded", "-o", fresh, path], check=False)
        if done.returncode == 0 and loadable(fresh):
            fresh.replace(path)
        else:
            print(f"left whole: {path.relative_to(site)}")
            fresh.unlink(missing_ok=True)


def try_out(python: str, sites: list[Path]) -> None:
    """Import with the other interpreter what can be imported without a card or LLVM."""
    code = "import mitsuba as mi; mi.set_variant('scalar_rgb'); mi.load_dict({'type': 'sphere'})"
    search = os.pathsep.join(str(site) for site in sites)
    subprocess.run([python, "-c", code], env={**os.environ, "PYTHONPATH": search}, check=True)


def compress(site: Path, archive: Path) -> Path:
    """All files of a folder as tar.xz; machine code goes through xz's filter for x86 branches."""
    filters = [
        {"id": lzma.FILTER_X86},
        {"id": lzma.FILTER_LZMA2, "preset": 9},
    ]
    files = [path for path in site.rglob("*") if path.is_file() and "__pycache__" not in path.parts]
    files.sort(key=lambda path: (path.suffix, path.name))  # like beside like packs smaller
    with (
        lzma.open(archive, "wb", filters=filters) as packed,
        tarfile.open(fileobj=packed, mode="w|") as tar,
    ):
        for path in files:
            tar.add(path, path.relative_to(site).as_posix())
    return archive


def into_loads(archives: list[Path], limit_mib: float, out: Path) -> list[list[Path]]:
    """Lay each archive into the first load with room for it; raises ValueError if none could."""
    loads: list[list[Path]] = []
    for archive in archives:
        size = archive.stat().st_size
        if size > limit_mib * MIB:
            raise ValueError(f"{archive.name}: {size / MIB:.1f} MiB, limit {limit_mib:g} MiB")
        fitting = (
            load
            for load in loads
            if size + sum(path.stat().st_size for path in load) <= limit_mib * MIB
        )
        load = next(fitting, None)
        if load is None:
            loads.append(load := [])
        load.append(archive)
    for number, load in enumerate(loads, start=1):
        folder = out / str(number)
        folder.mkdir(parents=True, exist_ok=True)
        for old in folder.glob("*.tar.xz"):
            old.unlink()
        load[:] = [Path(shutil.move(path, folder / path.name)) for path in load]
    return loads


def part_of(name: str) -> str:
    return next((part for part, names in PARTS.items() if name in names), "rest")


def build_part(part: str, wheels: list[Path], site: Path) -> None:
    site.mkdir()
    for wheel in wheels:
        unpack_wheel(wheel, site)
    if part == "llvm":
        keep_llvm_alone(site)
    if part == "renderer" and shutil.which("strip"):
        strip(site)


def version_of(python: str) -> str:
    ask = "import sys; print('%d.%d' % sys.version_info[:2])"
    return subprocess.run([python, "-c", ask], check=True, capture_output=True, text=True).stdout


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path(".carry"), help="folder of the loads")
    parser.add_argument("--limit", type=float, default=52, help="largest load in MiB")
    parser.add_argument(
        "--python", default=sys.executable, help="an interpreter like the one there"
    )
    parser.add_argument("--python-version", help="its version, if there is none like it here")
    parser.add_argument("--glibc", type=int, default=39, help="C library there: 39 is 2.39")
    parser.add_argument("--missing", action="append", default=[], help="a package to pack as well")
    chosen = parser.parse_args()
    packages = needed({canonical(name) for name in chosen.missing})
    with tempfile.TemporaryDirectory() as scratch:
        work = Path(scratch)
        version = chosen.python_version or version_of(chosen.python).strip()
        download(packages, version, chosen.glibc, work / "wheels")
        parts = {part: work / part for part in PARTS}
        for part, site in parts.items():
            wheels = [
                wheel
                for wheel in sorted((work / "wheels").glob("*.whl"))
                if part_of(canonical(wheel.name.split("-")[0])) == part
            ]
            build_part(part, wheels, site)
        if not chosen.python_version:
            try_out(chosen.python, list(parts.values()))
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            packing = [
                pool.submit(compress, site, work / f"{part}.tar.xz") for part, site in parts.items()
            ]
            archives = [each.result() for each in packing]
        loads = into_loads(archives, chosen.limit, chosen.out)
    contents = []
    for number, load in enumerate(loads, start=1):
        sizes = {path.name: round(path.stat().st_size / MIB, 1) for path in load}
        digests = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in load}
        contents.append({"mib": sizes, "sha256": digests})
        print(f"{chosen.out / str(number)}: {sum(sizes.values()):.1f} MiB {sizes}")
    note = {"python": version, "packages": packages, "loads": contents}
    (chosen.out / "packed.json").write_text(json.dumps(note, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
