"""What `import previz` offers: this list and no more, typed, loading nothing until it is used."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import previz

HOUSE = Path(__file__).parents[2]
README = HOUSE / "README.md"
OFFERED = {
    "calls": {
        "balance_scene",
        "check_scene",
        "compare_variants",
        "measure_scene",
        "open_scene",
        "relight_scene",
        "render_scene",
    },
    "what they take": {"BalanceOptions", "CompareRequest", "RelightOptions", "RenderOptions"},
    "what they give": {"Balanced", "Finding", "OpenScene", "Relit", "Rendered", "Report"},
    "what they tell": {"Progress", "Silence"},
    "what goes wrong": {"InputError", "InterruptedRender", "PrevizError"},
}
CALLS = sorted(OFFERED["calls"])


def test_the_list_is_this_one() -> None:
    offered = set().union(*OFFERED.values())
    assert set(previz.__all__) == offered == set(dir(previz))
    assert all(getattr(previz, name).__name__ == name for name in offered)
    with pytest.raises(AttributeError, match="has no attribute 'stage_it'"):
        _ = previz.stage_it


def test_every_name_is_known_to_a_type_checker() -> None:
    text = (HOUSE / "previz" / "__init__.py").read_text(encoding="utf-8")
    typed = text[text.index("if TYPE_CHECKING") : text.index("__all__")]
    assert all(re.search(rf"\b{name}\b", typed) for name in previz.__all__)
    assert (HOUSE / "previz" / "py.typed").exists()


def test_importing_it_loads_nothing_but_the_way_to_load() -> None:
    code = "import sys, previz; print([n for n in sys.modules if n.startswith('previz.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['previz.on_demand']"


def examples() -> str:
    """The section of the README for scripts, as one program."""
    text = README.read_text(encoding="utf-8")
    section = text[text.index("## From a script") :]
    section = section[: section.index("\n## ", 4)] if "\n## " in section[4:] else section
    return "\n".join(re.findall(r"```python\n(.*?)```", section, flags=re.S))


def test_the_examples_of_the_readme_run(tmp_path: Path) -> None:
    """As they stand, on the shipped scene; only the size and the samples are brought down."""
    program = examples()
    assert [name for name in CALLS if f"previz.{name}(" not in program] == []
    small = program.replace('quality="draft"', 'quality="draft", width_px=64, samples=1')
    assert small != program
    (tmp_path / "scenes").symlink_to(HOUSE / "scenes")
    done = subprocess.run(
        [sys.executable, "-c", small],
        cwd=tmp_path, capture_output=True, text=True, check=False, timeout=400,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "look" / "frame_A.png").exists()
    assert list((tmp_path / "lenses").glob("compare_A_focal.*"))
