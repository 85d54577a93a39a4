"""Who may come in: a code for one phone that soon ends, and a lock against guessing."""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable

FRESH = 600.0  # [s] a code can be used for so long
STAY = 86_400.0  # [s] a phone that came in stays for so long
TRIES = 10
LOCKED = 60.0  # [s] no code is taken after TRIES wrong ones


class Shut(Exception):
    """A phone is not let in; the words say why and what to do. `wait` in seconds, or 0."""

    def __init__(self, words: str, wait: float = 0.0) -> None:
        super().__init__(words)
        self.wait = wait


class Gate:
    """Hands out codes of eight digits, and a long secret to the one phone that brings one.

    The phone gives a name of its own with the code: where the answer to it was lost, the same phone
    may ask again with the same code while that is fresh, and no other. `now` gives the time [s].
    """

    def __init__(self, now: Callable[[], float] = time.time) -> None:
        self._now = now
        self._turn = threading.Lock()
        self._code = self._phone = self._secret = ""
        self._until, self._wrong, self._locked = 0.0, 0, 0.0
        self._inside: dict[str, float] = {}  # secret, and until when

    def new_code(self) -> str:
        """Give a code for one more phone; the one before is no good any more."""
        with self._turn:
            self._code = f"{secrets.randbelow(10**8):08d}"
            self._until, self._phone = self._now() + FRESH, ""
            return self._code

    def enter(self, code: str, phone: str) -> str:
        """Give the secret for a phone that brings the code.

        Raises:
            Shut: the code is wrong, used or old, or too many were wrong.
        """
        with self._turn:
            now = self._now()
            if now < self._locked:
                wait = self._locked - now
                raise Shut(f"{TRIES} codes were wrong: none is taken for {wait:.0f} s more.", wait)
            typed = "".join(code.split()).encode()
            right = now < self._until and hmac.compare_digest(typed, self._code.encode())
            if not (right and phone and self._phone in ("", phone)):
                self._wrong += 1
                if self._wrong >= TRIES:
                    self._wrong, self._locked = 0, now + LOCKED
                raise Shut(
                    "This code is wrong, was used by another phone, or is older than "
                    f"{FRESH / 60:.0f} minutes. Press Enter at the computer for a new one."
                )
            if not self._phone:
                self._phone, self._secret = phone, secrets.token_urlsafe(32)
            self._wrong = 0
            self._inside[self._secret] = now + STAY
            return self._secret

    def knows(self, secret: str) -> bool:
        """Tell whether a phone came in with a code, not too long ago."""
        return self._now() < self._inside.get(secret, 0.0)
