"""Sixteen phones that tick at once, and a hub that is killed in the middle of it.

    .venv/bin/python -m tests.benchmarks.load [--seconds 30] [--kills 20]

The server is `manage.py serve` on SQLite, as a home runs it. One phone alone and sixteen together
take turns in slices of five seconds, so that a busy machine slows them alike: only the ratios of
one run hold. Every twentieth tick is sent a second time under the same id, as a phone does that
missed the answer. What was acknowledged is looked for in the database, not in later answers.

Targets: no error, no tick lost and none twice; together at least as many ticks a second as alone;
the 99th percentile at most four times the median. Then the server and its worker are killed
(SIGKILL) at a random moment, again and again: each tick that was acknowledged is there, SQLite
finds its file whole (PRAGMA integrity_check), and what was on its way is sent again and counts
once.
"""

from __future__ import annotations

import argparse
import http.client
import random
import statistics
import sys
import threading
import time
import uuid
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tests.benchmarks.serving import REAL, Answer, Client, Hub, own_folder, signed_in

if TYPE_CHECKING:
    from household.people.models import Household, Member

PHONES = 16
SLICE = 5.0  # seconds
MOST_A_SECOND = 1500  # ticks; tasks are made for so many
TWICE_EVERY = 20
SPREAD = 4.0  # the most that the 99th percentile may be of the median


@dataclass
class Phone:
    """One member's phone: its connection, and what became of each tick that it sent."""

    client: Client
    base: str
    acknowledged: dict[int, uuid.UUID] = field(default_factory=dict)  # by task
    on_its_way: dict[int, uuid.UUID] = field(default_factory=dict)
    seconds: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)

    def work(self, tasks: Iterable[int], until: threading.Event) -> None:
        for number, task in enumerate(tasks):
            if until.is_set():
                return
            key = self.on_its_way[task] = uuid.uuid4()
            if not self._send(task, key) or (number % TWICE_EVERY == 0 and not self._again(task)):
                return
        raise RuntimeError("a phone ran out of tasks: make more")

    def send_what_was_on_its_way(self) -> None:
        for task, key in list(self.on_its_way.items()):
            self._send(task, key)

    def _send(self, task: int, key: uuid.UUID) -> bool:
        begin = time.perf_counter()
        try:
            answer = self.tick(task, key)
        except (OSError, http.client.HTTPException) as error:
            self.errors.append(repr(error))
            return False
        self.seconds.append(time.perf_counter() - begin)
        if answer.status != 200:
            self.errors.append(f"{answer.status} {answer.body[:200]!r}")
            return True
        self.acknowledged[task] = key
        del self.on_its_way[task]
        return True

    def _again(self, task: int) -> bool:
        """Sends a tick anew that was acknowledged already; it is not counted, nor timed."""
        try:
            answer = self.tick(task, self.acknowledged[task])
        except (OSError, http.client.HTTPException) as error:
            self.errors.append(repr(error))
            return False
        if answer.status != 200:
            self.errors.append(f"again: {answer.status}")
        return True

    def tick(self, task: int, key: uuid.UUID) -> Answer:
        page = {"HX-Request": "true", "HX-Current-URL": f"http://127.0.0.1{self.base}/today/"}
        fields = {"tick_id": str(key), "done_at": "2026-01-01T10:00:00Z"}
        return self.client.post(f"{self.base}/tasks/{task}/tick/", fields, page)

    def clear(self) -> None:
        for what in (self.acknowledged, self.on_its_way, self.seconds, self.errors):
            what.clear()


@dataclass(frozen=True)
class Found:
    """What a time of ticking came to, by the phones and by the database."""

    ticks: int
    rate: float  # a second
    seconds: list[float]
    errors: list[str]
    lost: int
    twice: int


def new_home() -> list[Member]:
    from django.utils import timezone

    from tests.factories import make_household, make_member

    now = timezone.now()
    household = make_household(daily_at=now)
    household.daily_on = household.today(now)
    household.save()
    return [make_member(household, f"Member {n}", role="organiser") for n in range(PHONES)]


def new_tasks(household: Household, count: int) -> list[int]:
    from django.utils import timezone

    from household.chores.models import Task

    today = household.today(timezone.now())
    made = Task.objects.bulk_create(
        [
            Task(household=household, name=f"Wipe shelf {n}", minutes=5, opens=today, closes=today)
            for n in range(count)
        ],
        batch_size=500,
    )
    return [task.pk for task in made]


def ticking(household: Household, phones: list[Phone], seconds: float, hub: Hub | None) -> Found:
    """Let the phones tick for so long; then kill the hub if one is given, and look."""
    tasks = new_tasks(household, int(MOST_A_SECOND * seconds) + PHONES)
    stop = threading.Event()
    threads = [
        threading.Thread(target=phone.work, args=(tasks[n :: len(phones)], stop))
        for n, phone in enumerate(phones)
    ]
    for phone in phones:
        phone.clear()
    begin = time.perf_counter()
    for thread in threads:
        thread.start()
    time.sleep(seconds)
    if hub is not None:
        hub.kill()
    stop.set()
    for thread in threads:
        thread.join()
    took = time.perf_counter() - begin
    return looked_up(phones, tasks, took)


