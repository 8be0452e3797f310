"""What this machine is called on its network."""

import fcntl
import re
import socket
import struct
from dataclasses import dataclass
from ipaddress import IPv4Address, ip_address

#: Linux: ask an interface for its IPv4 address (netdevice(7)).
_SIOCGIFADDR = 0x8915
_LABEL = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True)
class Names:
    """Host names and addresses by which a phone can reach this machine, the likeliest first."""

    hosts: tuple[str, ...]
    addresses: tuple[str, ...]


def names_here() -> Names:
    """This machine's names (also under ``.local``), its addresses, and localhost."""
    label = socket.gethostname().split(".")[0].lower()
    named = (f"{label}.local", label) if _LABEL.fullmatch(label) and label != "localhost" else ()
    return Names((*named, "localhost"), (*lan_addresses(), "127.0.0.1"))


def lan_addresses() -> list[str]:
    """IPv4 addresses of this machine on its networks; that of the default route first, loopback left out."""
    found = [*_outward(), *_by_interface()]
    if not found:
        found = _by_name()
    return [address for address in dict.fromkeys(found) if _reachable(address)]


def _outward() -> list[str]:
    """The address that the system would send from; connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))
        except OSError:
            return []
        return [str(probe.getsockname()[0])]


def _by_interface() -> list[str]:
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _, name in socket.if_nameindex():
            try:
                answer = fcntl.ioctl(probe.fileno(), _SIOCGIFADDR, struct.pack("256s", name.encode()[:15]))
            except OSError:
                continue
            found.append(str(IPv4Address(answer[20:24])))
    return found


def _by_name() -> list[str]:
    try:
        return [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    except socket.gaierror:
        return []


def _reachable(address: str) -> bool:
    parsed = ip_address(address)
    return not (parsed.is_loopback or parsed.is_unspecified or parsed.is_multicast)
