"""Work that follows on another thread: in order, all of it or what failed, and never for ever."""

from __future__ import annotations

import threading
import time

import pytest

from previz.deliver.behind import MOST_WAITING, Behind


def test_all_is_done_in_order_on_another_thread() -> None:
    done: list[int] = []
    threads = set()

    def work(number: int) -> None:
        threads.add(threading.get_ident())
        done.append(number)

    with Behind(work) as behind:
        for number in range(50):
            behind.take(number)
    assert done == list(range(50))
    assert len(threads) == 1 and threading.get_ident() not in threads


def test_it_runs_ahead_by_no_more_than_a_few() -> None:
    go, handed = threading.Event(), []

    def hand_out(behind: Behind[[int]]) -> None:
        for number in range(20):
            behind.take(number)
            handed.append(number)

    with Behind(lambda _number: go.wait(10)) as behind:
        handing = threading.Thread(target=hand_out, args=(behind,))
        handing.start()
        time.sleep(0.1)
        assert len(handed) <= MOST_WAITING + 1
        go.set()
        handing.join()


def test_an_error_is_raised_where_work_is_handed_out() -> None:
    def work(number: int) -> None:
        if number == 3:
            raise OSError(28, "full")

    with pytest.raises(OSError, match="full"), Behind(work) as behind:
        for number in range(1000):
            behind.take(number)
    with pytest.raises(OSError, match="full"), Behind(work) as behind:
        behind.take(3)


def test_when_handing_out_ends_early_what_waits_is_dropped() -> None:
    done: list[int] = []

    def work(number: int) -> None:
        time.sleep(0.05)
        done.append(number)

    with pytest.raises(KeyboardInterrupt), Behind(work) as behind:
        for number in range(4):
            behind.take(number)
        raise KeyboardInterrupt
    assert len(done) < 4
