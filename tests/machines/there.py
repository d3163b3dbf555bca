"""Run previz on a machine as it is, or on one that has only Python and what `pack.py` packed.

    python3 tests/machines/there.py --archives .carry/1 --archives .carry/2 --out found proof draft

Without --archives and --site the packages of the running interpreter are used. Every stage is a
process of its own with its own limit; one that fails or runs out of time doesn't stop the next.
Written into --out after each stage: results.json, table.md, log.txt, and what stages made.
Seconds are from the start of the process to its end, so they hold the imports.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import platform
import re
import shlex
import shutil
import signal
import subprocess
import sys
import tarfile
import time
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from stages import HOUSE, Step, last_line, steps

SITE = Path("/tmp/previz-site")
WORK = "previz-there"  # this name alone is ever emptied
GRACE_S = 5.0
LIMITS_S = {
    "proof": 240.0, "tests": 420.0, "bench": 240.0, "draft": 180.0, "review": 240.0,
    "final": 400.0, "meters": 240.0,
}  # fmt: skip
VERSIONS = """
import importlib.metadata as m
for name in ("mitsuba", "drjit", "mitsuba-oidn", "karellen-llvm-core", "numpy", "scipy", "pytest"):
    try: print(name, m.version(name))
    except m.PackageNotFoundError: print(name, "missing")
