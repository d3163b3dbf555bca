"""Names of a package that are imported when they are first asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def names_on_demand(package: str, homes: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """What a package takes for its `__getattr__`; `homes` are the names by module below it.

    AttributeError for a name that no module holds, as Python says it.
    """
    home_of = {name: home for home, names in homes.items() for name in names}

    def ask(name: str) -> Any:
        if name not in home_of:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        found = getattr(import_module(f"{package}.{home_of[name]}"), name)
        setattr(sys.modules[package], name, found)
        return found

    return ask
