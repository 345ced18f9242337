"""Fetches a foreign calendar and reaches nothing else.

The name is resolved once, every address it has is checked, and the connection goes to one of
those addresses, so that a name cannot point somewhere else in between. Each redirect is
treated like a new address. The operator may allow hosts of the home network (`Allowed`).

Only the standard library; only to be called from background work, never from a request.
"""

from __future__ import annotations

import ipaddress
import socket
import ssl
import threading
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from http.client import HTTPConnection, HTTPException, HTTPResponse
from time import monotonic
from typing import Final
from urllib.parse import SplitResult, urljoin, urlsplit

from household.calc.foreign_calendar import MOST_BYTES
from household.feeds.allowed import Address, Allowed

CONNECT_SECONDS: Final = 5.0
TOTAL_SECONDS: Final = 9.0
MOST_REDIRECTS: Final = 3
MOST_DIALLED: Final = 4  # of a host's addresses, if none answers
MOST_ADDRESS: Final = 2000
AGENT: Final = "Evenhouse (calendar subscription)"
PORTS: Final = {"http": 80, "https": 443}
CHUNK: Final = 64 * 1024

Resolve = Callable[[str, int], Sequence[str]]

# Beyond what is_global tells on Python 3.11: ranges that carry another address inside.
_CARRIERS: Final = tuple(
    ipaddress.ip_network(text)
    for text in (
        "64:ff9b::/96",  # NAT64
        "64:ff9b:1::/48",  # NAT64, local
        "2002::/16",  # 6to4
        "2001::/32",  # Teredo
        "::/96",  # IPv4-compatible
        "192.88.99.0/24",  # 6to4 relays
    )
)


class FetchProblem(Exception):
    """Nothing was fetched; the message is a sentence for a person.

    `lasting`: asking again will not help before somebody changes something.
    """

    def __init__(self, message: str, *, lasting: bool = False) -> None:
        super().__init__(message)
        self.message = message
        self.lasting = lasting


@dataclass(frozen=True, slots=True)
class Fetched:
    """`body` is None where nothing has changed since the marks that were sent."""

    body: bytes | None
    etag: str = ""
    last_modified: str = ""


def fetch(
    url: str,
    *,
    etag: str = "",
    last_modified: str = "",
    allowed: Allowed | None = None,
    resolve: Resolve | None = None,
) -> Fetched:
    """The calendar's bytes, unzipped, or "not changed". Raises FetchProblem.

    At most 9 seconds, 2 MB unzipped and 3 redirects; `etag` and `last_modified` are the marks
    of the copy there is.
    """
    allowed = allowed or Allowed()
    ends = monotonic() + TOTAL_SECONDS
    headers = {"User-Agent": AGENT, "Accept": "text/calendar, */*;q=0.1", "Accept-Encoding": "gzip"}
    if etag:
        headers["If-None-Match"] = etag
    if last_modified:
        headers["If-Modified-Since"] = last_modified
    for _ in range(MOST_REDIRECTS + 1):
        target = _Target.of(url, allowed, resolve or system_resolve, ends)
        answer = _ask(target, headers, ends)
        if isinstance(answer, Fetched):
            return answer
        url = urljoin(url, answer)
    raise FetchProblem(f"{target.host} sends from one address to the next without end.")


def checked(url: str) -> SplitResult:
    """An address as it may be asked for, with webcal read as https; raises FetchProblem."""
    text = url.strip()
    scheme, colon, rest = text.partition("://")
    if scheme.lower() in ("webcal", "webcals"):
        text = f"https{colon}{rest}"
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        raise FetchProblem("This is not a whole web address.", lasting=True) from None
    if parts.scheme not in PORTS or not parts.hostname or len(text) > MOST_ADDRESS:
        raise FetchProblem(
            "Give an address that begins with https://, http:// or webcal://.", lasting=True
        )
    if parts.username is not None or parts.password is not None:
        raise FetchProblem(
            "An address with a name and a password in it is not taken.", lasting=True
        )
    if port == 0 or any(ord(letter) <= 32 or ord(letter) == 127 for letter in text):
        raise FetchProblem("This is not a whole web address.", lasting=True)
    return parts


