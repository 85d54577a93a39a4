"""Work that a page starts and a person may stop: done beside it, with words on how far it is."""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable
from typing import Any

import ipywidgets

from slingwright.pages.parts.beside import Beside

Report = Callable[..., None]
LEAST_PAUSE = 0.1  # s, between two reports: more often than that nobody reads


class WorkStopped(Exception):
    """Work that was told to stop before it had an answer."""


class LongWork:
    """One piece of work at a time, done beside the page, with a Stop button.

    Where no event loop runs (a script, a test) the work is done at once.

    Args:
        attempt: does something for a control and says what goes wrong.
        say: puts words into a status line.
    """

    def __init__(
        self, attempt: Callable[[Callable[[], object]], object], say: Callable[[str], object]
    ) -> None:
        self._attempt, self._say = attempt, say
        self._beside = Beside()
        self._stop = threading.Event()
        self.stop_button = ipywidgets.Button(
            description="Stop",
            tooltip="Stop the work that is going on; nothing is changed by it",
            icon="stop",
            disabled=True,
            layout=ipywidgets.Layout(width="auto"),
        )
        self.stop_button.add_class("sw-tool")
        self.stop_button.on_click(lambda _: self.stop())

    @property
    def going(self) -> bool:
        """Whether work is asked for and not yet answered."""
        return bool(self._beside.going)

    def start(
        self,
        work: Callable[[Report], Any],
        done: Callable[[Any], object],
        told: Callable[..., object],
    ) -> None:
        """Start some work.

        Args:
            work: what is done; it must not touch widgets. It is given a function to report with,
                which raises WorkStopped once Stop was pressed.
            done: called with the work's answer, where widgets may be touched.
            told: called with what was reported, where widgets may be touched.
        """
        if self.going:
            self._say("still at work: wait, or press Stop first")
            return
        self._stop.clear()
        stop, last = self._stop, [0.0]
        try:
            loop: asyncio.AbstractEventLoop | None = asyncio.get_running_loop()
        except RuntimeError:
            loop = None

        def hear(words: tuple[Any, ...]) -> None:
            if not stop.is_set() and self.going:
                self._attempt(lambda: told(*words))

        def report(*words: Any, always: bool = False) -> None:
            if stop.is_set():
                raise WorkStopped
            now = time.monotonic()
            if always or now - last[0] >= LEAST_PAUSE:
                last[0] = now
                if loop is None:
                    told(*words)
                else:
                    loop.call_soon_threadsafe(hear, words)

        def answer(result: Callable[[], Any]) -> None:
            def finish() -> None:
                try:
                    value = result()
                except WorkStopped:
                    self._say("stopped before there was an answer")
                else:
                    done(value)

            self.stop_button.disabled = True
            self._attempt(finish)

        self.stop_button.disabled = loop is None
        self._beside.ask("work", lambda: work(report), answer)

    def stop(self) -> None:
        """Tell the work that is going on to stop."""
        if self.going:
            self._stop.set()
            self._say("stopping \N{HORIZONTAL ELLIPSIS}")

    def close(self) -> None:
        """Stop the work and take no more answers."""
        self._stop.set()
        self._beside.close()
