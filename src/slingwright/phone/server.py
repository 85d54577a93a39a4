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

from slingwright.changing.proving import CAUTION, LOOK, noted_as, proving
from slingwright.logbook import LogbookError
from slingwright.logbook.photos import picture_ending
from slingwright.machine.machine import Machine
from slingwright.pages.log.records import story_of
from slingwright.pages.parts.fields import labelled
from slingwright.pages.standing.proving import typed_unit
from slingwright.phone.day import Day, Refused
from slingwright.phone.gate import STAY, Gate, Shut

LARGEST_SENT = 11_000_000  # [byte] of one request: a picture of 8 MB, as text
LARGEST_STRANGE = 1_000  # [byte] of a request by who is not in
LARGEST_READ = 100_000_000  # [byte] of a refused request, read so that the answer is heard
PATIENT = 20.0  # [s] a phone may be silent in the middle of a request
COOKIE = "slingwright_field"
JSON = "application/json"
FILES = {
    "/": ("field.html", "text/html; charset=utf-8"),
    "/field.js": ("field.js", "text/javascript; charset=utf-8"),
    "/field.css": ("field.css", "text/css; charset=utf-8"),
}
KINDS = {"jpg": "jpeg", "tif": "tiff"}  # pictures that are not called as they end
HEADS = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data:; object-src 'none'; "
    "base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


class Answer(Exception):
    """What is answered in place of what was asked for."""

    def __init__(self, status: HTTPStatus, words: str, **more: Any) -> None:
        super().__init__(words)
        self.status, self.record = status, {"error": words, **more}


