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
    parser.add_argument("--revision", default="", metavar="WORDS", help="in each sheet's title")
    parser.add_argument("--kerf", metavar="LENGTH", default="4 mm", help="what a saw cut takes")


def run_draw(machine: Machine, system: units.System, options: argparse.Namespace) -> None:
    """Print the pieces and their cutting, and write the drawings.

    Raises:
        ValueError: a length that is none, or a piece that no stock is long enough for.
        OSError: the folder is there, or cannot be made.
    """
    from slingwright.making.pieces import cut_list
    from slingwright.making.sheets import PAPER, save_drawings
    from slingwright.making.stock import cutting_text
    from slingwright.pages.print.report import sheets_pdf

    pieces = cut_list(machine)
    print(pieces.table(system))
    if options.stock is not None:
        stock = [units.quantity(one, "m") for one in options.stock.split(",")]
        print()
        print(cutting_text(pieces, stock, units.quantity(options.kerf, "m"), system))
    if options.out is not None:
        asked: dict[str, Any] = {"day": date.today().isoformat(), "revision": options.revision}
        written = save_drawings(machine, Path(options.out), system=system, **asked)
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
