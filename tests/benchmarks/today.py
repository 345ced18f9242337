"""Today on the real server against a view that only asks whose session it is.

    .venv/bin/python -m tests.benchmarks.today [--rounds 40]

One worker with threads on SQLite, as manage.py serve runs it, and clients on this machine that
keep their connections. All views take turns in every round, so that a busy machine slows them
alike: only the ratios of one run hold. Targets, in yardsticks: Today with 30 tasks built anew
4.0, unchanged 2.0, as a 304 1.5; one whole tick 3.0, and 4.0 at 8 connections, against the
yardstick at as many.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import threading
import time
import uuid
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.benchmarks.serving import Answer, Client, Hub, own_folder, signed_in

if TYPE_CHECKING:
    from tests.full_home import Home

EACH = 10  # requests of one kind, one after the other, in a round
AT_ONCE = 8
MOST_BYTES = 4096
PACKED = {"Accept-Encoding": "gzip"}
FRAGMENT = {"HX-Request": "true"}


@dataclass(frozen=True)
class Row:
    """Milliseconds a request by the clock and of the processor, and both in yardsticks."""

    name: str
    clock: float
    times: float
    cpu: float
    cpu_times: float
    target: float | None


@dataclass(frozen=True)
class Took:
    """Milliseconds a request in one round: the median by the clock, the mean of the processor."""

    clock: float
    cpu: float


def timed(hub: Hub, ask: Callable[[], Answer], status: int) -> Took:
    ran, clock = hub.cpu(), []
    for _ in range(EACH):
        begin = time.perf_counter()
        answer = ask()
        clock.append(time.perf_counter() - begin)
        assert answer.status == status, (answer.status, answer.body[:300])
    return Took(statistics.median(clock) * 1000, (hub.cpu() - ran) / EACH)


class Ticking:
    """Ticks one open task after the other; `renew` opens them all again, outside the clock."""

    def __init__(self, base: str, tasks: list[int]) -> None:
        self.base, self.tasks, self.at = base, tasks, 0

    def __call__(self, client: Client) -> Answer:
        task = self.tasks[self.at]
        self.at += 1
        fields = {"tick_id": str(uuid.uuid4()), "done_at": "2026-01-01T10:00:00Z"}
        page = {"HX-Current-URL": f"http://127.0.0.1{self.base}/today/", **FRAGMENT}
        return client.post(f"{self.base}/tasks/{task}/tick/", fields, page)

    def renew(self) -> None:
        from household.chores.models import Chore, State, Task

        tasks = Task.objects.filter(pk__in=self.tasks)
        tasks.update(state=State.OPEN, done_at=None, done_on=None, done_by=None)
        Chore.objects.filter(tasks__in=tasks).update(last_done_on=None)
        self.at = 0


def together(hub: Hub, clients: list[Client], ask: Callable[[int, Client], Answer]) -> Took:
    """When each client asks EACH times beside the others: all the time by all requests."""

    def work(number: int, client: Client) -> None:
        for _ in range(EACH):
            answer = ask(number, client)
            assert answer.status == 200, answer.status

    threads = [threading.Thread(target=work, args=each) for each in enumerate(clients)]
    ran = hub.cpu()
    begin = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    took, asked = time.perf_counter() - begin, EACH * len(clients)
    return Took(took * 1000 / asked, (hub.cpu() - ran) / asked)


def more_tasks(home: Home, count: int) -> list[int]:
    """Tasks for ticking, each of one of the chores."""
    from household.chores.models import Task

    made = Task.objects.bulk_create(
        Task(
            household=home.household,
            chore=home.chores[n % len(home.chores)],
            name=f"Wipe shelf {n}",
            area=home.chores[n % len(home.chores)].area,
            minutes=10,
            opens=home.today,
            closes=home.today,
            day=home.today,
            member=home.members[0],
        )
        for n in range(count)
    )
    return [task.pk for task in made]


def measure(rounds: int) -> list[Row]:
    from django.utils import timezone

    from tests.full_home import full_home

    home = full_home(timezone.now())
    reader, ticker = full_home(timezone.now()), home.household
    base, quiet = f"/h/{ticker.pk}", f"/h/{reader.household.pk}"
    account = home.members[0].account
    still = reader.members[0].account
    tasks = more_tasks(home, EACH * (AT_ONCE + 1))
    shares = [tasks[n :: AT_ONCE + 1] for n in range(AT_ONCE + 1)]
    with Hub() as hub:
        looking, one = signed_in(still), signed_in(account)
        many = [signed_in(account) for _ in range(AT_ONCE)]
        for client in (one, *many):
            client.learn_token(f"{base}/today/")
        looking.learn_token(f"{quiet}/today/")
        first = looking.get(f"{quiet}/today/")
        assert first.body.count(b'<li class="row') == 30, first.body.count(b'<li class="row')
        known = {"If-None-Match": first.headers["ETag"]}
        packed = looking.get(f"{quiet}/today/", PACKED)
        assert packed.headers["Content-Encoding"] == "gzip"
        print(f"{len(packed.body)} bytes gzipped (at most {MOST_BYTES}), {len(first.body)} plain\n")
        anew = f"/bench/{reader.household.pk}/anew/"
        alone, *each = [Ticking(base, share) for share in shares]
        kinds: dict[str, tuple[Callable[[], Answer], int]] = {
            "bare": (lambda: looking.get("/bench/bare/"), 200),
            "anew": (lambda: looking.get(anew), 200),
            "same": (lambda: looking.get(f"{quiet}/today/"), 200),
            "anew_packed": (lambda: looking.get(anew, PACKED), 200),
            "same_packed": (lambda: looking.get(f"{quiet}/today/", PACKED), 200),
            "known": (lambda: looking.get(f"{quiet}/today/", known), 304),
            "tick": (lambda: alone(one), 200),
        }
        rounds_of: dict[str, list[Took]] = defaultdict(list)
        for turn in range(rounds + 2):
            for ticking in (alone, *each):
                ticking.renew()
            took = {name: timed(hub, ask, status) for name, (ask, status) in kinds.items()}
            took["bare8"] = together(hub, many, lambda n, client: client.get("/bench/bare/"))
            took["tick8"] = together(hub, many, lambda n, client: each[n](client))
            if turn >= 2:  # the first rounds warm up
                for name, value in took.items():
                    rounds_of[name].append(value)
    return rows_of(rounds_of)


def rows_of(rounds_of: dict[str, list[Took]]) -> list[Row]:
    """The median of all rounds, and the median of what each round says of the ratio."""

    def row(words: str, name: str, yardstick: str, target: float | None = None) -> Row:
        took, bare = rounds_of[name], rounds_of[yardstick]
        return Row(
            words,
            statistics.median(one.clock for one in took),
            statistics.median(
                one.clock / other.clock for one, other in zip(took, bare, strict=True)
            ),
            statistics.fmean(one.cpu for one in took),
            sum(one.cpu for one in took) / sum(one.cpu for one in bare),
            target,
        )

    return [
        row("session and user", "bare", "bare"),
        row("Today, 30 tasks, built anew", "anew", "bare", 4.0),
        row("Today, unchanged", "same", "bare", 2.0),
        row("built anew, gzipped", "anew_packed", "bare"),
        row("unchanged, gzipped", "same_packed", "bare"),
        row("Today, 304", "known", "bare", 1.5),
        row("one whole tick", "tick", "bare", 3.0),
        row("session and user, 8 connections", "bare8", "bare8"),
        row("one whole tick, 8 connections", "tick8", "bare8", 4.0),
    ]


def show(rows: list[Row]) -> bool:
    print(f"{'':<34}{'ms':>8}{'x':>7}{'cpu ms':>9}{'cpu x':>7}{'target':>8}")
    for row in rows:
        target = f"{row.target:>8.1f}" if row.target else ""
        print(
            f"{row.name:<34}{row.clock:>8.2f}{row.times:>7.2f}"
            f"{row.cpu:>9.2f}{row.cpu_times:>7.2f}{target}"
        )
    return all(row.target is None or row.times <= row.target for row in rows)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=40)
    options = parser.parse_args()
    with own_folder():
        return 0 if show(measure(min(options.rounds, 500))) else 1


if __name__ == "__main__":
    sys.exit(main())
