"""The tables of a log file, its version, and the steps that bring an older file up to it.

One table holds one line of canonical JSON an entry. Columns beside the line repeat what is
searched for. Triggers refuse every change but adding the next number, so that no program, this
one included, can alter what was written. The version stands in `user_version` and the mark of a
build log in `application_id`, both of them in the header of the file.
"""

import sqlite3

VERSION = 3
APPLICATION = 0x536C_4C67  # "SlLg"

_FIRST = (
    """
    CREATE TABLE machine (
        only_row INTEGER PRIMARY KEY CHECK (only_row = 1),
        name TEXT NOT NULL
    ) STRICT
    """,
    """
    CREATE TABLE entries (
        number INTEGER PRIMARY KEY CHECK (number >= 1),
        kind TEXT NOT NULL,
        corrects INTEGER REFERENCES entries (number) CHECK (corrects < number),
        line TEXT NOT NULL,
        digest TEXT NOT NULL CHECK (length(digest) = 64)
    ) STRICT
    """,
    """
    CREATE TRIGGER entries_take_the_next_number BEFORE INSERT ON entries
    WHEN NEW.number IS NOT (SELECT coalesce(max(number), 0) + 1 FROM entries)
    BEGIN SELECT RAISE(ABORT, 'append only: an entry takes the next number'); END
    """,
    """
    CREATE TRIGGER entries_are_not_changed BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'append only: write a correction instead'); END
    """,
    """
    CREATE TRIGGER entries_are_not_removed BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'append only: write a withdrawal instead'); END
    """,
    """
    CREATE TRIGGER machine_is_not_changed BEFORE UPDATE ON machine
    BEGIN SELECT RAISE(ABORT, 'append only: a log belongs to one machine'); END
    """,
    """
    CREATE TRIGGER machine_is_not_removed BEFORE DELETE ON machine
    BEGIN SELECT RAISE(ABORT, 'append only: a log belongs to one machine'); END
    """,
    """
    CREATE TRIGGER machine_is_named_once BEFORE INSERT ON machine
    WHEN EXISTS (SELECT 1 FROM machine)
    BEGIN SELECT RAISE(ABORT, 'append only: a log belongs to one machine'); END
    """,
)

# An entry is corrected once at most: what corrects a correction points to the correction.
_SECOND = (
    "CREATE UNIQUE INDEX entries_by_what_they_correct ON entries (corrects) "
    "WHERE corrects IS NOT NULL",
    "CREATE INDEX entries_by_kind ON entries (kind, number)",
    """
    CREATE TRIGGER entries_are_corrected_once BEFORE INSERT ON entries
    WHEN NEW.corrects IS NOT NULL
        AND EXISTS (SELECT 1 FROM entries WHERE corrects = NEW.corrects)
    BEGIN SELECT RAISE(ABORT, 'append only: correct the correction instead'); END
    """,
)

# What was sent under a name of the sender's own is known again when it is sent a second time.
_THIRD = (
    "CREATE TABLE sent (once TEXT PRIMARY KEY, number INTEGER NOT NULL REFERENCES entries (number))"
    " STRICT",
    *(
        f"CREATE TRIGGER sent_has_no_{change} BEFORE {change} ON sent "
        "BEGIN SELECT RAISE(ABORT, 'append only: what was sent stays'); END"
        for change in ("UPDATE", "DELETE")
    ),
)

STEPS: tuple[tuple[str, ...], ...] = (_FIRST, _SECOND, _THIRD)


def migrate(connection: sqlite3.Connection, *, to: int = VERSION) -> int:
    """Bring the tables of an open file up to a version, all steps or none.

    Arguments:
        connection: an open file in autocommit mode (isolation_level None).
        to: the version wanted.

    Returns the version the file had before. Raises sqlite3.Error where a step fails; the file is
    then as it was.

    >>> memory = sqlite3.connect(":memory:", isolation_level=None)
    >>> migrate(memory), memory.execute("PRAGMA user_version").fetchone()[0]
    (0, 3)
    >>> memory.close()
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        had = int(connection.execute("PRAGMA user_version").fetchone()[0])
        for step in STEPS[had:to]:
            for statement in step:
                connection.execute(statement)
        if had < to:
            connection.execute(f"PRAGMA application_id = {APPLICATION}")
            connection.execute(f"PRAGMA user_version = {to}")
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    return had
