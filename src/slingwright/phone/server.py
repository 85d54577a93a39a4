"""The web server of the field page: nothing but three files, a log's day, and its photos.

It listens on this computer alone unless an address of the local network is asked for. What is sent
over it is not encrypted: whoever listens in on the network can read it.
"""

from __future__ import annotations

import http.cookies
import json
import sqlite3
import sys
import threading
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from slingwright.amounts.text import Text
from slingwright.changing.proving import CAUTION, LOOK, Step, proving
from slingwright.learning.shots import FieldShot
from slingwright.logbook import LogbookError
from slingwright.logbook.photos import picture_ending
from slingwright.machine.machine import Machine
from slingwright.pages.log.records import story_of
from slingwright.phone.day import LARGEST_PICTURE, Day, Refused
from slingwright.phone.gate import STAY, Gate, Shut

LARGEST_SENT = LARGEST_PICTURE * 4 // 3 + 100_000  # [byte] of one request
LARGEST_READ = 100_000_000  # [byte] of a refused request, read so that the answer is heard
PATIENT = 20.0  # [s] a phone may be silent in the middle of a request
COOKIE = "slingwright_field"
ICON = "/favicon.ico"
FILES = {
    "/": ("field.html", "text/html; charset=utf-8"),
    "/field.js": ("field.js", "text/javascript; charset=utf-8"),
    "/field.css": ("field.css", "text/css; charset=utf-8"),
}
POLICY = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'"
)
KINDS = {"jpg": "image/jpeg", "tif": "image/tiff"}  # others are called as they end


class Answer(Exception):
    """What is answered in place of what was asked for."""

    def __init__(self, status: HTTPStatus, words: str, **more: Any) -> None:
        super().__init__(words)
        self.status, self.record = status, {"error": words, **more}


