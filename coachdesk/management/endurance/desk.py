"""A desk as a process of its own: started, asked over HTTP, killed without warning."""

import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Mapping
from urllib.parse import urlencode

from coachdesk.env import BASE

START_S = 120


class Desk:
    """`manage.py desk` on a free port, with an environment of its own; `before`: a command to run it under."""

    def __init__(self, env: Mapping[str, str]) -> None:
        self.env = {**os.environ, **env}
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.before: list[str] = []
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it answers. Raises RuntimeError when it does not."""
        command = [*self.before, sys.executable, "manage.py", "desk", "--empty", "--port", str(self.port)]
        quiet = subprocess.DEVNULL
        self.process = subprocess.Popen(
            command, cwd=BASE, env=self.env, stdout=quiet, stderr=quiet, start_new_session=True
        )
        end = time.monotonic() + START_S
        while time.monotonic() < end and self.process.poll() is None:
            try:
                self.ask("GET", "/sign-in/", {}, {})
                return
            except OSError:
                time.sleep(0.05)
        raise RuntimeError("The desk did not start.")

    def kill(self) -> None:
        """SIGKILL: no handler runs, nothing is flushed by the process."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def ask(self, method: str, path: str, form: Mapping[str, str], headers: Mapping[str, str]) -> tuple[int, str]:
        """(status, where it sends on to). OSError or HTTPException when no whole answer came."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            sent = {"Content-Type": "application/x-www-form-urlencoded", **headers}
            line.request(method, path, urlencode(form) if method == "POST" else None, sent)
            answer = line.getresponse()
            answer.read()
            return answer.status, answer.headers.get("Location", "")
        finally:
            line.close()
