"""What is wrong with a machine, said so that a person can put it right."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from slingwright.machine.table import dials

MOST_FAULTS = 200
"""Faults that are listed one by one; those beyond are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong: the dial, where it stands, its value, the limit, what to do."""

    key: str
    message: str
    value: str = ""
    limit: str = ""
    next_step: str = ""
    line: int | None = None

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line is not None else ""
        value = f" = {self.value}" if self.value else ""
        limit = f"; limit: {self.limit}" if self.limit else ""
        step = f"; {self.next_step}" if self.next_step else ""
        return f"{where}{self.key}{value}: {self.message}{limit}{step}"

    def labelled(self) -> str:
        """Say it as a page does: under the dial's label, the path in brackets.

        >>> Fault(key="sling.length", message="too long").labelled()
        'Sling length (sling.length): too long'
        """
        row = dials.BY_PATH.get(self.key)
        return str(self if row is None else replace(self, key=row.named))


class MachineError(ValueError):
    """A machine that cannot be made, read or written, with every fault that was found."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__(self.faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


def at_most(faults: Iterable[Fault]) -> list[Fault]:
    """Put faults in the order of their lines, and count those beyond MOST_FAULTS in one."""
    every = sorted(faults, key=lambda fault: (fault.line is None, fault.line or 0))
    if len(every) <= MOST_FAULTS:
        return every
    rest = Fault(
        key="file",
        message=f"{len(every) - MOST_FAULTS} more faults are not listed",
        next_step="correct those above first",
    )
    return [*every[:MOST_FAULTS], rest]


def unknown_dial(path: str, line: int | None = None, *, hint: bool = True) -> Fault:
    """Give the fault of a path that is in no row of the table.

    >>> print(unknown_dial("sling.lenght", 7))
    line 7: sling.lenght: no such dial; ...; did you mean sling.length?
    """
    near = dials.nearest(path) if hint else None
    return Fault(
        key=printable(path),
        line=line,
        message="no such dial",
        limit="a path that `python -m slingwright dials` lists",
        next_step=f"did you mean {near}?" if near else "correct the key or take it out",
    )


def written_as(raw: object) -> str:
    """Write what was given as it stood, cut short and printable."""
    if isinstance(raw, str):
        return f'"{printable(raw)}"'
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, int) and raw.bit_length() > 200:
        return "a whole number of more than 60 digits"
    if isinstance(raw, Mapping):
        return "a table"
    if isinstance(raw, list | tuple):
        return "a list"
    return printable(str(raw))


def printable(text: str, longest: int = 60) -> str:
    r"""Cut a text short and escape what a terminal would act upon.

    >>> printable("a\x1b[2Jb")
    'a\\x1b[2Jb'
    """
    cut = text if len(text) <= longest else text[: longest - 3] + "..."
    return "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii")
        for sign in cut
    )
