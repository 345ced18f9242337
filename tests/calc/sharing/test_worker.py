"""The search in a process of its own."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from household.calc.sharing import share_out, worker
from household.calc.sharing.aims import broken_limits
from tests.calc.sharing.made import small_problem

PATIENCE = 120


def until_ended(handle: worker.Handle) -> worker.Progress:
    for _ in range(PATIENCE * 10):
        progress = worker.poll(handle)
        if progress.done or progress.failed:
            return progress
        time.sleep(0.1)
    raise AssertionError("the search did not end")


def test_a_plan_is_there_at_once_and_the_proven_one_later(tmp_path: Path) -> None:
    problem = small_problem(7, members=3, tasks=20)
    handle = worker.start(problem, seconds=60, folder=tmp_path)
    first = worker.poll(handle).solution
    assert broken_limits(problem, first.assignment) == ()
    last = until_ended(worker.handle_of(tmp_path, handle.token))
    assert last.done
    assert last.solution.proven
    assert last.solution.value <= first.value
    assert last.solution.assignment == share_out(problem, seconds=60).assignment
    worker.forget(handle)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(FileNotFoundError):
        worker.poll(handle)


def test_a_child_that_dies_leaves_the_best_plan_so_far(tmp_path: Path) -> None:
    problem = small_problem(8, members=4, tasks=30)
    handle = worker.start(problem, seconds=60, folder=tmp_path)
    child = worker._children[handle.token]
    os.kill(child.pid, signal.SIGKILL)
    child.wait()
    progress = worker.poll(handle)
    assert progress.failed or progress.done
    assert broken_limits(problem, progress.solution.assignment) == ()
    worker.forget(handle)


def test_a_search_can_be_forgotten_while_it_runs(tmp_path: Path) -> None:
    handle = worker.start(small_problem(9, members=5, tasks=60), seconds=60, folder=tmp_path)
    child = worker._children[handle.token]
    worker.forget(handle)
    assert child.returncode is not None
    assert list(tmp_path.iterdir()) == []


def test_stopping_all_waits_for_each_and_keeps_what_was_found(tmp_path: Path) -> None:
    problem = small_problem(10, members=5, tasks=80)
    handles = [worker.start(problem, seconds=60, folder=tmp_path) for _ in range(2)]
    children = [worker._children[handle.token] for handle in handles]
    worker.stop_all()
    assert all(child.returncode is not None for child in children)
    assert worker._children == {}
    for handle in handles:
        progress = worker.poll(handle)
        assert progress.failed or progress.done
        assert broken_limits(problem, progress.solution.assignment) == ()
    worker.stop_all()


def test_a_process_that_ends_takes_its_searches_with_it_and_warns_of_nothing(
    tmp_path: Path,
) -> None:
    code = (
        "import sys, pathlib\n"
        "from household.calc.sharing import worker\n"
        "from tests.calc.sharing.made import small_problem\n"
        "handle = worker.start(small_problem(9, members=5, tasks=80), seconds=60,"
        " folder=pathlib.Path(sys.argv[1]))\n"
        "print(worker._children[handle.token].pid)"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    with pytest.raises(ProcessLookupError):
        os.kill(int(done.stdout), 0)


def test_old_files_are_tidied_away(tmp_path: Path) -> None:
    old = tmp_path / "0.order"
    old.write_text("{}")
    os.utime(old, (1, 1))
    handle = worker.start(small_problem(1), seconds=20, folder=tmp_path)
    assert not old.exists()
    until_ended(handle)
    worker.forget(handle)


@pytest.mark.parametrize("token", ["", "../etc/passwd", "g" * 32, "A" * 32])
def test_only_own_tokens_are_taken(tmp_path: Path, token: str) -> None:
    with pytest.raises(ValueError, match="token"):
        worker.handle_of(tmp_path, token)


def test_the_child_works_without_django() -> None:
    code = (
        "import sys, household.calc.sharing.worker, household.calc.fitting;"
        "print([m for m in sys.modules if m.split('.')[0] == 'django'])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
