"""Making and opening the one file of a log: is it a log, whole, and of a version we know."""

import contextlib
import os
import secrets
import sqlite3
from pathlib import Path
from urllib.parse import quote

from slingwright.logbook.faults import LogbookError, damaged, explain_storage_error
from slingwright.logbook.schema import APPLICATION, VERSION, migrate

PATIENCE = 30.0  # [s] how long a writer waits for another
_SIDE_FILE = "-journal"


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """Return a connection in autocommit mode with full care for what is written.

    Arguments:
        path: the log file.
        mode: `ro`, `rw` or `rwc`, as SQLite's URI file names have it.

    A rollback journal keeps the log one single file at rest, which can be copied by hand; with
    synchronous at EXTRA an entry is on the disk, and its folder too, before it is acknowledged.

    Source: https://www.sqlite.org/pragma.html#pragma_synchronous
    """
    address = f"file:{quote(str(path.absolute()))}?mode={mode}"
    connection = sqlite3.connect(address, uri=True, timeout=PATIENCE, isolation_level=None)
    try:
        connection.execute("PRAGMA synchronous = EXTRA")
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA recursive_triggers = ON")
        connection.execute("PRAGMA trusted_schema = OFF")
        connection.execute("PRAGMA cell_size_check = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def make_file(path: Path, machine: str) -> None:
    """Make an empty log for a machine, whole or not at all, and never over another file.

    Arguments:
        path: where it goes; the folder must be there.
        machine: name of the machine.

    Raises LogbookError where something is there already or the folder cannot be written.
    """
    if not path.parent.is_dir():
        raise LogbookError(
            f"{path.name}: there is no folder {path.parent}. "
            "Make the folder first, or choose another."
        )
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}.new")
    try:
        connection = connect(draft, "rwc")
        try:
            migrate(connection)
            connection.execute("INSERT INTO machine VALUES (1, ?)", (machine,))
        finally:
            connection.close()
        place_file(draft, path)
    except (sqlite3.Error, OSError) as error:
        raise explain_storage_error(error, path, "making the log") from error
    finally:
        for left in (draft, draft.with_name(draft.name + _SIDE_FILE)):
            with contextlib.suppress(OSError):
                left.unlink(missing_ok=True)


def place_file(draft: Path, path: Path) -> None:
    """Give a finished draft its name, never over another file; both names stand afterwards.

    Raises LogbookError where something has that name already, however late it came.
    """
    there = LogbookError(
        f"{path.name}: there is a file of that name already, and it was left as it is. "
        "Open it with Logbook.open, or choose another name."
    )
    if os.path.lexists(path):
        raise there
    try:
        os.link(draft, path)  # fails, and does not replace, where another was quicker
    except FileExistsError:
        raise there from None
    except OSError:  # a disk without hard links
        draft.rename(path)


def open_file(path: Path, *, reading_only: bool) -> sqlite3.Connection:
    """Open a log after looking that it is one, whole, and of a version this program knows.

    Arguments:
        path: the log file.
        reading_only: open so that nothing can be written.

    Nothing is written while looking. An older version is brought up to date, in one transaction,
    unless it is opened for reading only. Raises LogbookError for everything else.
    """
    if not path.is_file():
        raise LogbookError(
            f"{path.name}: there is no log at {path.parent}. Look at the name, or make one with "
            "Logbook.create."
        )
    connection: sqlite3.Connection | None = None
    try:
        if path.stat().st_size == 0:
            raise damaged(path, "it is empty: it was cut off, or is no log")
        connection = connect(path, "ro" if reading_only else "rw")
        _look_over(connection, path, reading_only)
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        if not reading_only and version < VERSION:
            migrate(connection)
    except LogbookError:
        if connection is not None:
            connection.close()
        raise
    except (sqlite3.Error, OSError) as error:
        if connection is not None:
            connection.close()
        if str(getattr(error, "sqlite_errorname", "")).startswith("SQLITE_NOTADB"):
            raise _no_log(path) from error
        raise explain_storage_error(error, path, "opening the log") from error
    return connection


def _no_log(path: Path) -> LogbookError:
    return LogbookError(
        f"{path.name}: this file is not a build log, and it was left as it is. "
        "Choose the log's own file, or make a new one with Logbook.create."
    )


def _look_over(connection: sqlite3.Connection, path: Path, reading_only: bool) -> None:
    connection.execute("BEGIN")
    try:
        if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION:
            raise _no_log(path)
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        if version > VERSION:
            raise LogbookError(
                f"{path.name}: this log is of version {version}, and this program knows versions "
                f"up to {VERSION}. Nothing was written to it. Install the newer slingwright to "
                "use it."
            )
        if version < 1 or (reading_only and version < VERSION):
            raise LogbookError(
                f"{path.name}: this log is of version {version} and must be brought to {VERSION} "
                "first. Open it once for writing."
            )
        connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        pages = int(connection.execute("PRAGMA page_count").fetchone()[0])
        page = int(connection.execute("PRAGMA page_size").fetchone()[0])
        size = path.stat().st_size
        if size < pages * page:
            raise damaged(path, f"it is cut off: {size} bytes where {pages * page} belong")
        for (found,) in connection.execute("PRAGMA quick_check(1)"):
            if found != "ok":
                raise damaged(path, " ".join(str(found).split()))
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