"""


@dataclass(frozen=True)
class Result:
    """What became of a step. `status` is None when it was stopped at its limit or never ran."""

    stage: str
    label: str
    outcome: str
    seconds: float
    limit_s: float
    status: int | None
    peak_mib: float
    figures: str = ""


def run(
    command: Sequence[str], limit_s: float, environment: Mapping[str, str], folder: Path
) -> tuple[int | None, float, float]:
    """Run to the end or to the limit; exit status (None: stopped), seconds, peak MiB.

    Output goes into `folder`: stdout and stderr. The peak is of the process or the largest of
    its children. At the limit it is asked to stop, as by Ctrl-C, then ended with its children.
    """
    began = time.perf_counter()
    with (folder / "stdout").open("wb") as out, (folder / "stderr").open("wb") as err:
        process = subprocess.Popen(
            command, cwd=HOUSE, env=environment, stdout=out, stderr=err, start_new_session=True
        )
    stopping = [(limit_s, signal.SIGINT), (limit_s + GRACE_S, signal.SIGKILL)]
    stopped = False
    while True:
        pid, status, usage = os.wait4(process.pid, os.WNOHANG)
        seconds = time.perf_counter() - began
        if pid:
            process.returncode = os.waitstatus_to_exitcode(status)
            break
        if stopping and seconds > stopping[0][0]:
            os.killpg(process.pid, stopping.pop(0)[1])
            stopped = True
        time.sleep(0.01)
    return None if stopped else process.returncode, seconds, usage.ru_maxrss / 1024


def outcome_of(status: int | None, good: Sequence[int]) -> str:
    if status is None:
        return "out of time"
    if status < 0:
        return f"ended by signal {-status}"
    return "done" if status in good else f"failed, exit status {status}"


def allowed_s(limit_s: float, left_s: float) -> float:
    """Limit of a step when only so much is left of the whole; the grace fits into it too."""
    return max(0.0, min(limit_s, left_s - GRACE_S))


def table(results: Sequence[Result]) -> str:
    """Results as a Markdown table."""
    lines = [
        "| stage | what | outcome | seconds | limit s | peak MiB | found |",
        "|---|---|---|---:|---:|---:|---|",
    ]
    for result in results:
        cells = (
            result.stage, result.label, result.outcome, f"{result.seconds:.1f}",
            f"{result.limit_s:.0f}", f"{result.peak_mib:.0f}", result.figures,
        )  # fmt: skip
        escaped = (" ".join(cell.split()).replace("|", "\\|") for cell in cells)
        lines.append(f"| {' | '.join(escaped)} |")
    return "\n".join(lines) + "\n"


def step_environment(environment: Mapping[str, str], home: Path, cold: bool) -> dict[str, str]:
    """The environment of a step: a home of its own, so that all caches are known to be ours."""
    if cold:
        shutil.rmtree(home, ignore_errors=True)
    home.mkdir(parents=True, exist_ok=True)
    caches = {
        "HOME": str(home),
        "XDG_CACHE_HOME": str(home / "cache"),
        "CUDA_CACHE_PATH": str(home / "cuda"),
        "OPTIX_CACHE_PATH": str(home / "optix"),
    }
    return {**environment, **caches}


def take(step: Step, limit_s: float, left_s: float, environment: Mapping[str, str],
         work: Path, out: Path) -> Result:  # fmt: skip
    """Run one step, add its output to the log, and keep what it made."""
    allowed = allowed_s(limit_s, left_s)
    none_yet = Result(step.stage, step.label, "no time left", 0.0, allowed, None, 0.0)
    if allowed == 0.0:
        return none_yet
    own = step_environment(environment, work / "home", step.cold)
    status, seconds, peak_mib = run(step.command, allowed, own, work)
    output = (work / "stdout").read_text(encoding="utf-8", errors="replace")
    errors = (work / "stderr").read_text(encoding="utf-8", errors="replace")
    with (out / "log.txt").open("a", encoding="utf-8") as log:
        log.write(f"== {step.stage}, {step.label}: {shlex.join(step.command)}\n")
        log.write(f"{'' if step.keep_output else output}{errors}== status {status}, "
                  f"{seconds:.1f} s\n\n")  # fmt: skip
    if step.keep_output and output:
        (out / step.keep_output).write_text(output, encoding="utf-8")
    for name, kept in step.keep.items():
        if (step.made / name).is_file():
            shutil.copyfile(step.made / name, out / kept)
    outcome = outcome_of(status, step.good)
    return replace(
        none_yet, outcome=outcome, seconds=seconds, status=status, peak_mib=peak_mib,
        figures=figures_of(step, outcome, output, errors),
    )  # fmt: skip


def figures_of(step: Step, outcome: str, output: str, errors: str) -> str:
    """What a step found; of one that found nothing, the last line it wrote."""
    try:
        return step.figures(output, step.made)
    except (OSError, ValueError, KeyError, TypeError) as error:
        last = last_line(errors, step.made) or last_line(output, step.made)
        return last if outcome != "done" else f"output not understood: {error!r}"


def unpack(archives: Sequence[Path], site: Path) -> None:
    """Unpack every archive in the folders into `site`, unless the same one was before."""
    marks = site / ".unpacked"
    marks.mkdir(parents=True, exist_ok=True)
    found = [path for folder in archives for path in sorted(folder.glob("*.tar.xz"))]
    if archives and not found:
        raise SystemExit(f"no *.tar.xz in {', '.join(map(str, archives))}; pack.py makes them")
    for path in found:
        mark = marks / f"{path.name}.{hashlib.sha256(path.read_bytes()).hexdigest()}"
        if mark.exists():
            continue
        with tarfile.open(path) as tar:
            tar.extractall(site, filter="data")
        mark.touch()
    if found:  # as pip does, so that the first stage doesn't pay for it
        command = [sys.executable, "-m", "compileall", "-q", "-j0", str(site)]
        subprocess.run(command, check=False, stdout=subprocess.DEVNULL)


def name_checkout(site: Path) -> None:
    """Let the checkout be known as the package previz, which is asked for its version."""
    project = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    name, version = project["name"], project["version"]
    note = site / f"{name}-{version}.dist-info" / "METADATA"
    note.parent.mkdir(parents=True, exist_ok=True)
    text = f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
    note.write_text(text, encoding="utf-8")


def with_site(site: Path | None, before: Mapping[str, str]) -> dict[str, str]:
    """An environment in which Python finds this checkout and then `site`, and previz its LLVM."""
    paths = [str(HOUSE), *([str(site)] if site else [])]
    environment = {**before, "PYTHONPATH": os.pathsep.join(paths)}
    # Plugins that happen to be installed there may warn, and a warning fails these tests.
    environment["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    llvm = site / "lib" / "libLLVM.so" if site else None
    if llvm and llvm.exists():
        environment["DRJIT_LIBLLVM_PATH"] = str(llvm)
    return environment


def said_by(command: Sequence[str], environment: Mapping[str, str] | None = None) -> str:
    """What a short command prints, on one line; empty if it isn't there or fails."""
    try:
        done = subprocess.run(
            command, env=environment, cwd=HOUSE, capture_output=True, text=True, timeout=60,
            check=True,
        )  # fmt: skip
    except (OSError, subprocess.SubprocessError):
        return ""
    return "; ".join(done.stdout.split("\n")).strip("; ")


