"""Holds, fails, or not known: the vocabulary of every verdict, and the rule of exit codes."""

from collections.abc import Iterable
from dataclasses import dataclass

HOLDS, FAILS, NOT_KNOWN = "holds", "fails", "not known"
SIGNS = {
    HOLDS: "\N{CHECK MARK} holds",
    FAILS: "\N{BALLOT X} fails",
    NOT_KNOWN: "? not known",
}
"""Each verdict with its sign, so that none is told by colour alone."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was asked: what it is, its verdict, why in words, its verdict as planned."""

    name: str
    verdict: str
    words: str = ""
    planned: str = ""  # where mishaps are left out; empty where that is no other


def whole(verdicts: Iterable[str]) -> str:
    """Give the verdict of several: one that fails fails all; nothing asked is nothing known.

    >>> whole(["holds", "not known"]), whole(["not known", "fails"]), whole([])
    ('not known', 'fails', 'not known')
    """
    found = set(verdicts)
    if FAILS in found:
        return FAILS
    return HOLDS if found == {HOLDS} else NOT_KNOWN


def exit_code(verdict: str) -> int:
    """Give the exit code of a command: 0 where all is known to hold, else 1.

    >>> exit_code("holds"), exit_code("not known")
    (0, 1)
    """
    return 0 if verdict == HOLDS else 1
