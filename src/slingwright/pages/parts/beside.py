"""Work that takes long, done beside the page so that the dials go on answering."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Hashable
from concurrent.futures import ThreadPoolExecutor
from typing import Any


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
        self,
        key: Hashable,
        work: Callable[[], Any],
        answer: Callable[[Callable[[], Any]], object],
    ) -> None:
        """Do some work, unless it is being done, and call `answer` with what gives its result.

        Args:
            key: what the work is known by.
            work: what is done in the thread; it must not touch widgets.
            answer: called where widgets may be touched.
        """
        if key in self._going or self._closed:
            return
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
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
