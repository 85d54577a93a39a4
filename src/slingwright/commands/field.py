"""The command `field`: serves the field page to phones until Ctrl-C."""

import io
import ipaddress
import itertools
import socket
import sys
import threading
from pathlib import Path

from slingwright.commands.typed import US, Options, Refusal, command, option, system_of, whole

PORT = 8765  # always the same, so that what waits on a phone finds its server again


@command(
    "field",
    "Serve a page for phones on the meadow.",
    option("log", nargs="?", metavar="LOG", help="a build log that is in no job"),
    option("--machine", metavar="FILE", help="machine file for LOG (otter_fair)"),
    option("--job", metavar="FOLDER", help="job to work on (the last one)"),
    option(
        "--lan", nargs="?", const="", metavar="ADDRESS",
        help="serve to phones on the local network; without it to this computer alone",
    ),
    option("--port", type=whole, default=PORT, help=f"to listen on ({PORT})"),
    US,
)  # fmt: skip
def run_field(options: Options) -> int:
    """Serve until Ctrl-C; Enter makes a code for one more phone."""
    import segno

    from slingwright.logbook import Logbook
    from slingwright.logbook.job import open_job
    from slingwright.machine.file import read_machine
    from slingwright.pages.log.records import current_machine
    from slingwright.phone.day import Day
    from slingwright.phone.server import FieldServer

    try:
        if options.log:
            base, path = read_machine(options.machine or "otter_fair"), Path(options.log)
            Logbook.open(path).close()
            log, machine = lambda: Logbook.open(path), lambda log: current_machine(log, base)
        else:
            job = open_job(options.job)
            path, log, machine = job.log_file, job.log, lambda _: job.machine()
        host = "127.0.0.1" if options.lan is None else lan_address(options.lan)
        day = Day(log=log, machine=machine, system=system_of(options))
        server = FieldServer(day, (host, options.port))
    except (OSError, OverflowError) as error:
        words = f"field: {host} port {options.port} cannot be listened on ({error})."
        raise Refusal(f"{words} End what listens there, or give another --port.") from error

    def show_codes() -> None:
        for _ in itertools.chain([""], sys.stdin):
            code, picture = server.gate.new_code(), io.StringIO()
            segno.make(f"{server.url}#{code}", micro=False).terminal(picture, compact=True)
            print(f"{picture.getvalue()}\n{server.url}   code {code[:4]} {code[4:]}, for one phone")
            print("within ten minutes. Enter makes a code for another, Ctrl-C ends.", flush=True)

    told = "Only this computer can open the page; --lan serves it to phones on the network."
    if options.lan is not None:
        told = "Nothing on the way is encrypted: use a network of your own, such as a hotspot."
    print(f"Entries go into {path}.\n{told}")
    threading.Thread(target=show_codes, daemon=True).start()
    with server:
        try:
            server.serve_forever(poll_interval=0.2)
        except KeyboardInterrupt:
            print(f"\nEnded; every entry that came in is in {path}.")
    return 0


def lan_address(typed: str = "") -> str:
    """Give this computer's address on the local network; where none is typed it is looked up.

    Raises:
        Refusal: there is none, or it is one of the open internet.
    """
    try:
        if not typed:
            with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
                # RFC 5737: an address of nobody; the way out is chosen, and nothing is sent.
                probe.connect(("192.0.2.1", 9))
                typed = probe.getsockname()[0]
        found = ipaddress.IPv4Address(typed)
        if not (found.is_global or found.is_unspecified or found.is_multicast):
            return str(found)
    except (OSError, ValueError):
        pass
    raise Refusal(
        f"--lan {typed}: no address of a local network; the page is not for the open internet. "
        "Join the phones' network, such as a hotspot, or name this computer's address on it, as "
        "--lan 192.168.1.20"
    )
