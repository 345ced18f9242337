"""A web server on this machine that misbehaves in every way a calendar's host could."""

from __future__ import annotations

import gzip
import socket
import threading
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

GOOD = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Test//EN\r\nBEGIN:VEVENT\r\nUID:1@test\r\n"
    b"DTSTAMP:20260101T000000Z\r\nDTSTART:20260313T100000Z\r\nDTEND:20260313T113000Z\r\n"
    b"SUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


@dataclass
class Host:
    """`answers` maps a path to what to do; `asked` are the headers of each request, by path."""

    port: int = 0
    answers: dict[str, Callable[[Any], None]] = field(default_factory=dict)
    asked: list[tuple[str, dict[str, str]]] = field(default_factory=list)

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def paths(self) -> list[str]:
        return [path for path, _ in self.asked]


def body(content: bytes, status: int = 200, **headers: str) -> Callable[[Any], None]:
    def answer(handler: Any) -> None:
        handler.send_response(status)
        for name, value in headers.items():
            handler.send_header(name.replace("_", "-"), value)
        handler.send_header("Content-Length", str(len(content)))
        handler.end_headers()
        handler.wfile.write(content)

    return answer


def to(address: str, status: int = 302) -> Callable[[Any], None]:
    return body(b"", status, Location=address)


def bomb(handler: Any) -> None:
    """A hundred megabytes of nothing in a hundred kilobytes."""
    packer = zlib.compressobj(9, zlib.DEFLATED, 16 + zlib.MAX_WBITS)
    packed = packer.compress(b"BEGIN:VCALENDAR\r\n" + bytes(100_000_000)) + packer.flush()
    body(packed, Content_Encoding="gzip")(handler)


def broken_zip(handler: Any) -> None:
    body(gzip.compress(GOOD)[:-20], Content_Encoding="gzip")(handler)


def cut_off(handler: Any) -> None:
    handler.send_response(200)
    handler.send_header("Content-Length", "100000")
    handler.end_headers()
    handler.wfile.write(GOOD)
    handler.wfile.flush()
    handler.connection.shutdown(socket.SHUT_RDWR)


def endless(handler: Any) -> None:
    """Sends as fast as it is taken, without a length."""
    handler.send_response(200)
    handler.end_headers()
    try:
        while True:
            handler.wfile.write(b"BEGIN:VCALENDAR\r\n" * 4096)
    except OSError:
        return


def dripping_head(handler: Any) -> None:
    _drip(handler, b"HTTP/1.1 200 OK\r\nX-Slow: ")


def dripping_body(handler: Any) -> None:
    handler.send_response(200)
    handler.send_header("Content-Length", "1000000")
    handler.end_headers()
    _drip(handler, b"BEGIN:VCALENDAR\r\n")


def _drip(handler: Any, first: bytes) -> None:
    """A byte now and then: no single wait is long."""
    try:
        handler.wfile.write(first)
        for _ in range(600):
            handler.wfile.write(b"x")
            handler.wfile.flush()
            time.sleep(0.1)
    except OSError:
        return


def garbage(handler: Any) -> None:
    handler.wfile.write(b"\x00\x01this is no web server\r\n" * 20)


@contextmanager
def serving() -> Iterator[Host]:
    host = Host()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            host.asked.append((self.path, dict(self.headers.items())))
            host.answers.get(self.path, body(b"nothing here", 404))(self)

        def log_message(self, *args: object) -> None:
            """Nothing: the tests look at `asked`."""

    class Server(ThreadingHTTPServer):
        daemon_threads = True
        block_on_close = False

        def handle_error(self, *args: object) -> None:
            """The other side hung up, as it should."""

    server = Server(("127.0.0.1", 0), Handler)
    host.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield host
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)