def machine(environment: Mapping[str, str]) -> dict[str, str]:
    """What the figures were measured on, and with."""
    processor = re.search(r"Model name:\s*(.+)", said_by(["lscpu"]).replace("; ", "\n"))
    query = "--query-gpu=name,driver_version,memory.total"
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return {
        "card": said_by(["nvidia-smi", query, "--format=csv,noheader"]) or "none found",
        "processor": processor.group(1) if processor else platform.processor(),
        "cores": str(os.cpu_count()),
        "memory": f"{memory:.1f} GiB",
        "system": platform.platform(),
        "python": f"{platform.python_version()}, {sys.executable}",
        "packages": said_by([sys.executable, "-c", VERSIONS], environment),
        "checkout": said_by(["git", "describe", "--always", "--dirty"]) or "unknown",
        "measured": time.strftime("%Y-%m-%d %H:%M UTC", time.gmtime()),
    }


def write(out: Path, facts: Mapping[str, str], results: Sequence[Result]) -> str:
    """Write the table and the JSON, and give the table with the machine's facts above it."""
    text = "".join(f"- {name}: {value}\n" for name, value in facts.items()) + "\n" + table(results)
    (out / "table.md").write_text(text, encoding="utf-8")
    whole = {"machine": facts, "results": [asdict(result) for result in results]}
    (out / "results.json").write_text(json.dumps(whole, indent=2) + "\n", encoding="utf-8")
    return text


def stage_limit(text: str) -> tuple[str, float]:
    """STAGE=SECONDS, as given to --limit."""
    stage, _, seconds = text.partition("=")
    if stage not in LIMITS_S:
        raise argparse.ArgumentTypeError(f"{stage!r} is no stage; there are {', '.join(LIMITS_S)}")
    return stage, float(seconds)


def arguments(words: Sequence[str] | None = None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stages", nargs="*", metavar="STAGE", help=", ".join(LIMITS_S))
    parser.add_argument("--out", type=Path, required=True, help="folder for what is found")
    parser.add_argument(
        "--archives",
        type=Path,
        action="append",
        default=[],
        help="folder of archives to unpack; may be given again",
    )
    parser.add_argument(
        "--site", type=Path, help=f"where they are or were unpacked; else {SITE} with --archives"
    )
    parser.add_argument(
        "--work",
        type=Path,
        default=Path("/tmp"),
        help="where pictures and caches go, in a folder of their own",
    )
    parser.add_argument(
        "--limit",
        type=stage_limit,
        action="append",
        default=[],
        metavar="STAGE=SECONDS",
        help="another limit for each process of a stage",
    )
    parser.add_argument(
        "--within",
        type=float,
        default=float("inf"),
        metavar="SECONDS",
        help="all stages together, unpacking included",
    )
    parser.add_argument("--compute", help="what to render and measure on; else the fastest")
    chosen = parser.parse_args(words)
    for stage in chosen.stages:
        if stage not in LIMITS_S:
            parser.error(f"{stage!r} is no stage; there are {', '.join(LIMITS_S)}")
    if chosen.archives and chosen.site is None:
        chosen.site = SITE
    return chosen


def main() -> None:
    began = time.monotonic()
    chosen = arguments()
    chosen.out.mkdir(parents=True, exist_ok=True)
    (chosen.out / "log.txt").unlink(missing_ok=True)
    work = chosen.work / WORK
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir(parents=True)
    if chosen.site:
        unpack(chosen.archives, chosen.site)
        name_checkout(chosen.site)
    environment = with_site(chosen.site, os.environ)
    facts = machine(environment)
    facts["unpacked in"] = f"{time.monotonic() - began:.1f} s"
    limits = {**LIMITS_S, **dict(chosen.limit)}
    results: list[Result] = []
    write(chosen.out, facts, results)
    for stage in chosen.stages:
        for step in steps(stage, work, chosen.compute):
            left_s = chosen.within - (time.monotonic() - began)
            result = take(step, limits[stage], left_s, environment, work, chosen.out)
            results.append(result)
            write(chosen.out, facts, results)
            print(f"{stage}, {step.label}: {result.outcome}, {result.seconds:.1f} s", flush=True)
    print(write(chosen.out, facts, results))


if __name__ == "__main__":
    main()
