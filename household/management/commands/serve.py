"""manage.py serve: bring the database up to date, then run web server and daily job together."""

from __future__ import annotations

import argparse
import socket
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]

from household.people.models import Household
from household.start import code


class Command(BaseCommand):
    help = (
        "Migrate the database, collect static files, and serve the hub with the daily job "
        "beside it. Port: HOUSEHOLD_PORT; data folder: HOUSEHOLD_DATA_DIR."
    )

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument(
            "--demo", action="store_true", help="load the demo household if there is none yet"
        )
        parser.add_argument(
            "--bind", default="0.0.0.0", help="the address to listen on (default: all)"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        self._refuse_taken_port(options["bind"])
        call_command("migrate", interactive=False, verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        if options["demo"] and not Household.objects.exists():
            call_command("demo", stdout=self.stdout)
        self._say_where()
        Server(f"{options['bind']}:{settings.PORT}").run()

    def _refuse_taken_port(self, bind: str) -> None:
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((bind, settings.PORT))
            except OSError as error:
                raise CommandError(
                    f"Port {settings.PORT} cannot be used ({error.strerror}). Choose another: "
                    f"HOUSEHOLD_PORT={settings.PORT + 1}"
                ) from None

    def _say_where(self) -> None:
        address = settings.BASE_URL or f"http://localhost:{settings.PORT}"
        self.stdout.write(f"\nEvenhouse is at {address}")
        signins = settings.DATA_DIR / "demo_signins.json"
        if signins.exists():
            import json

            self.stdout.write("Demo sign-ins (name, password):")
            for person in json.loads(signins.read_text(encoding="utf-8")):
                self.stdout.write(f"  {person['name']:<12} {person['password']}  {person['about']}")
        if not Household.objects.exists():
            self._say_code()
        self.stdout.write("Stop it with Ctrl-C.\n")
        self.stdout.flush()

    def _say_code(self) -> None:
        """The code that guards the first run: said once, when it is made; only its hash is kept."""
        if code.is_kept():
            self.stdout.write(
                "Nobody has set it up yet. The code printed before still works; "
                "for a new one: manage.py setup_code"
            )
        else:
            self.stdout.write(f"To set it up, open it and type this code: {code.new_code()}")


class Server(BaseApplication):  # type: ignore[misc]
    """One worker with threads: SQLite has one writer, and the lock before it is per process."""

    def __init__(self, bind: str) -> None:
        self._bind = bind
        super().__init__()

    def load_config(self) -> None:
        self.cfg.set("bind", self._bind)
        self.cfg.set("workers", 1)
        self.cfg.set("worker_class", "gthread")
        self.cfg.set("threads", settings.THREADS)
        self.cfg.set("timeout", 60)
        # An open page asks for news every few seconds: a connection each time would cost more.
        self.cfg.set("keepalive", 75)
        self.cfg.set("graceful_timeout", 10)
        self.cfg.set("control_socket_disable", True)
        self.cfg.set("post_worker_init", start_scheduler)

    def load(self) -> Any:
        from household.wsgi import application

        return application


def start_scheduler(worker: Any) -> None:
    """In the worker, after the fork: a thread does not survive one."""
    if settings.SCHEDULER:
        from household.scheduler import Scheduler

        Scheduler().start()
