"""Finding a dial by a word, and explaining it: for a notebook, and for the reference page."""

from dataclasses import dataclass

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Table
from slingwright.machine.table import dials as table
from slingwright.machine.table.dial import Dial
from slingwright.machine.text import absent, limits


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class DialList(Answer):
    """Dials that a word led to, in the order of the table."""

    word: str
    found: tuple[Dial, ...]

    @property
    def sentence(self) -> str:
        """How many dials the word led to."""
        if not self.word:
            return f"All {len(self.found)} dials."
        count = len(self.found) or "No"
        plural = "dial has" if len(self.found) == 1 else "dials have"
        return f"{count} {plural} {self.word!r} in path, label or help."

    def table(self, system: units.System = "metric") -> Table:
        """Give path, letter, label, limits, default and help of each dial."""
        return Table(
            head=("dial", "letter", "is", "from", "to", "if not given", "what it is"),
            lines=tuple(
                (
                    row.path,
                    row.symbol,
                    row.label,
                    *limits(row, system),
                    absent(row, system),
                    row.help,
                )
                for row in self.found
            ),
            caption=self.sentence,
            system=system,
        )

    def record(self) -> dict[str, object]:
        """Give the rows as plain data."""
        table = self.table()
        rows = [dict(zip(table.head, line, strict=True)) for line in table.cells()]
        return {"sentence": self.sentence, "rows": rows}

    def __len__(self) -> int:
        return len(self.found)


def dials(word: str = "") -> DialList:
    """Find dials whose path, letter, label or help has a word, and explain them.

    >>> [row.path for row in dials("drum").found][:2]
    ['winch.drum', 'winch.gear']
    """
    asked = word.strip().lower()
    found = tuple(
        row
        for row in table.TABLE
        if asked in f"{row.path} {row.label} {row.help}".lower() or word == row.symbol
    )
    return DialList(word=word, found=found)
