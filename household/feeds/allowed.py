"""What the operator allows to be fetched besides the public internet."""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from urllib.parse import urlsplit

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network


class Allowed:
    """What the operator allows besides the public internet (HOUSEHOLD_FETCH_ALLOW_HOSTS).

    Entries are `host`, `host:port`, an address, or a network such as 192.168.1.0/24. What is
    allowed may be on the home network and, unless a port is named, on any port.
    """

    def __init__(self, entries: Sequence[str] = ()) -> None:
        self._networks: list[Network] = []
        self._hosts: dict[str, set[int]] = {}
        for entry in entries:
            self._take(entry.strip().lower())

    def _take(self, entry: str) -> None:
        try:
            self._networks.append(ipaddress.ip_network(entry, strict=False))
            return
        except ValueError:
            pass
        bad = ValueError(f"{entry!r} is neither a host nor a network")
        try:
            parts = urlsplit(f"//{entry}")
            port = parts.port
        except ValueError:
            raise bad from None
        if not parts.hostname or parts.path or parts.username:
            raise bad
        ports = self._hosts.setdefault(parts.hostname, set())
        if port is not None:
            ports.add(port)

    def host(self, host: str, port: int) -> bool:
        ports = self._hosts.get(host)
        return ports is not None and (not ports or port in ports)

    def address(self, address: Address) -> bool:
        return any(address in network for network in self._networks)
