"""What can go wrong with a log, said so that a maker in a field knows the next step."""

import errno
import sqlite3
from pathlib import Path


class LogbookError(Exception):
    """The log refused something; the message names the thing, the limit and the next step."""


def _kept(path: Path) -> str:
    return f"Every entry written before it is still in {path.name}."


def explain_storage_error(error: Exception, path: Path, doing: str) -> LogbookError:
    """Turn an error of the database or the file system into a sentence with a next step.

    Arguments:
        error: what SQLite or the operating system raised.
        path: the log that was being used.
        doing: what was being tried, as "writing an entry".

    Returns a LogbookError; the caller raises it from the error.

    Source: result codes of SQLite, https://www.sqlite.org/rescode.html.

    >>> full = OSError(28, "No space left on device")
    >>> print(explain_storage_error(full, Path("otter.log"), "copying a photo"))
    otter.log: the disk is full, so copying a photo was given up. ...
    """
    name = str(getattr(error, "sqlite_errorname", "") or "")
    words = str(error)
    code = error.errno if isinstance(error, OSError) else None
    start = f"{path.name}: "
    if isinstance(error, sqlite3.ProgrammingError):
        return LogbookError(
            f"{start}the log is closed, or belongs to another thread. Open it again with "
            "Logbook.open."
        )
    if name == "SQLITE_FULL" or code in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return LogbookError(
            f"{start}the disk is full, so {doing} was given up. {_kept(path)} "
            "Free some space on that disk, then do it again."
        )
    if name.startswith("SQLITE_IOERR"):
        return LogbookError(
            f"{start}the disk refused {doing} ({name}). {_kept(path)} "
            "Look whether the disk is full, at its size limit or pulled out, then do it again."
        )
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return LogbookError(
            f"{start}another program is holding the log, so {doing} was given up. {_kept(path)} "
            "Close the other program or wait for it, then do it again."
        )
    if name == "SQLITE_READONLY_ROLLBACK":
        return LogbookError(
            f"{start}the last write was cut short and must be undone before reading. "
            "Nothing was changed. Open the log once for writing."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH")) or (
        code in (errno.EACCES, errno.EPERM, errno.EROFS)
    ):
        return LogbookError(
            f"{start}the folder {path.parent} or the file may not be written by this user, so "
            f"{doing} was given up. Nothing was changed. "
            "Copy the log to a folder you may write to, or ask for the right to write there."
        )
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_FORMAT")):
        return damaged(path, words)
    return LogbookError(
        f"{start}{doing} failed: {words}. {_kept(path)} "
        "Look at the disk and the file, then try again."
    )


def damaged(path: Path, found: str) -> LogbookError:
    """Say that a log cannot be trusted as it stands and that nothing was written to it.

    >>> print(damaged(Path("otter.log"), "page 3 is torn"))
    otter.log: the file is damaged (page 3 is torn). Nothing was written to it. Put this file \
aside, and take the last whole copy or import the last JSON lines export into a new log.
    """
    return LogbookError(
        f"{path.name}: the file is damaged ({found}). Nothing was written to it. "
        "Put this file aside, and take the last whole copy or import the last JSON lines export "
        "into a new log."
    )
