"""A field server of a test's own, a client without a browser, and a connection that drops."""

import contextlib
import json
import random
import socket
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path

import slingwright as sw
from slingwright.logbook import Logbook
from slingwright.phone.day import Day
from slingwright.phone.server import FieldServer


@contextlib.contextmanager
def serving(
    path: Path, *, system: str = "metric", host: str = "127.0.0.1"
) -> Iterator[FieldServer]:
    """Serve a log of the Otter Ford machine, made if it is not there."""
    if not path.exists():
        Logbook.create(path, machine="Otter Ford").close()
    machine = sw.read_machine("otter_ford")
    day = Day(log=lambda: Logbook.open(path), machine=lambda _: machine, system=system)
    with FieldServer(day, (host, 0)) as server:
        thread = threading.Thread(target=lambda: server.serve_forever(poll_interval=0.02))
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
            thread.join()


class Phone:
    """A phone without a browser: a secret, and requests of one connection each."""

    def __init__(self, server: FieldServer, port: int = 0) -> None:
        self.server = server
        self.port = port or server.server_address[1]
        self.cookie = ""

    def ask(self, method: str, path: str, body: bytes | None = None, **heads: str):
        """Make one request and give status, headers and content; raises OSError if it drops."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=20)
        try:
            given = {"Host": self.server.hosts[0], "Cookie": self.cookie, "Connection": "close"}
            if body is not None:
                given["Content-Type"] = "application/json"
            named = {name.replace("_", "-"): value for name, value in heads.items()}
            connection.request(method, path, body, given | named)
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            connection.close()

    def post(self, path: str, sent: dict, **heads: str) -> tuple[int, dict]:
        status, headers, content = self.ask("POST", path, json.dumps(sent).encode(), **heads)
        if "Set-Cookie" in headers:
            self.cookie = headers["Set-Cookie"].split(";")[0]
        return status, json.loads(content)

    def come_in(self) -> "Phone":
        assert self.post("/enter", {"code": self.server.gate.new_code(), "phone": "a"})[0] == 200
        return self

    def write(self, **sent: str) -> tuple[int, dict]:
        """Send an entry under a name of its own unless one is given."""
        said = {"id": f"{random.getrandbits(128):032x}", "kind": "shot", "load": "12 kg"}
        return self.post("/entry", said | sent)

    def rows(self, on: str = "") -> list[dict]:
        return json.loads(self.ask("GET", f"/day?on={on}")[2])["rows"]


class Drops:
    """A connection to a server that is cut at random: before, within and after each answer."""

    def __init__(self, server: FieldServer, seed: int, share: float = 0.5) -> None:
        self.to, self.share, self.chance = server.server_address, share, random.Random(seed)
        self.counts = dict.fromkeys(("before", "unsent", "unheard", "half", "whole"), 0)
        self.dead = False  # no connection at all
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.port = self.listening.getsockname()[1]
        server.hosts.append(f"127.0.0.1:{self.port}")
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self) -> None:
        while True:
            try:
                one, _ = self.listening.accept()
            except OSError:
                return
            threading.Thread(target=self._carry, args=(one,), daemon=True).start()

    def _carry(self, one: socket.socket) -> None:
        kinds = ("before", "unsent", "unheard", "half")
        how = self.chance.choice(kinds) if self.chance.random() < self.share else "whole"
        how = "before" if self.dead else how
        self.counts[how] += 1
        with one, contextlib.suppress(OSError):
            one.settimeout(10)
            if how == "before":
                return
            asked = _message(one)
            if how == "unsent" or not asked:
                return
            with socket.create_connection(self.to, timeout=20) as other:
                other.sendall(asked)
                other.shutdown(socket.SHUT_WR)
                answer = _message(other)
            if how == "whole":
                one.sendall(answer)
            elif how == "half":
                one.sendall(answer[: len(answer) // 2])


def _message(one: socket.socket) -> bytes:
    """Read one request or answer, as long as its head says."""
    found = b""
    while b"\r\n\r\n" not in found:
        part = one.recv(65_536)
        if not part:
            return found
        found += part
    head, _, rest = found.partition(b"\r\n\r\n")
    length = 0
    for line in head.split(b"\r\n"):
        if line.lower().startswith(b"content-length:"):
            length = int(line.split(b":")[1])
    while len(rest) < length:
        part = one.recv(65_536)
        if not part:
            break
        rest += part
    return head + b"\r\n\r\n" + rest


def until(what, seconds: float = 30.0) -> None:
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "it did not come to be so"
        time.sleep(0.02)
