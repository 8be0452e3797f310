"""Https on the nursery's own network: phones keep no app from a page without it."""

from . import words
from .addresses import Names, lan_addresses, names_here
from .authority import CannotSecure, Paths, ensure, fingerprint, root_certificate
from .plain import PlainServer
from .secure import Secure, addresses, folder_of, plain_address

__all__ = [
    "CannotSecure",
    "Names",
    "Paths",
    "PlainServer",
    "Secure",
    "addresses",
    "ensure",
    "fingerprint",
    "folder_of",
    "lan_addresses",
    "names_here",
    "plain_address",
    "root_certificate",
    "words",
]
