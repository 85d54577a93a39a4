"""The command `field`: serves the field page to phones until Ctrl-C."""

from __future__ import annotations

import argparse
import io
import ipaddress
import socket
import sys
import threading
from pathlib import Path

from slingwright.commands.log import Declined
from slingwright.commands.typed import whole

PORT = 8765
"""Always the same, so that what waits on a phone finds its server again."""


def field_options(parser: argparse.ArgumentParser) -> None:
    """Add what `field` takes: a job or a log, and where to listen."""
    parser.add_argument("log", nargs="?", metavar="LOG", help="a build log that is in no job")
    parser.add_argument("--machine", metavar="FILE", help="machine file for LOG (otter_ford)")
    parser.add_argument("--job", metavar="FOLDER", help="job to work on (the last one)")
    parser.add_argument(
        "--lan",
        nargs="?",
        const="",
        metavar="ADDRESS",
        help="serve to phones on the local network; without it to this computer alone",
    )
    parser.add_argument("--port", type=whole, default=PORT, help=f"to listen on ({PORT})")
    parser.add_argument("--us", action="store_true", help="type and show US customary units")


def run_field(options: argparse.Namespace) -> int:
    """Serve until Ctrl-C; Enter makes a code for one more phone."""
    import segno

    from slingwright.amounts.units import System
    from slingwright.logbook import Logbook, LogbookError
    from slingwright.logbook.job import open_job
    from slingwright.machine.file import read_machine
    from slingwright.pages.log.records import current_machine
    from slingwright.phone.day import Day
    from slingwright.phone.server import FieldServer

    system: System = "US" if options.us else "metric"
    try:
        if options.log:
            base, path = read_machine(options.machine or "otter_ford"), Path(options.log)
            Logbook.open(path).close()
            day = Day(
                log=lambda: Logbook.open(path),
                machine=lambda log: current_machine(log, base),
                system=system,
            )
        else:
            job = open_job(options.job)
            path = job.log_file
            day = Day(log=job.log, machine=lambda _: job.machine(), system=system)
        host = "127.0.0.1" if options.lan is None else lan_address(options.lan)
        server = FieldServer(day, (host, options.port))
    except LogbookError as error:
        raise Declined(str(error)) from error
    except (OSError, OverflowError) as error:
        raise Declined(
            f"field: {host} port {options.port} cannot be listened on ({error}). End what listens "
            "there, or give another --port."
        ) from error

    def show() -> None:
        code, picture = server.gate.new_code(), io.StringIO()
        segno.make(f"{server.url}#{code}", micro=False).terminal(picture, compact=True)
        print(picture.getvalue())
        print(f"{server.url}   code {code[:4]} {code[4:]}, for one phone, within ten minutes")
        print("Enter makes a code for another phone, Ctrl-C ends.", flush=True)

    def listen() -> None:
        for _ in sys.stdin:
            show()

    print(f"Entries go into {path}.")
    if options.lan is None:
        print("Only this computer can open the page; --lan serves it to phones on the network.")
    else:
        print("Nothing on the way is encrypted: use a network of your own, such as a hotspot.")
    show()
    threading.Thread(target=listen, daemon=True).start()
    with server:
        try:
            server.serve_forever(poll_interval=0.2)
        except KeyboardInterrupt:
            print(f"\nEnded; every entry that came in is in {path}.")
    return 0


def lan_address(typed: str = "") -> str:
    """Give this computer's address on the local network.

    Args:
        typed: the address to use; found from the way out if left out, without sending anything.

    Raises:
        Declined: there is none, or it is one of the open internet.
    """
    if not typed:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            try:
                probe.connect(("192.0.2.1", 9))  # RFC 5737: an address of nobody
                typed = probe.getsockname()[0]
            except OSError:
                raise Declined(
                    "--lan: this computer's address on the local network was not found. Join the "
                    "phones' network, or name the address: --lan 192.168.1.20"
                ) from None
    try:
        found = ipaddress.IPv4Address(typed)
    except ValueError:
        raise Declined(f"--lan {typed}: no IPv4 address; write it as 192.168.1.20") from None
    if found.is_global or found.is_unspecified or found.is_multicast:
        raise Declined(
            f"--lan {typed}: no address of a local network, and the page is not for the open "
            "internet. Join a network of your own, such as a phone's hotspot."
        )
    return str(found)


COMMANDS = (("field", "Serve a page for phones on the meadow.", field_options, run_field),)
"""Name, help, options and what is run."""
