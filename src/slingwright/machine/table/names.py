"""Which names a dial may hold: rows of a table of materials, or a few choices."""

from slingwright.machine.table.dial import Dial
from slingwright.tables.reading import table


def known_names(dial: Dial) -> tuple[str, ...]:
    """Give the names a dial may hold, the user's own rows of the tables included.

    Raises:
        ValueError: a dial that holds no name.
    """
    if not (dial.choices or dial.table):
        raise ValueError(f"{dial.path} holds no name of a table; it is a {dial.kind}")
    return dial.choices or tuple(table(dial.table))
