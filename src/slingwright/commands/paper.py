"""The commands `draw` and `report`: pieces, their cutting, drawings, and the printed report."""

from __future__ import annotations

import argparse
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.commands.typed import whole
from slingwright.machine.machine import Machine


def draw_options(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "--out", metavar="FOLDER", help="a new folder for the drawings and the list"
    )
    parser.add_argument(
        "--stock", metavar="LENGTHS", help="stock lengths to cut from, such as '4 m, 6 m'"
    )
    parser.add_argument("--trim", metavar="LENGTH", default="0 mm", help="cut off each first")
    parser.add_argument("--prices", metavar="FILE", help='TOML of "name" = price of one unit')
    parser.add_argument("--weighed", metavar="FILE", help="the machine with the pieces' masses")
    parser.add_argument("--revision", default="", metavar="WORDS", help="in each sheet's title")
    parser.add_argument("--kerf", metavar="LENGTH", default="4 mm", help="what a saw cut takes")


def run_draw(machine: Machine, system: units.System, options: argparse.Namespace) -> None:
    """Print the pieces and their cutting, and write the drawings.

    Raises:
        ValueError: a length that is none, or a piece that no stock is long enough for.
        OSError: the folder is there, or cannot be made.
    """
    from slingwright.machine.file import write_machine
    from slingwright.making.buying import buying_list, read_prices
    from slingwright.making.pieces import cut_list
    from slingwright.making.sheets import PAPER, save_drawings
    from slingwright.pages.print.report import sheets_pdf

    pieces = cut_list(machine)
    print(pieces.table(system))
    stock = [units.quantity(one, "m") for one in (options.stock or "").split(",") if one.strip()]
    if options.stock is not None and not stock:
        raise ValueError("--stock names no length; give such as '4 m, 6 m'")
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


def report_options(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "--out", metavar="FILE", help="the PDF to make, or NAME.html; report.pdf if left out"
    )
    parser.add_argument(
        "--sheet", choices=("crew", "public"), default="", help="one page, pictures first, instead"
    )
    parser.add_argument("--log", metavar="LOG", help="a build log: revision and entries")
    parser.add_argument(
        "--against", type=whole, metavar="REVISION", help="entry of the log to compare with"
    )
    parser.add_argument("--client", default="", metavar="NAME", help="whom the report is for")
    parser.add_argument("--author", default="", metavar="NAME", help="who made it")


def run_report(machine: Machine, system: units.System, options: argparse.Namespace) -> str:
    """Make the report, say where it is and what it says, and give the verdict.

    Raises:
        ReportError: it cannot be made or written.
    """
    from slingwright.pages.print.one_page import sheet_pdf
    from slingwright.pages.print.report import ReportError, save_report
    from slingwright.standing.ready import ready

    if options.against is not None and options.log is None:
        raise ReportError(
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
    return told.verdict
