"""The real server for benchmarks, on this machine alone, and clients that stay connected.

Run as a program it serves: one worker with threads, exactly as manage.py serve sets it up.
"""

from __future__ import annotations

import http.client
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from urllib.parse import urlencode

ROOT = Path(__file__).resolve().parents[2]
HOST = "127.0.0.1"
WITH_ADDRESSES = ("-m", "tests.benchmarks.serving")  # with those of served_urls beside the hub's
SETTINGS = "household.settings"
REAL = ("manage.py", "serve", "--bind", HOST)


@contextmanager
def own_folder(*, threads: int = 8) -> Iterator[Path]:
    """A data folder with an empty database, for this process and the server it will start."""
    with tempfile.TemporaryDirectory(prefix="evenhouse-bench-") as folder:
        os.environ.update(
            HOUSEHOLD_DATA_DIR=folder,
            HOUSEHOLD_PORT=str(free_port()),
            HOUSEHOLD_THREADS=str(threads),
            HOUSEHOLD_LOG_LEVEL="ERROR",
            HOUSEHOLD_SCHEDULER="0",
            DJANGO_SETTINGS_MODULE="tests.benchmarks.served",
        )
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0, skip_checks=True)
        call_command("collectstatic", interactive=False, verbosity=0, skip_checks=True)
        yield Path(folder)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port: int = probe.getsockname()[1]
    return port


@dataclass
class Hub:
    """The server as a process of its own; `kill` ends it as a power cut would."""

    command: tuple[str, ...] = WITH_ADDRESSES
    process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Hub:
        self.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def start(self) -> None:
        own = {} if self.command == WITH_ADDRESSES else {"DJANGO_SETTINGS_MODULE": SETTINGS}
        self.process = subprocess.Popen(
            [sys.executable, *self.command],
            cwd=ROOT,
            env={**os.environ, **own},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL if self.command == REAL else None,
            start_new_session=True,
        )
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            try:
                if Client().get("/healthz").status == 200:
                    return
            except OSError:
                time.sleep(0.05)
        raise RuntimeError("the hub did not answer within 30 seconds")

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(20)
            self.process = None

    def cpu(self) -> float:
        """Milliseconds that the server's threads have run on a processor, waiting left out."""
        assert self.process is not None
        group = [self.process.pid, *_children(self.process.pid)]
        tasks = (task for pid in group for task in Path(f"/proc/{pid}/task").iterdir())
        return sum(int((task / "schedstat").read_text().split()[0]) for task in tasks) / 1e6

    def kill(self) -> None:
        """SIGKILL to the server and its worker at once."""
        assert self.process is not None
        os.killpg(self.process.pid, 9)
        self.process.wait(20)
        self.process = None


def _children(pid: int) -> list[int]:
    return [int(each) for each in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


@dataclass(frozen=True)
class Answer:
    status: int
    headers: Mapping[str, str]
    body: bytes


@dataclass
class Client:
    """One connection that is kept, with its cookies: a phone in somebody's hand."""

    cookies: dict[str, str] = field(default_factory=dict)
    token: str = ""
    _connection: http.client.HTTPConnection | None = None

    def get(self, path: str, headers: Mapping[str, str] | None = None) -> Answer:
        return self._send("GET", path, None, headers or {})

    def post(
        self, path: str, fields: Mapping[str, str], headers: Mapping[str, str] | None = None
    ) -> Answer:
        body = urlencode({"csrfmiddlewaretoken": self.token, **fields}).encode()
        kind = {"Content-Type": "application/x-www-form-urlencoded"}
        return self._send("POST", path, body, {**kind, **(headers or {})})

    def learn_token(self, path: str) -> None:
        """Open a page and take from it what its forms send along."""
        text = self.get(path).body.decode()
        found = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)
        assert found is not None, text[:500]
        self.token = found[1]

    def close(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def _send(
        self, method: str, path: str, body: bytes | None, headers: Mapping[str, str]
    ) -> Answer:
        if self._connection is None:
            port = int(os.environ["HOUSEHOLD_PORT"])
            self._connection = http.client.HTTPConnection(HOST, port, timeout=30)
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            self._connection.request(method, path, body, {"Cookie": cookies, **headers})
            answer = self._connection.getresponse()
            text = answer.read()
        except (OSError, http.client.HTTPException):
            self.close()
            raise
        for line in answer.headers.get_all("Set-Cookie") or []:
            name, _, rest = line.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        if answer.will_close:
            self.close()
        return Answer(answer.status, dict(answer.headers), text)


def signed_in(account: object) -> Client:
    """A client in whose cookies this account is signed in."""
    from django.conf import settings
    from django.test import Client as Insider

    insider = Insider()
    insider.force_login(account)  # type: ignore[arg-type]
    name = settings.SESSION_COOKIE_NAME
    return Client({name: insider.cookies[name].value})


def serve() -> None:
    import django

    django.setup()
    from django.conf import settings

    from household.management.commands.serve import Server

    class Quiet(Server):
        def load_config(self) -> None:
            super().load_config()
            self.cfg.set("loglevel", "error")

    Quiet(f"{HOST}:{settings.PORT}").run()


if __name__ == "__main__":
    sys.argv = sys.argv[:1]
    serve()
