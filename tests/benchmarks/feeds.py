"""A feed of a thousand events against a general CalDAV server that serves the same collection.

    .venv/bin/python -m tests.benchmarks.feeds

Radicale (PyPI, GPL-3) is only this yardstick; nothing of the hub needs it. It is installed for
this run into an environment of its own that is thrown away afterwards; `--radicale PYTHON` takes
one that is there. It gets our own file as a collection on the same disk, no passwords, its
other settings as they come, and one GET before anything is measured, so that its own cache of
items is warm. Both servers run on this machine and answer whole GETs over HTTP, each on a
connection of its own as a calendar program would; they take turns in every round, so that a
busy machine slows them alike: only the ratios of one run hold.

Two homes: one with a thousand tasks in the database, and one with sixty chores, whose tasks
beyond the horizon are projected. Targets: nothing kept 1.0 x Radicale, event texts kept 0.15 x;
"not modified" 1.3 x the barest view with the same middleware (/healthz).
"""

from __future__ import annotations

import argparse
import http.client
import os
import statistics
import subprocess
import tempfile
import time
import uuid
import venv
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from pathlib import Path

from tests.benchmarks.serving import HOST, Client, Hub, free_port, own_folder

EACH = 5  # requests of one kind, one after the other, in a round
EVENTS = 1000


@dataclass(frozen=True)
class Home:
    name: str
    token: str
    task_id: int


def written_home() -> Home:
    """A thousand tasks of the next ninety days, with cautions, places and people."""
    from django.utils import timezone

    from household.chores.models import Chore, Task
    from tests.factories import make_area, make_chore, make_household, make_member

    now = timezone.now()
    household = make_household(name="Written")
    people = [make_member(household, name, signs_in=False) for name in ("Marit", "Dev", "Oona")]
    areas = [make_area(household, name) for name in ("Kitchen", "Hall and stairs", "Garden")]
    chores = [
        make_chore(
            household,
            f"Wipe the cupboards and shelves {number}",
            area=areas[number % 3],
            now=now,
            repeat="once",
            starts=household.today(now) + timedelta(days=3000),
            hazards=["cleaning_agents"] if number % 3 == 0 else [],
        )
        for number in range(60)
    ]
    Chore.objects.filter(household=household).update(next_due=None)
    Task.objects.filter(household=household).delete()
    first = household.today(now) - timedelta(days=14)
    days = [first + timedelta(days=number % 104) for number in range(EVENTS)]
    Task.objects.bulk_create(
        Task(
            household=household,
            chore=chores[number % 60],
            occurrence=None,
            name=f"{chores[number % 60].name}",
            area=areas[number % 3],
            minutes=5 + number % 40,
            opens=day,
            closes=day,
            day=day,
            member=people[number % 3],
        )
        for number, day in enumerate(days)
    )
    return Home("1,000 written", *_feed(people[0]))


def mixed_home() -> Home:
    """Sixty chores: 5 daily, 20 weekly, 12 fortnightly, the rest rarer, as in a lived-in home."""
    from django.utils import timezone

    from tests.benchmarks.daily_job import rules
    from tests.factories import make_area, make_chore, make_household, make_member

    now = timezone.now()
    household = make_household(name="Mixed")
    people = [make_member(household, name, signs_in=False) for name in ("Marit", "Dev", "Oona")]
    areas = [make_area(household, name) for name in ("Kitchen", "Hall and stairs", "Garden")]
    for number, (rule, start) in enumerate(rules()):
        make_chore(
            household,
            f"Wipe the cupboards and shelves {number}",
            area=areas[number % 3],
            now=now,
            rule=rule,
            starts=start,
            who="turns" if number % 6 == 0 else "fixed",
            may=[each.pk for each in people] if number % 6 == 0 else [],
            fixed=None if number % 6 == 0 else people[number % 3],
            hazards=["cleaning_agents"] if number % 3 == 0 else [],
        )
    return Home("60 chores", *_feed(people[0]))


def _feed(owner: object) -> tuple[str, int]:
    from django.utils import timezone

    from household.chores.models import Task
    from household.feeds.actions import Wanted, make_feed
    from household.people.models import Member

    assert isinstance(owner, Member)
    wanted = Wanted("household", "Benchmark")
    _, token = make_feed(owner=owner, wanted=wanted, now=timezone.now(), key=uuid.uuid4())
    task = Task.objects.filter(household=owner.household).order_by("-id").first()
    assert task is not None
    return token, task.pk


@contextmanager
def own_radicale() -> Iterator[str]:
    """A Python in which Radicale is installed, for the time of one run."""
    with tempfile.TemporaryDirectory(prefix="radicale-venv-") as folder:
        venv.create(folder, with_pip=True)
        python = str(Path(folder) / "bin" / "python")
        install = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        subprocess.run([*install, "radicale"], check=True)
        yield python


