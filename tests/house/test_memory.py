"""The memory of a process: what is kept, how long, and that without one nothing is."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from threading import Barrier

import pytest

from previz.memory import Memory, remembered


class Made:
    """Objects told apart, and how often each was built."""

    def __init__(self) -> None:
        self.built: Counter[str] = Counter()

    def one(self, key: str) -> object:
        def build() -> object:
            self.built[key] += 1
            return object()

        return remembered(key, build)


def test_without_a_round_everything_is_built_anew() -> None:
    made = Made()
    assert made.one("a") is not made.one("a")


def test_within_rounds_of_one_memory_the_same_key_is_the_same_object() -> None:
    made, memory = Made(), Memory()
    with memory.round():
        first = made.one("a")
        assert made.one("a") is first
    with memory.round():
        assert made.one("a") is first and made.one("b") is not first
    with Memory().round():
        assert made.one("a") is not first
    assert made.built == {"a": 2, "b": 1}


def test_what_no_round_has_used_for_long_is_let_go() -> None:
    made, memory = Made(), Memory(rounds=2)
    with memory.round():
        first = made.one("a")
    with memory.round():
        made.one("b")
    with memory.round():
        # Tried and taken back: it was used in the round before the last.
        assert made.one("a") is first
    for name in "cd":
        with memory.round():
            made.one(name)
    assert len(memory) == 2
    with memory.round():
        assert made.one("a") is not first


def test_failures_in_a_row_keep_nothing_and_age_nothing() -> None:
    made, memory = Made(), Memory(rounds=2)
    with memory.round():
        first = made.one("a")
    for number in range(9):
        with pytest.raises(ValueError, match="broken"), memory.round():
            made.one(f"new {number}")
            raise ValueError("broken")
    assert len(memory) == 1
    with memory.round():
        assert made.one("a") is first


def test_two_that_build_the_same_at_once_get_one_object() -> None:
    memory, both = Memory(), Barrier(2)

    def build() -> object:
        both.wait()
        return object()

    with memory.round(), ThreadPoolExecutor(2) as pool:
        begun = [pool.submit(copy_context().run, remembered, "a", build) for _ in range(2)]
        one, other = (work.result() for work in begun)
    assert one is other and len(memory) == 1