class FieldServer(ThreadingHTTPServer):
    """Serves a day of a log to phones that brought the code.

    Args:
        day: the log and its machine.
        address: to listen on; port 0 takes one that is free.
    """

    daemon_threads = True
    request_queue_size = 64

    def __init__(self, day: Day, address: tuple[str, int] = ("127.0.0.1", 0)) -> None:
        super().__init__(address, _Handler)
        self.day, self.gate, self.lists = day, Gate(), CheckLists(day)
        host, port = str(self.server_address[0]), self.server_address[1]
        names = ("127.0.0.1", "localhost") if host == "127.0.0.1" else (host,)
        self.hosts = [f"{name}:{port}" for name in names]
        self.url = f"http://{self.hosts[0]}/"

    def _tell(self, *of: Any) -> None:
        """Say nothing of a connection that dropped: phones on a meadow do that all day."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(*of)

    handle_error = _tell  # type: ignore[assignment]


class _Handler(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    server_version, sys_version = "slingwright", ""
    timeout = PATIENT
    server: FieldServer

    def _one(self) -> None:
        more: dict[str, str] = {}
        try:
            status, kind, body = self._answered(more)
        except Answer as told:
            status, kind, body = told.status, "application/json", _json(told.record)
        self.send_response(status)
        heads = {
            "Content-Type": kind,
            "Content-Length": str(len(body)),
            "Content-Security-Policy": POLICY,
            "X-Content-Type-Options": "nosniff",
            "Referrer-Policy": "no-referrer",
            "Cross-Origin-Resource-Policy": "same-origin",
            "Cache-Control": "no-store",
        }
        for name, value in (heads | more).items():
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(body)

    do_GET = do_POST = _one

    def _say(self, *words: object) -> None:
        """Say nothing of each request: the terminal shows the code."""

    log_message = _say  # type: ignore[assignment]

    def _answered(self, more: dict[str, str]) -> tuple[HTTPStatus, str, bytes]:
        """Give the answer to a request that may be made; `more` takes headers of its own."""
        sent = self._body() if self.command == "POST" else {}
        path, host = urlsplit(self.path).path, self.headers.get("Host", "")
        if host not in self.server.hosts or self.headers.get("Origin") not in (
            None,
            f"http://{host}",
        ):
            raise Answer(HTTPStatus.BAD_REQUEST, f"This page is at {self.server.url} alone.")
        if self.command == "GET" and path in FILES:
            # Kept by the browser, so that a tab that it put aside opens again on the meadow.
            more["Cache-Control"] = "private, max-age=60, stale-while-revalidate=86400"
            name, kind = FILES[path]
            return HTTPStatus.OK, kind, (Path(__file__).parent / name).read_bytes()
        if path == ICON:
            return HTTPStatus.NO_CONTENT, "image/x-icon", b""
        if (self.command, path) == ("POST", "/enter"):
            return HTTPStatus.OK, "application/json", _json(self._enter(sent, more))
        cookies = http.cookies.SimpleCookie(self.headers.get("Cookie", ""))
        secret = cookies[COOKIE].value if COOKIE in cookies else ""
        if not self.server.gate.knows(secret):
            raise Answer(HTTPStatus.UNAUTHORIZED, "Type the code that the computer shows.")
        return self._inside(path, sent, more)

    def _inside(
        self, path: str, sent: dict[str, str], more: dict[str, str]
    ) -> tuple[HTTPStatus, str, bytes]:
        """Answer a phone that came in."""
        day = self.server.day
        try:
            if (self.command, path) == ("POST", "/entry"):
                entry = day.write(sent)
                return HTTPStatus.OK, "application/json", _json({"number": entry.number})
            if (self.command, path) == ("GET", "/day"):
                on = parse_qs(urlsplit(self.path).query).get("on", [""])[0]
                return HTTPStatus.OK, "application/json", _json(day.told(on))
            if (self.command, path) == ("GET", "/checks"):
                return HTTPStatus.OK, "application/json", _json(self.server.lists.told())
            if self.command == "GET" and path.startswith("/photo/"):
                picture = day.picture(path.removeprefix("/photo/"))
                if picture is not None:
                    more["Cache-Control"] = "private, max-age=86400, immutable"
                    ending = picture_ending(picture[:16]) or ""
                    return HTTPStatus.OK, KINDS.get(ending, f"image/{ending}"), picture
        except Refused as error:
            raise Answer(
                HTTPStatus.UNPROCESSABLE_ENTITY, str(error), field=error.field, ways=error.ways
            ) from error
        except (LogbookError, ValueError) as error:
            # The disk may do it later; what the log itself refuses, it will refuse again.
            again = isinstance(error.__cause__, sqlite3.Error | OSError)
            status = HTTPStatus.SERVICE_UNAVAILABLE if again else HTTPStatus.UNPROCESSABLE_ENTITY
            raise Answer(status, str(error)) from error
        raise Answer(HTTPStatus.NOT_FOUND, "There is nothing of that name here.")

    def _enter(self, sent: dict[str, str], more: dict[str, str]) -> dict[str, str]:
        try:
            secret = self.server.gate.enter(sent.get("code", ""), sent.get("phone", ""))
        except Shut as error:
            status = HTTPStatus.TOO_MANY_REQUESTS if error.wait else HTTPStatus.FORBIDDEN
            raise Answer(status, str(error)) from error
        rest = f"HttpOnly; SameSite=Strict; Path=/; Max-Age={STAY:.0f}"
        more["Set-Cookie"] = f"{COOKIE}={secret}; {rest}"
        return {"welcome": self.server.url}

    def _body(self) -> dict[str, str]:
        """Read what was sent: a table of texts, bounded."""
        try:
            length = int(self.headers.get("Content-Length", ""))
        except ValueError:
            length = -1
        if not 0 <= length <= LARGEST_SENT:
            self.close_connection = True
            left = min(length, LARGEST_READ)
            while left > 0 and (part := self.rfile.read(min(left, 65_536))):
                left -= len(part)
            raise Answer(
                HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
                f"{length / 1e6:.1f} MB were sent, and the most is {LARGEST_SENT / 1e6:.1f} MB. "
                "Send a smaller picture."
                if length > 0
                else "The length of what is sent must be told.",
            )
        content = self.rfile.read(length)
        if len(content) < length:
            self.close_connection = True
            raise Answer(HTTPStatus.BAD_REQUEST, "It was cut short on its way. Send it again.")
        try:
            if self.headers.get_content_type() != "application/json":
                raise ValueError(f"it is {self.headers.get_content_type()}, not JSON")
            sent = json.loads(content)
            if not isinstance(sent, dict) or any(not isinstance(v, str) for v in sent.values()):
                raise ValueError("it is no table of texts")
        except (ValueError, RecursionError) as error:
            raise Answer(
                HTTPStatus.UNSUPPORTED_MEDIA_TYPE, f"What was sent cannot be read: {error}."
            ) from error
        return sent


class CheckLists:
    """The lists to go through as a machine is proved, worked out beside the page: it takes long."""

    def __init__(self, day: Day) -> None:
        self._day, self._turn = day, threading.Lock()
        self._found: dict[str, Any] = {"lists": [], "words": "The lists are being worked out."}
        self._of: object = None

    def told(self) -> dict[str, Any]:
        """Give the lists that there are, and whether newer ones are being worked out."""
        with self._day.log() as log:
            of = self._day.machine(log), len(log)
            story = None if of == self._of else story_of(log, of[0])
        with self._turn:
            if story is not None and not self._found.get("working"):
                self._of, self._found = of, self._found | {"working": True}
                work = threading.Thread(target=self._work, args=(of[0], story.shots), daemon=True)
                work.start()
            return self._found

    def _work(self, machine: Machine, shots: tuple[FieldShot, ...]) -> None:
        try:
            lists = [self._list(step) for step in proving(machine, shots, look=False).steps]
            found = {"lists": lists, "words": f"{CAUTION} Strength and ground are not asked here."}
        except ValueError as error:
            found = {"lists": [], "words": f"There is no list: {error}"}
        with self._turn:
            self._found = found

    def _list(self, step: Step) -> dict[str, Any]:
        """Give a step's name, how it stands, what is done and expected, and what is looked at."""

        def told(words: str) -> str:
            return words.told(self._day.system) if isinstance(words, Text) else words

        lines = [told(step.do)]
        for one in step.expected:
            low = f"below {told(one.told(one.low))} or " if one.both else ""
            stop = f"stop {low}above {told(one.told(one.high))}"
            lines.append(f"{one.label}: {told(one.told(one.value))}, {stop}")
        lines += [f"looked at: {part}" for part in LOOK.split("; ")]
        words = f"{step.verdict}{': ' if step.wrong else ''}{told(step.wrong)}"
        return {"title": told(step.name), "words": words, "lines": lines}


def _json(record: Any) -> bytes:
    return json.dumps(record, ensure_ascii=True, allow_nan=False).encode()
