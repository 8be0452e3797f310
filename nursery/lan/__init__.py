"""Https on the nursery's own network: phones keep no app from a page without it."""

from .addresses import Names, lan_addresses, names_here
from .authority import Paths, ensure, fingerprint, root_certificate
from .plain import PlainServer

__all__ = [
    "Names",
    "Paths",
    "PlainServer",
    "ensure",
    "fingerprint",
    "lan_addresses",
    "names_here",
    "root_certificate",
]
