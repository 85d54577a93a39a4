"""The commands `draw` and `report`: pieces, their cutting, drawings, and the printed report."""

from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.verdict import exit_code
from slingwright.commands import typed
from slingwright.commands.typed import Options, Refusal, command, option


@command(
    "draw",
    "List the pieces of a machine, cut them from stock, draw it.",
    *(typed.FILE, typed.SET, typed.US),
    option("--out", metavar="FOLDER", help="a new folder for the drawings and the list"),
    option("--stock", metavar="LENGTHS", help="stock lengths to cut from, such as '4 m, 6 m'"),
    option("--trim", metavar="LENGTH", default="0 mm", help="cut off each first"),
    option("--prices", metavar="FILE", help='TOML of "name" = price of one unit'),
    option("--weighed", metavar="FILE", help="the machine with the pieces' masses"),
    option("--revision", default="", metavar="WORDS", help="in each sheet's title"),
    option("--kerf", metavar="LENGTH", default="4 mm", help="what a saw cut takes"),
)
def draw(options: Options) -> int:
    """Print the pieces and their cutting, and write the drawings.

    Raises:
        Refusal: a length that is none, a piece that no stock is long enough for, or a folder that
            is there or cannot be made.
    """
    from slingwright.machine.file import write_machine
    from slingwright.making.buying import buying_list, read_prices
    from slingwright.making.pieces import cut_list
    from slingwright.making.sheets import PAPER, save_drawings
    from slingwright.pages.print.report import sheets_pdf

    machine, system = typed.machine_of(options), typed.system_of(options)
    pieces = cut_list(machine)
    print(pieces.table(system))
    try:
        words = [one for one in (options.stock or "").split(",") if one.strip()]
        if options.stock is not None and not words:
            raise Refusal("--stock names no length; give such as '4 m, 6 m'")
        stock = [units.quantity(one, "m") for one in words]
        sawn = {key: units.quantity(getattr(options, key), "m") for key in ("kerf", "trim")}
        prices = read_prices(options.prices) if options.prices else {}
        bought = buying_list(machine, stock, **sawn, prices=prices)
        print(f"\n{bought.table(system)}")
        if options.weighed is not None:
            write_machine(pieces.weighed, options.weighed)
            print(f"{options.weighed}: written.")
        if options.out is not None:
            asked: dict[str, Any] = {"day": date.today().isoformat(), "revision": options.revision}
            written = save_drawings(machine, Path(options.out), system=system, **asked)
            bought.to_csv(Path(options.out) / "buying.csv")
            written.append(Path(options.out) / "drawings.pdf")
            written[-1].write_bytes(sheets_pdf(written[:-1], PAPER[system]))
            for path in written:
                print(f"{path}: written.")
    except (ValueError, OSError) as error:
        raise Refusal(str(error)) from error
    return typed.FINE


@command(
    "report",
    "Print a report of a machine as a PDF.",
    *(typed.FILE, typed.SET, typed.US),
    option("--out", metavar="FILE", help="the PDF to make, or NAME.html; report.pdf if left out"),
    option(
        "--sheet", choices=("crew", "public"), default="", help="one page, pictures first, instead"
    ),
    option("--log", metavar="LOG", help="a build log: revision and entries"),
    option(
        "--against", type=typed.whole, metavar="REVISION", help="entry of the log to compare with"
    ),
    option("--client", default="", metavar="NAME", help="whom the report is for"),
    option("--author", default="", metavar="NAME", help="who made it"),
)
def report(options: Options) -> int:
    """Make the report; FAILED where what it says of the machine is not that all holds."""
    from slingwright.pages.print.one_page import sheet_pdf
    from slingwright.pages.print.report import save_report
    from slingwright.standing.ready import ready

    machine, system = typed.machine_of(options), typed.system_of(options)
    if options.against is not None and options.log is None:
        raise Refusal(
            f"--against {options.against}: no log is named, so there is no revision to compare "
            "with; give --log LOG"
        )
    asked: dict[str, Any] = {"day": date.today().isoformat(), "system": system}
    if options.sheet:
        asked["make"] = partial(sheet_pdf, who=options.sheet)
    else:
        asked |= {key: getattr(options, key) for key in ("log", "client", "author", "against")}
    place = save_report(machine, options.out or f"{options.sheet or 'report'}.pdf", **asked)
    told = ready(machine)
    print(f"{place}: written. {told.sentence.told(system)}")
    return exit_code(told.verdict)