@contextmanager
def radicale(python: str, contents: dict[str, bytes]) -> Iterator[Callable[[str], int]]:
    """Radicale with each of the calendars as a collection; gives how to GET one whole."""
    with tempfile.TemporaryDirectory(prefix="radicale-bench-") as folder:
        port = free_port()
        config = Path(folder) / "config"
        config.write_text(
            f"[server]\nhosts = {HOST}:{port}\n[auth]\ntype = none\n"
            "[logging]\nlevel = error\n"
            f"[storage]\nfilesystem_folder = {folder}/collections\n"
        )
        process = subprocess.Popen(
            [python, "-m", "radicale", "--config", str(config)], stderr=subprocess.DEVNULL
        )
        try:
            ask = _asker(port)
            _until_it_answers(ask)
            for number, body in enumerate(contents.values()):
                status, text = ask("PUT", f"/bench/c{number}/", body)
                assert status in (201, 204), (status, text[:500])
            paths = {name: f"/bench/c{number}/" for number, name in enumerate(contents)}

            def get(name: str) -> int:
                status, text = ask("GET", paths[name], b"")
                assert status == 200, status
                return text.count(b"BEGIN:VEVENT")

            yield get
        finally:
            process.terminate()
            process.wait(20)


def _asker(port: int) -> Callable[[str, str, bytes], tuple[int, bytes]]:
    from base64 import b64encode

    user = b64encode(b"bench:bench").decode()
    headers = {"Content-Type": "text/calendar", "Authorization": f"Basic {user}"}

    def ask(method: str, path: str, body: bytes) -> tuple[int, bytes]:
        connection = http.client.HTTPConnection(HOST, port, timeout=120)
        try:
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()

    return ask


def _until_it_answers(ask: Callable[[str, str, bytes], tuple[int, bytes]]) -> None:
    for _ in range(200):
        try:
            ask("GET", "/", b"")
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError("Radicale did not answer within 10 seconds")


def once(path: str, headers: Mapping[str, str] | None = None) -> None:
    """A whole answer on a connection of its own."""
    client = Client()
    answer = client.get(path, headers)
    client.close()
    assert answer.status == 200, answer.status


def timed(does: Callable[[], object]) -> float:
    begin = time.perf_counter()
    does()
    return (time.perf_counter() - begin) * 1000


def measure(python: str, rounds: int) -> None:
    homes = [written_home(), mixed_home()]
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.benchmarks.served_feeds"
    with Hub():
        client = Client()
        client.get("/healthz")
        bodies = {home.name: client.get(f"/f/{home.token}.ics").body for home in homes}
        counts = {name: body.count(b"BEGIN:VEVENT") for name, body in bodies.items()}
        took: dict[str, list[float]] = defaultdict(list)
        given = {name: body.replace(b"METHOD:PUBLISH\r\n", b"") for name, body in bodies.items()}
        with radicale(python, given) as get:
            for home in homes:
                assert get(home.name) == counts[home.name]
            for _ in range(rounds):
                _round(client, homes, get, took)
    print(f"Radicale {_version(python)}, {rounds} rounds, medians")
    _print(homes, counts, took, {name: len(body) for name, body in bodies.items()})


def _version(python: str) -> str:
    script = "from importlib.metadata import version; print(version('radicale'))"
    run = subprocess.run([python, "-c", script], capture_output=True, text=True, check=True)
    return run.stdout.strip()


def _round(
    client: Client, homes: list[Home], get: Callable[[str], int], took: dict[str, list[float]]
) -> None:
    for home in homes:
        name, path = home.name, f"/f/{home.token}.ics"
        asks: dict[str, Callable[[], object]] = {
            "radicale": partial(get, name),
            "anew": partial(once, f"/bench/anew/{home.token}/"),
            "kept": partial(once, path),
            "zipped": partial(once, path, {"Accept-Encoding": "gzip"}),
            "one changed": partial(once, path),
        }
        for _ in range(EACH):
            tag = {"If-None-Match": client.get(path).headers["ETag"]}
            assert client.get(path, tag).status == 304
            for _ in range(4):
                took["bare"].append(timed(partial(client.get, "/healthz")))
                took[f"{name} 304"].append(timed(partial(client.get, path, tag)))
            for what, ask in asks.items():
                if what == "one changed":
                    client.get(f"/bench/change/{home.task_id}/")
                took[f"{name} {what}"].append(timed(ask))


def _print(
    homes: list[Home], counts: dict[str, int], took: dict[str, list[float]], sizes: dict[str, int]
) -> None:
    middle = {name: statistics.median(values) for name, values in took.items()}
    print(f"bare view {middle['bare']:.2f} ms")
    for home in homes:
        print(f"\n{home.name}: {counts[home.name]} events, {sizes[home.name] // 1024} kB")
        print(f"{'':<34}{'ms':>9}{'times':>9}{'target':>9}")
        yardstick = middle[f"{home.name} radicale"]
        print(f"{'Radicale, the whole collection':<34}{yardstick:>9.2f}{1:>9.2f}")
        for words, key, target in (
            ("nothing kept", "anew", 1.0),
            ("texts kept", "kept", 0.15),
            ("texts kept, one task changed", "one changed", 0.15),
            ("texts kept, gzip", "zipped", None),
        ):
            value = middle[f"{home.name} {key}"]
            wanted = f"{target:>9.2f}" if target else ""
            print(f"{words:<34}{value:>9.2f}{value / yardstick:>9.3f}{wanted}")
        value = middle[f"{home.name} 304"]
        print(
            f"{'not modified, x bare view':<34}{value:>9.2f}{value / middle['bare']:>9.2f}     1.30"
        )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--radicale", help="a Python in which Radicale is installed already")
    parser.add_argument("--rounds", type=int, default=10)
    options = parser.parse_args()
    ready = nullcontext(options.radicale) if options.radicale else own_radicale()
    with ready as python, own_folder():
        measure(python, options.rounds)


if __name__ == "__main__":
    main()
