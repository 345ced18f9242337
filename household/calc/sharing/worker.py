"""The search in a process of its own, so that no web thread ever waits for it or is held up.

`start` writes the week into a folder and starts `python -m household.calc.sharing.worker` on it;
`poll` reads the best plan so far from there. Everything is in files, so any process of the web
server may poll. The child ends by itself at its hard limit, and with the process that started it;
what it had found by then stays.
"""

from __future__ import annotations

import atexit
import json
import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

from household.calc.sharing.envy import lower_envy
from household.calc.sharing.neutral import (
    assignment_from_json,
    assignment_to_json,
    from_json,
    to_json,
)
from household.calc.sharing.problem import Problem
from household.calc.sharing.rates import EVEN, Rates
from household.calc.sharing.solve import (
    Solution,
    describe,
    first_plan,
    plain_bound,
    share_out,
)
from household.calc.sharing.table import tabulate

log = logging.getLogger(__name__)
ROOT = Path(__file__).resolve().parents[3]
GRACE_SECONDS = 10
KEEP_SECONDS = 24 * 3600
_children: dict[str, subprocess.Popen[bytes]] = {}  # kept, so that they can be waited for


@dataclass(frozen=True, slots=True)
class Handle:
    """A running search: `token` names it for another process, see `handle_of`."""

    folder: Path
    token: str


@dataclass(frozen=True, slots=True)
class Progress:
    """The best plan so far (`calmer`: with less envy, once done), and whether more will come.

    `failed` means the child ended without finishing; `solution` then still holds its best.
    """

    solution: Solution
    calmer: Solution | None
    done: bool
    failed: bool

    @property
    def shown(self) -> Solution:
        """The plan to show: the calmer one where there is one."""
        return self.calmer or self.solution


def start(problem: Problem, *, seconds: float, folder: Path, rates: Rates = EVEN) -> Handle:
    """Start a search of at most `seconds` (and as long again at most for lowering envy).

    A first plan from local search is there when this returns, after a fraction of a second.
    OSError if the folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    _tidy(folder)
    for token in [token for token, child in _children.items() if child.poll() is not None]:
        _children.pop(token, None)
    handle = Handle(folder, uuid4().hex)
    table = tabulate(problem, rates)
    order = {
        "problem": to_json(problem),
        "rates": asdict(rates),
        "seconds": seconds,
        "first": {
            "assignment": assignment_to_json(table.read(first_plan(table))),
            "bound": plain_bound(table),
            "limited_by": "time",
            "seconds": 0.0,
        },
    }
    _write(_file(handle, "order"), order)
    with open(_file(handle, "log"), "wb") as complaints:
        child = subprocess.Popen(
            [sys.executable, "-m", __name__, str(folder), handle.token],
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=complaints,
            stderr=complaints,
            start_new_session=True,
        )
    _children[handle.token] = child
    _write(_file(handle, "child"), {"pid": child.pid, "until": time.time() + _limit(seconds)})
    return handle


def handle_of(folder: Path, token: str) -> Handle:
    """The handle of a token made by `start`; ValueError if it is not one."""
    if len(token) != 32 or set(token) - set("0123456789abcdef"):
        raise ValueError("not a token of a search")
    return Handle(folder, token)


def poll(handle: Handle) -> Progress:
    """How far the search is; FileNotFoundError when it is unknown or was tidied away."""
    order = _read(_file(handle, "order"))
    problem, rates = from_json(order["problem"]), Rates(**order["rates"])
    found = _found(handle)
    done = bool(found.get("done"))
    calmer = found.get("calmer")
    return Progress(
        solution=_solution(problem, rates, found.get("best", order["first"])),
        calmer=_solution(problem, rates, calmer) if calmer else None,
        done=done,
        failed=not done and _ended(handle),
    )


def forget(handle: Handle) -> None:
    """Stop the search if it still runs, and remove its files."""
    try:
        child = _read(_file(handle, "child"))
        if not _file(handle, "found").exists() or not _found(handle).get("done"):
            os.kill(child["pid"], signal.SIGTERM)
    except (FileNotFoundError, ProcessLookupError, PermissionError) as gone:
        log.info("search %s had already ended: %s", handle.token, gone)
    if handle.token in _children:
        _children.pop(handle.token).wait(timeout=GRACE_SECONDS)
    for path in handle.folder.glob(f"{handle.token}.*"):
        path.unlink(missing_ok=True)


def stop_all() -> None:
    """End every search that this process started; what they wrote stays. Safe to call again."""
    while _children:
        _, child = _children.popitem()
        child.terminate()
        try:
            child.wait(timeout=GRACE_SECONDS)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()


atexit.register(stop_all)


def work(folder: Path, token: str) -> None:
    """What the child does: improve, write each better plan, then lower envy, then say done."""
    handle = handle_of(folder, token)
    order = _read(_file(handle, "order"))
    problem, rates = from_json(order["problem"]), Rates(**order["rates"])
    seconds = float(order["seconds"])
    _end_at_last(_limit(seconds))
    found: dict[str, Any] = {}

    def tell(solution: Solution) -> None:
        found["best"] = _written(solution)
        _write(_file(handle, "found"), found)

    solution = share_out(problem, seconds=seconds, rates=rates, on_better=tell)
    tell(solution)
    calmer = lower_envy(problem, solution, seconds=max(2.0, seconds - solution.seconds))
    if calmer is not solution:
        found["calmer"] = _written(calmer)
    _write(_file(handle, "found"), found | {"done": True})


def _limit(seconds: float) -> float:
    return 2 * seconds + GRACE_SECONDS


def _end_at_last(seconds: float) -> None:
    # An alarm ends the process even while the solver is deep in its own code.
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.setitimer(signal.ITIMER_REAL, seconds)
        os.nice(5)


def _written(solution: Solution) -> dict[str, Any]:
    return {
        "assignment": assignment_to_json(solution.assignment),
        "bound": solution.bound,
        "limited_by": solution.limited_by,
        "seconds": solution.seconds,
    }


def _solution(problem: Problem, rates: Rates, data: Mapping[str, Any]) -> Solution:
    return describe(
        problem,
        rates,
        assignment_from_json(data["assignment"]),
        bound=data["bound"],
        limited_by=data["limited_by"],
        seconds=data["seconds"],
    )


def _ended(handle: Handle) -> bool:
    try:
        child = _read(_file(handle, "child"))
    except FileNotFoundError:
        return False
    if time.time() > child["until"]:
        return True
    if handle.token in _children:
        return _children[handle.token].poll() is not None
    try:
        os.kill(child["pid"], 0)
    except ProcessLookupError:
        return True
    except PermissionError:
        return False
    return False


def _found(handle: Handle) -> dict[str, Any]:
    try:
        return _read(_file(handle, "found"))
    except FileNotFoundError:
        return {}


def _file(handle: Handle, what: str) -> Path:
    return handle.folder / f"{handle.token}.{what}"


def _read(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def _write(path: Path, data: Mapping[str, Any]) -> None:
    # Written beside and moved into place, so that nobody reads half a file.
    beside = path.with_name(f"{path.name}.new")
    beside.write_text(json.dumps(data), encoding="utf-8")
    beside.replace(path)


def _tidy(folder: Path) -> None:
    old = time.time() - KEEP_SECONDS
    for path in folder.glob("*.*"):
        try:
            if path.stat().st_mtime < old:
                path.unlink(missing_ok=True)
        except FileNotFoundError:
            continue


if __name__ == "__main__":
    logging.basicConfig(level=logging.INFO)
    work(Path(sys.argv[1]), sys.argv[2])
