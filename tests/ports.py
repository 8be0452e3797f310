"""Ports for servers that a test kills and starts again."""

import secrets
import socket
from contextlib import closing

#: Below the range from which systems take a port for an outgoing connection or a bind to port 0 (Linux: 32768
#: and up). From there, somebody else could take a killed server's port before it is back.
LOWEST, HIGHEST = 20_000, 32_000


def free_port() -> int:
    """A port on which nobody listens, and that nobody is given by chance."""
    while True:
        port = LOWEST + secrets.randbelow(HIGHEST - LOWEST)
        with closing(socket.socket()) as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