class FieldServer(ThreadingHTTPServer):
    """Serves the day of a log to phones that brought the code; port 0 takes one that is free."""

    daemon_threads = True
    request_queue_size = 64

    def __init__(self, day: Day, address: tuple[str, int]) -> None:
        super().__init__(address, _Handler)
        self.day, self.gate, self.lists = day, Gate(), CheckLists(day)
        host, port = str(self.server_address[0]), self.server_address[1]
        self.hosts = [f"{host}:{port}", *([f"localhost:{port}"] if host == "127.0.0.1" else [])]
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
        self.heads = {**HEADS, "Content-Type": JSON}
        status = HTTPStatus.OK
        try:
            found = self._answered()
        except Answer as told:
            status, found = told.status, told.record
        body = found if isinstance(found, bytes) else json.dumps(found, allow_nan=False).encode()
        self.send_response(status)
        for name, value in self.heads.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    do_GET = do_POST = _one

    def _say(self, *words: object) -> None:
        """Say nothing of each request: the terminal shows the code."""

    log_message = _say  # type: ignore[assignment]

    def _answered(self) -> dict[str, Any] | bytes:
        cookies = http.cookies.SimpleCookie(self.headers.get("Cookie", ""))
        inside = COOKIE in cookies and self.server.gate.knows(cookies[COOKIE].value)
        sent = self._body(inside) if self.command == "POST" else {}
        path, host = urlsplit(self.path).path, self.headers.get("Host", "")
        site = self.headers.get("Origin", f"http://{host}")
        if host not in self.server.hosts or site != f"http://{host}":
            raise Answer(HTTPStatus.BAD_REQUEST, f"This page is at {self.server.url} alone.")
        if self.command == "GET" and path in FILES:
            # Kept by the browser, so that a tab that it put aside opens again on the meadow.
            self.heads["Cache-Control"] = "private, max-age=60, stale-while-revalidate=86400"
            name, self.heads["Content-Type"] = FILES[path]
            return (Path(__file__).parent / name).read_bytes()
        if (self.command, path) == ("POST", "/enter"):
            return self._enter(sent)
        if not inside:
            raise Answer(HTTPStatus.UNAUTHORIZED, "Type the code that the computer shows.")
        try:
            return self._inside(f"{self.command} {path}", sent)
        except Refused as error:
            status = HTTPStatus.UNPROCESSABLE_ENTITY
            raise Answer(status, str(error), field=error.field, ways=error.ways) from error
        except (LogbookError, ValueError) as error:
            # The disk may do it later; what the log itself refuses, it will refuse again.
            again = isinstance(error.__cause__, sqlite3.Error | OSError)
            status = HTTPStatus.SERVICE_UNAVAILABLE if again else HTTPStatus.UNPROCESSABLE_ENTITY
            raise Answer(status, str(error)) from error

    def _inside(self, asked: str, sent: dict[str, str]) -> dict[str, Any] | bytes:
        day = self.server.day
        if asked == "POST /entry":
            return {"number": day.write(sent).number}
        if asked == "GET /day":
            query = parse_qs(urlsplit(self.path).query)
            return day.told(*(query.get(name, [""])[-1] for name in ("on", "have")))
        if asked == "GET /checks":
            return self.server.lists.told()
        start, _, name = asked.rpartition("/")
        picture = day.picture(name) if start == "GET /photo" else None
        if picture is None:
            raise Answer(HTTPStatus.NOT_FOUND, "There is nothing of that name here.")
        ending = picture_ending(picture[:16]) or ""
        self.heads["Content-Type"] = f"image/{KINDS.get(ending, ending)}"
        self.heads["Cache-Control"] = "private, max-age=86400, immutable"
        return picture

    def _enter(self, sent: dict[str, str]) -> dict[str, Any]:
        try:
            secret = self.server.gate.enter(sent.get("code", ""), sent.get("phone", ""))
        except Shut as error:
            status = HTTPStatus.TOO_MANY_REQUESTS if error.wait else HTTPStatus.FORBIDDEN
            raise Answer(status, str(error)) from error
        rest = f"HttpOnly; SameSite=Strict; Path=/; Max-Age={STAY:.0f}"
        self.heads["Set-Cookie"] = f"{COOKIE}={secret}; {rest}"
        return {}

    def _body(self, inside: bool) -> dict[str, str]:
        most, told = LARGEST_SENT if inside else LARGEST_STRANGE, self.headers["Content-Length"]
        length = int(told) if told and told.isdecimal() and len(told) < 16 else -1
        if not 0 <= length <= most:
            self.close_connection = True
            left = min(length, LARGEST_READ)
            while left > 0 and (part := self.rfile.read(min(left, 65_536))):
                left -= len(part)
            if not inside:
                return {}
            words = f"{length / 1e6:.1f} MB were sent, and the most is {most / 1e6:.1f} MB"
            raise Answer(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, f"{words}: send a smaller picture.")
        content = self.rfile.read(length)
        try:
            if self.headers.get_content_type() != JSON:
                raise ValueError(f"it is {self.headers.get_content_type()}, not JSON")
            sent = json.loads(content)
            if not isinstance(sent, dict) or any(not isinstance(v, str) for v in sent.values()):
                raise ValueError("it is no table of texts")
        except (ValueError, RecursionError) as error:
            words = f"What was sent cannot be read: {error}."
            raise Answer(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, words) from error
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
        with self._turn:
            if of != self._of and not self._found.get("working"):
                self._of, self._found = of, {**self._found, "working": True}
                threading.Thread(target=self._work, args=of[:1], daemon=True).start()
            return self._found

    def _work(self, machine: Machine) -> None:
        lists: list[dict[str, Any]] = []
        words = f"{CAUTION} Strength and ground are not asked here."
        try:
            with self._day.log() as log:
                story = story_of(log, machine)
            found = proving(story.machine, story.shots, story.noted, look=False)
            cells = found.table(self._day.system).cells()
            steps = iter(found.steps)
            for row, (label, value, note) in zip(found.rows(), cells, strict=True):
                if row.key.endswith(".do"):
                    step = next(steps)
                    asked = [
                        [labelled(one.label, unit, self._day.system), one.label, unit]
                        for one in step.expected
                        for unit in [typed_unit(one)]
                        if one.key != "range"  # that is of a shot
                    ]
                    looks = [f"looked at: {part}" for part in LOOK.split("; ")]
                    lists.append(
                        {
                            "title": label,
                            "words": value,
                            "lines": [note, *looks],
                            "how": noted_as(step.machine),
                            "asked": asked,
                        }
                    )
                else:
                    line = f"{label.strip()}: {value}{'; ' if note else ''}{note}"
                    lists[-1]["lines"].insert(-len(looks), line)
        except Exception as error:  # whatever it is, the page must not wait for ever
            words = f"There is no list: {error}"
        with self._turn:
            self._found = {"lists": lists, "words": words}