def looked_up(phones: list[Phone], tasks: list[int], took: float) -> Found:
    """Each acknowledged tick: is it in the database, under its id, and once?"""
    from household.chores.models import Did, Entry, State, Task

    span = {"task_id__gte": tasks[0], "task_id__lte": tasks[-1]}
    entries = list(Entry.objects.filter(did=Did.TICKED, **span).values_list("task_id", "key"))
    done = set(
        Task.objects.filter(
            pk__gte=tasks[0], pk__lte=tasks[-1], state=State.DONE, done_by__isnull=False
        ).values_list("pk", flat=True)
    )
    kept = {pair for pair in entries if pair[0] in done}
    told = {pair for phone in phones for pair in phone.acknowledged.items()}
    return Found(
        ticks=len(told),
        rate=len(told) / took,
        seconds=[each for phone in phones for each in phone.seconds],
        errors=[error for phone in phones for error in phone.errors],
        lost=len(told - kept),
        twice=sum(count - 1 for count in Counter(task for task, _ in entries).values()),
    )


def all_of(parts: list[Found]) -> Found:
    """The slices together; the rate is their median."""
    return Found(
        sum(part.ticks for part in parts),
        statistics.median(part.rate for part in parts),
        [each for part in parts for each in part.seconds],
        [each for part in parts for each in part.errors],
        sum(part.lost for part in parts),
        sum(part.twice for part in parts),
    )


def percentile(values: list[float], part: float) -> float:
    return sorted(values)[min(len(values) - 1, int(len(values) * part))]


def under_load(household: Household, phones: list[Phone], seconds: float) -> bool:
    ticking(household, phones, 1, None)  # warms up
    alone, together, ratios = [], [], []
    for _ in range(max(1, round(seconds / SLICE))):
        alone.append(ticking(household, phones[:1], SLICE, None))
        together.append(ticking(household, phones, SLICE, None))
        ratios.append(together[-1].rate / alone[-1].rate)
    print(
        f"{'':<12}{'ticks':>7}{'a second':>10}{'x alone':>9}{'median ms':>11}{'p99 ms':>8}"
        f"{'p99 x':>7}{'worst':>7}{'errors':>8}{'lost':>6}{'twice':>7}"
    )
    for name, found, ratio in (
        ("alone", all_of(alone), 1.0),
        (f"{PHONES} phones", all_of(together), statistics.median(ratios)),
    ):
        middle, late = statistics.median(found.seconds), percentile(found.seconds, 0.99)
        print(
            f"{name:<12}{found.ticks:>7}{found.rate:>10.0f}{ratio:>9.2f}{middle * 1000:>11.1f}"
            f"{late * 1000:>8.1f}{late / middle:>7.2f}{max(found.seconds) * 1000:>7.0f}"
            f"{len(found.errors):>8}{found.lost:>6}{found.twice:>7}"
        )
    for error in found.errors[:3]:
        print(error)
    print(f"targets: x alone at least 1.0, p99 at most {SPREAD} x the median, the rest 0\n")
    whole = not (found.errors or found.lost or found.twice)
    return whole and ratio >= 1.0 and late <= SPREAD * middle


def killed(household: Household, phones: list[Phone], hub: Hub, times: int) -> bool:
    """SIGKILL in the middle, `times` times; after each, what is there and is the file whole?"""
    random_moments = random.Random(2026)
    ticks = lost = twice = resent = lost_later = broken = 0
    for _ in range(times):
        found = ticking(household, phones, random_moments.uniform(0.3, 1.5), hub)
        ticks, lost, twice = ticks + found.ticks, lost + found.lost, twice + found.twice
        broken += not is_whole()
        hub.start()
        owed = {task for phone in phones for task in phone.on_its_way}
        for phone in phones:
            phone.send_what_was_on_its_way()
        if owed:
            after = looked_up(phones, [min(owed), max(owed)], 1.0)
            resent += len(owed)
            lost_later += sum(len(phone.on_its_way) for phone in phones)
            twice += after.twice
    print(
        f"{times} kills: {ticks} ticks acknowledged before them, {lost} lost, {twice} twice; "
        f"{resent} on their way, sent again, {lost_later} refused; {broken} files damaged"
    )
    print("targets: 0 lost, 0 twice, 0 refused, 0 damaged")
    return ticks > 0 and not (lost or twice or lost_later or broken)


def is_whole() -> bool:
    """Whether SQLite, opening what the killed server left, finds nothing wrong with it."""
    from django.db import connection

    connection.close()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        answer: list[tuple[str]] = cursor.fetchall()
    return answer == [("ok",)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=30)
    parser.add_argument("--kills", type=int, default=20)
    options = parser.parse_args()
    with own_folder():
        members = new_home()
        base = f"/h/{members[0].household_id}"
        phones = [Phone(signed_in(member.account), base) for member in members]
        with Hub(command=REAL) as hub:
            for phone in phones:
                phone.client.learn_token(f"{base}/more/")
            fine = under_load(members[0].household, phones, min(options.seconds, 600))
            fine &= killed(members[0].household, phones, hub, min(options.kills, 200))
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
