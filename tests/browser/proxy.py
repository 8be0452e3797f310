"""A wire between phone and shed that can be cut at the worst moment."""

from __future__ import annotations

import socket
import socketserver
import threading
from contextlib import suppress


class _Pipe(socketserver.BaseRequestHandler):
    server: Wire

    def handle(self) -> None:
        try:
            shed = socket.create_connection(("127.0.0.1", self.server.shed_port), timeout=10)
        except OSError:
            return  # the server is down: the phone sees its connection closed
        shed.settimeout(None)
        self.lose = threading.Event()
        back = threading.Thread(target=self._back, args=(shed,), daemon=True)
        back.start()
        with suppress(OSError):
            while data := self.request.recv(65536):
                if b"POST /api/sync/push" in data and self.server.take_order():
                    self.lose.set()
                shed.sendall(data)
        with suppress(OSError):
            shed.shutdown(socket.SHUT_WR)
        back.join(timeout=30)
        shed.close()

    def _back(self, shed: socket.socket) -> None:
        """Carry answers back, but for one ordered to be lost: that one is read, noted, and dropped."""
        with suppress(OSError):
            while data := shed.recv(65536):
                if self.lose.is_set():
                    self.server.lost.append(data)
                    self.server.answer_lost.set()
                    self.request.shutdown(socket.SHUT_RDWR)
                    return
                self.request.sendall(data)
            self.request.shutdown(socket.SHUT_WR)


class Wire(socketserver.ThreadingTCPServer):
    """Forward ``port`` to the server's port; ``lose_next_push()`` loses one answer after the commit."""

    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, shed_port: int) -> None:
        super().__init__(("127.0.0.1", 0), _Pipe)
        self.shed_port = shed_port
        self.port = int(self.server_address[1])
        self.lost: list[bytes] = []
        self.answer_lost = threading.Event()
        self._ordered = False
        self._guard = threading.Lock()
        threading.Thread(target=self.serve_forever, daemon=True).start()

    def lose_next_push(self) -> None:
        with self._guard:
            self._ordered = True

    def take_order(self) -> bool:
        with self._guard:
            ordered, self._ordered = self._ordered, False
            return ordered
