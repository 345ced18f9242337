"""The lock before each transaction on SQLite: one at a time, in the order in which they came."""

from __future__ import annotations

import threading
import time

import pytest

from household.kit.writing import InTurn

LONG = 10  # seconds; nothing here takes long unless it is wrong


def wait_until_waiting(lock: InTurn, count: int) -> None:
    deadline = time.monotonic() + LONG
    while len(lock._waiting) < count:
        assert time.monotonic() < deadline
        time.sleep(0.001)


def test_threads_pass_in_the_order_in_which_they_came() -> None:
    lock, passed = InTurn(), []

    def work(number: int) -> None:
        with lock:
            passed.append(number)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(12)]
    with lock:
        for count, thread in enumerate(threads, start=1):
            thread.start()
            wait_until_waiting(lock, count)
        assert passed == []
    for thread in threads:
        thread.join(LONG)
    assert passed == list(range(12))


def test_nobody_passes_by_those_who_wait() -> None:
    """Whoever lets it go and comes at once again is behind the one who waited."""
    lock, passed = InTurn(), []

    def work() -> None:
        with lock:
            passed.append("waited")

    thread = threading.Thread(target=work)
    with lock:
        thread.start()
        wait_until_waiting(lock, 1)
    with lock:
        passed.append("came again")
    thread.join(LONG)
    assert passed == ["waited", "came again"]


def test_who_has_it_may_enter_it_again() -> None:
    lock, inside = InTurn(), threading.Event()

    def work() -> None:
        with lock:
            inside.set()

    thread = threading.Thread(target=work)
    with lock:
        with lock:
            thread.start()
            wait_until_waiting(lock, 1)
        assert not inside.wait(0.01), "the first entry still holds it"
    assert inside.wait(LONG)
    thread.join(LONG)


def test_an_error_inside_lets_it_go() -> None:
    lock = InTurn()
    with pytest.raises(ZeroDivisionError), lock:
        raise ZeroDivisionError
    thread = threading.Thread(target=lambda: lock.__enter__())
    thread.start()
    thread.join(LONG)
    assert not thread.is_alive()


def test_never_two_at_once() -> None:
    lock, inside, most, done = InTurn(), 0, 0, 0

    def work() -> None:
        nonlocal inside, most, done
        for _ in range(50):
            with lock:
                inside += 1
                most = max(most, inside)
                time.sleep(0)
                inside -= 1
                done += 1

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(LONG)
    assert (most, done) == (1, 400)
