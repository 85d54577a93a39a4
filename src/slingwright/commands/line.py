"""The command line: `python -m slingwright throw|sweep|dials|winch|check|zone|report ...`.

What is refused is said on standard error in a sentence; there is never a traceback.
"""

import argparse
import contextlib
import difflib
import importlib
import os
import sys
import threading
from collections.abc import Iterator, Sequence
from typing import NoReturn

import slingwright as sw
from slingwright.commands.typed import COMMANDS, FINE, REFUSED, STOPPED, complain

for _room in ("machine", "paper", "log", "changes", "field", "lessons"):
    importlib.import_module(f"slingwright.commands.{_room}")

PATIENT = 2.0
"""Seconds after which a reader at a terminal is told that the equations are being compiled."""

PROGRAM = "python -m slingwright"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code.

    0: fine.  1: the throw failed or is past the clear ground; a check fails, is not known or was
    not made.  2: an unknown path, a bad file or a bad
    option.  130: stopped by Ctrl-C.
    """
    for stream in (sys.stdout, sys.stderr):
        # File names and machine names may hold what a terminal's own encoding cannot write.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    try:
        options = _parser().parse_args(arguments)
        with patience():
            code = COMMANDS[options.command].run(options)
        sys.stdout.flush()
        return code
    except SystemExit as ended:
        return ended.code if isinstance(ended.code, int) else REFUSED
    except KeyboardInterrupt:
        complain("stopped by Ctrl-C; nothing was written")
        return STOPPED
    except BrokenPipeError:
        # Whoever read the output has had enough; nothing may be written at the end either.
        with contextlib.suppress(OSError, ValueError):
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, sys.stdout.fileno())
            os.close(nowhere)
        return FINE
    except MemoryError:
        complain("not enough memory for this; ask for fewer throws or a shorter swing-through")
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{error.strerror or error}; check the name, the folder and its rights")
    except Exception as error:
        if type(error).__module__.startswith("slingwright."):
            complain(str(error))  # the kit's own errors say what is wrong and what to do
        else:  # the last resort: a fault of ours, told without a traceback
            complain(
                f"a fault of this program, not of the machine: {type(error).__name__}: {error}; "
                "please report it with the command and the machine file"
            )
    return REFUSED


class _Parser(argparse.ArgumentParser):
    """A parser whose complaints are one line with a hint, like all others here."""

    def error(self, message: str) -> NoReturn:
        """Complain and end with REFUSED."""
        complain(f"{_with_hint(message)}; see `{self.prog} --help`")
        self.exit(REFUSED)


def _with_hint(message: str) -> str:
    if "invalid choice: '" not in message:
        return message
    given = message.split("invalid choice: '", 1)[1].split("'", 1)[0]
    near = difflib.get_close_matches(given, COMMANDS, n=1)
    ask = f"did you mean {near[0]}?" if near else f"there are {', '.join(COMMANDS)}"
    return f"{given!r}: no such command; {ask}"


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog=PROGRAM,
        description="Throw, sweep and wind counterweight machines from their files.",
        epilog="Exit codes: 0 all that was asked is known to hold; 1 something fails, is "
        "not known or was not looked at; 2 an unknown path, a bad "
        "file or a bad option; 130 stopped by Ctrl-C.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"slingwright {sw.__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for one in COMMANDS.values():
        sub = commands.add_parser(one.name, help=one.help, description=one.help, allow_abbrev=False)
        for names, how in one.options:
            sub.add_argument(*names, **how)
    return parser


@contextlib.contextmanager
def patience() -> Iterator[None]:
    """Tell a reader at a terminal why a first throw takes long."""
    if not sys.stderr.isatty():
        yield
        return
    text = "compiling the equations of this kind of machine, once on this computer ..."
    timer = threading.Timer(PATIENT, print, [text], {"file": sys.stderr, "flush": True})
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
