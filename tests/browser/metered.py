"""A line between a browser and the desk on which every byte is counted, whether page or worker asked for it."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlsplit

CHUNK = 65_536


class Line:
    """A relay on a port of its own. `down`: bytes sent to the browser so far, heads of answers included."""

    def __init__(self, address: tuple[str, int]) -> None:
        self.desk = address
        self.down = 0
        self._door = socket.create_server(("127.0.0.1", 0))
        self._count = threading.Lock()
        self.base = f"http://127.0.0.1:{self._door.getsockname()[1]}"
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        with suppress(OSError):  # the door was closed
            while True:
                browser, _ = self._door.accept()
                desk = socket.create_connection(self.desk)
                threading.Thread(target=self._carry, args=(browser, desk, False), daemon=True).start()
                threading.Thread(target=self._carry, args=(desk, browser, True), daemon=True).start()

    def _carry(self, source: socket.socket, target: socket.socket, counts: bool) -> None:
        with suppress(OSError):
            while part := source.recv(CHUNK):
                if counts:
                    with self._count:
                        self.down += len(part)
                target.sendall(part)
        for end in (source, target):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        self._door.close()


@contextmanager
def counted_line(url: str) -> Iterator[Line]:
    """A counted line to the desk at this address, as long as the context lasts."""
    parts = urlsplit(url)
    line = Line((parts.hostname or "127.0.0.1", parts.port or 80))
    try:
        yield line
    finally:
        line.close()
