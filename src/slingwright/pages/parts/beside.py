"""Work that takes long, done beside the page so that the dials go on answering.

Some of it a person may stop; it tells in words how far it is.
"""

from __future__ import annotations

import asyncio
import threading
import time
from collections.abc import Callable, Hashable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import ipywidgets

Report = Callable[..., None]
LEAST_PAUSE = 0.1  # s, between two reports: more often than that nobody reads


def running_loop() -> asyncio.AbstractEventLoop | None:
    """Give the event loop that runs here; None in a script or a test."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


class Beside:
    """Does one piece of work after another in a thread of its own; answers come back in turn.

    Where no event loop runs (a script, a test) the work is done at once instead. What the work
    raises is raised again by the answer's `result()`.
    """

    def __init__(self) -> None:
        self._worker: ThreadPoolExecutor | None = None
        self._going: set[Hashable] = set()
        self._closed = False

    @property
    def going(self) -> frozenset[Hashable]:
        """Keys of the work that is asked for and not yet answered."""
        return frozenset(self._going)

    def ask(
        self, key: Hashable, work: Callable[[], Any], answer: Callable[[Callable[[], Any]], object]
    ) -> None:
        """Do some work, unless it is being done, and call `answer` with what gives its result.

        The work is known by its key and must not touch widgets; `answer` may.
        """
        if key in self._going or self._closed:
            return
        loop = running_loop()
        if loop is None:
            answer(work)
            return
        if self._worker is None:
            self._worker = ThreadPoolExecutor(1, thread_name_prefix="slingwright-beside")
        self._going.add(key)
        future = loop.run_in_executor(self._worker, work)

        def done(ended: asyncio.Future[Any]) -> None:
            self._going.discard(key)
            if not self._closed and not ended.cancelled():
                answer(ended.result)
            elif not ended.cancelled():
                ended.exception()  # taken note of, so that asyncio does not tell of it

        future.add_done_callback(done)

    def close(self) -> None:
        """Take no more answers."""
        self._closed = True
        if self._worker is not None:
            self._worker.shutdown(wait=False, cancel_futures=True)


class WorkStopped(Exception):
    """Work that was told to stop before it had an answer."""


class LongWork:
    """One piece of work at a time, done beside the page, with a Stop button.

    `attempt` does something for a control and says what goes wrong; `say` tells how far it is.
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
        """Start some work, which must not touch widgets, as `done` and `told` may.

        It is given a function to report with, which raises WorkStopped once Stop was pressed;
        `told` is called with what was reported, `done` with the answer.
        """
        if self.going:
            self._say("still at work: wait, or press Stop first")
            return
        self._stop.clear()
        stop, last = self._stop, [0.0]
        loop = running_loop()

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