def system_resolve(host: str, port: int) -> Sequence[str]:
    """All addresses of a host, in the system's order."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return [str(entry[4][0]) for entry in found]


def is_public(address: Address) -> bool:
    """Whether it is an address of the public internet and carries no other one inside."""
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped is not None:
            return is_public(address.ipv4_mapped)
        if address.is_site_local:
            return False
    special = address.is_multicast or address.is_reserved or address.is_unspecified
    return address.is_global and not special and not any(address in net for net in _CARRIERS)


# One request ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Target:
    """Where one request goes: a name for the header and certificate, addresses to dial."""

    scheme: str
    host: str
    port: int
    path: str
    addresses: tuple[str, ...]

    @staticmethod
    def of(url: str, allowed: Allowed, resolve: Resolve, ends: float) -> _Target:
        parts = checked(url)
        host = str(parts.hostname)
        port = parts.port or PORTS[parts.scheme]
        found = _resolved(host, port, resolve, ends)
        named = allowed.host(host, port)
        if not named and not all(is_public(each) or allowed.address(each) for each in found):
            raise FetchProblem(
                f"{host} is not on the public internet. Whoever runs this hub can allow it "
                "(HOUSEHOLD_FETCH_ALLOW_HOSTS).",
                lasting=True,
            )
        free = named or all(allowed.address(each) for each in found)
        if not free and port not in PORTS.values():
            raise FetchProblem(
                f"Port {port} of {host} is not one of the web’s usual ports. Whoever runs this "
                "hub can allow it (HOUSEHOLD_FETCH_ALLOW_HOSTS).",
                lasting=True,
            )
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        return _Target(parts.scheme, host, port, path, tuple(map(str, found)))


def _resolved(host: str, port: int, resolve: Resolve, ends: float) -> list[Address]:
    """Every address of the host, within the time for connecting: the system may take longer."""
    wait = min(CONNECT_SECONDS, ends - monotonic())
    if wait <= 0:
        raise _too_slow(host)
    found: list[str] = []
    failed: list[Exception] = []

    def ask() -> None:
        try:
            found.extend(resolve(host, port))
        except (OSError, UnicodeError) as error:
            failed.append(error)

    asking = threading.Thread(target=ask, name="resolve a host", daemon=True)
    asking.start()
    asking.join(wait)
    if asking.is_alive() or failed or not found:
        raise FetchProblem(f"There is no answer to where {host} is.")
    return [ipaddress.ip_address(text.partition("%")[0]) for text in found]


class _Pinned(HTTPConnection):
    """Dials the address that was checked; the name stays in the header and the certificate."""

    def __init__(self, target: _Target, ends: float) -> None:
        super().__init__(target.host, target.port, timeout=CONNECT_SECONDS)
        self._target = target
        self._ends = ends
        # Kept besides `sock`, which http.client gives up when a server will close by itself.
        self.wire: socket.socket | None = None
        self.default_port = PORTS[target.scheme]

    def connect(self) -> None:
        plain = self._dial()
        self.sock = self.wire = plain
        if self._target.scheme == "https":
            context = ssl.create_default_context()
            # The handshake comes after, so that it too can be hung up on.
            secure = context.wrap_socket(
                plain, server_hostname=self._target.host, do_handshake_on_connect=False
            )
            self.sock = self.wire = secure
            secure.do_handshake()

    def _dial(self) -> socket.socket:
        """The first checked address that answers while there is time."""
        failed: OSError = TimeoutError()
        for address in self._target.addresses[:MOST_DIALLED]:
            left = self._ends - monotonic()
            if left <= 0:
                break
            try:
                return socket.create_connection(
                    (address, self._target.port), min(CONNECT_SECONDS, left)
                )
            except OSError as error:
                failed = error
        raise failed


def _ask(target: _Target, headers: dict[str, str], ends: float) -> Fetched | str:
    """One request: what was fetched, or the address that it sends on to."""
    left = ends - monotonic()
    if left <= 0:
        raise _too_slow(target.host)
    connection = _Pinned(target, ends)
    # Each wait has its limit, but a server may send a byte before each runs out: this ends all.
    late = threading.Event()
    watch = threading.Timer(left, _hang_up, (connection, late))
    watch.daemon = True
    watch.start()
    try:
        connection.request("GET", target.path, headers=headers)
        with connection.getresponse() as response:
            answer = _answer(target, response)
    except FetchProblem:
        if late.is_set():
            raise _too_slow(target.host) from None
        raise
    except ssl.SSLError:
        raise FetchProblem(f"The certificate of {target.host} does not hold.") from None
    except TimeoutError:
        raise _too_slow(target.host) from None
    except (OSError, HTTPException, ValueError, zlib.error):
        if late.is_set():
            raise _too_slow(target.host) from None
        raise FetchProblem(f"{target.host} does not answer as a web server does.") from None
    finally:
        watch.cancel()
        connection.close()
    if late.is_set():  # what was cut off may look whole
        raise _too_slow(target.host)
    return answer


def _hang_up(connection: _Pinned, late: threading.Event) -> None:
    late.set()
    if connection.wire is not None:
        try:
            connection.wire.shutdown(socket.SHUT_RDWR)
        except OSError:
            return  # it has gone by itself


def _too_slow(host: str) -> FetchProblem:
    return FetchProblem(f"{host} is too slow to answer.")


def _answer(target: _Target, response: HTTPResponse) -> Fetched | str:
    status = response.status
    if status == 304:
        return Fetched(None)
    if status in (301, 302, 303, 307, 308):
        onward = response.headers.get("Location", "")
        if not onward:
            raise FetchProblem(f"{target.host} sends on to nowhere.")
        return onward
    if status != 200:
        words = {401: "asks for a password", 403: "refuses", 404: "knows no such calendar"}
        words[410] = "says that this calendar is gone"
        raise FetchProblem(f"{target.host} {words.get(status, f'answers with error {status}')}.")
    return Fetched(
        _body(target, response),
        response.headers.get("ETag", "")[:200],
        response.headers.get("Last-Modified", "")[:60],
    )


def _body(target: _Target, response: HTTPResponse) -> bytes:
    """The whole body, unzipped, counted while it comes."""
    coding = response.headers.get("Content-Encoding", "identity").strip().lower()
    if coding not in ("gzip", "x-gzip", "identity", ""):
        raise FetchProblem(f"{target.host} packs its answer in a way that was not asked for.")
    unzip = zlib.decompressobj(16 + zlib.MAX_WBITS) if "gzip" in coding else None
    parts: list[bytes] = []
    size = 0
    while chunk := response.read(CHUNK):
        data = unzip.decompress(chunk, MOST_BYTES + 1 - size) if unzip else chunk
        size += len(data)
        parts.append(data)
        if size > MOST_BYTES or (unzip and unzip.unconsumed_tail):
            raise FetchProblem(
                f"The calendar at {target.host} is larger than 2 MB, which is more than is taken."
            )
    if response.length or (unzip and not unzip.eof):
        raise FetchProblem(f"{target.host} broke off in the middle.")
    return b"".join(parts)
