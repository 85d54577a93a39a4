"""Work in pieces through any `concurrent.futures` executor: other cores, or other machines.

A piece comes back once, in whatever order.  One that was cancelled or whose connection broke is
sent again; one that failed, or whose workers are gone, ends the work with an error that names it.
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, as_completed
from contextlib import contextmanager
from contextvars import ContextVar
from itertools import islice
from typing import Any, TypeVar

AT_ONCE = 256
"""Pieces on their way at one time; more cores than this stand idle."""
TRIES = 3
"""Times that a piece is sent before it is given up as lost."""
_EXECUTOR: ContextVar[Executor | None] = ContextVar("_EXECUTOR", default=None)

Key = TypeVar("Key")


class ElsewhereError(RuntimeError):
    """Work that an executor did not do: which, why, and what to do about it."""


@contextmanager
def throws_on(executor: Executor) -> Iterator[None]:
    """Have everything that throws many machines do it on this executor while the block lasts.

    Ensembles, learning, search, next trial and sensitivity then share their sweeps out there, all
    but those of a few throws, which are done sooner than sent.
    """
    before = _EXECUTOR.set(executor)
    try:
        yield
    finally:
        _EXECUTOR.reset(before)


def executor_of_block() -> Executor | None:
    """Give the executor of the block of `throws_on` that stands around, if any."""
    return _EXECUTOR.get()


def in_pieces(
    executor: Executor,
    work: Callable[..., Any],
    pieces: Iterable[tuple[Key, tuple[Any, ...]]],
    named: Callable[[Key], str],
) -> Iterator[tuple[Key, Any]]:
    """Do work in pieces, and give each piece's key with its result as they come.

    Args:
        work: a function of a module, so that it can be sent.
        pieces: keys, and what the work is called with; drawn from as there is room.

    Raises: ElsewhereError: a piece failed or was lost; what was not begun is cancelled.
    """
    left = iter(pieces)
    while batch := list(islice(left, AT_ONCE)):
        for turn in range(TRIES):
            sent: dict[Future[Any], tuple[Key, tuple[Any, ...]]] = {}
            lost = []
            try:
                for piece in batch:
                    key = piece[0]
                    # The turn goes along: schedulers that know a call by its arguments do it anew.
                    sent[executor.submit(_worked, work, piece[1], turn)] = piece
                for future in as_completed(sent):
                    key = sent[future][0]
                    try:
                        result = future.result()
                    except (CancelledError, ConnectionError):
                        lost.append(sent[future])
                        continue
                    yield key, result
            except BrokenExecutor as error:
                raise ElsewhereError(
                    f"{named(key)}: the executor's workers ended before it was done "
                    f"({error}). Make a new executor and ask again; workers end so when memory "
                    "runs out, give fewer of them then, and in a script that starts processes "
                    "outside of `if __name__ == '__main__':`."
                ) from error
            except Exception as error:
                raise ElsewhereError(
                    f"{named(key)} failed in the executor: "
                    f"{type(error).__name__}: {error}. Nothing of this is kept. Ask for these "
                    "alone without an executor to see it happen here."
                ) from error
            finally:
                for future in sent:
                    future.cancel()
            batch = lost
            if not batch:
                break
        else:
            raise ElsewhereError(
                f"{named(batch[0][0])}: lost {TRIES} times on the way. Look whether the workers "
                "and the way to them stand, then ask again."
            )


def _worked(work: Callable[..., Any], arguments: tuple[Any, ...], turn: int) -> Any:
    """Do a piece; runs where the executor has it run."""
    return work(*arguments)
