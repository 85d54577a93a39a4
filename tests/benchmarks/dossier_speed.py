"""How fast a dossier, the drawings and a cutting are made.

The dossier, as PDF and as HTML, once throw, checks and clearance are there: limit 15 s. All sheets,
as DXF and SVG: limit 2 s. Sixty pieces from five stock lengths, with the proof that there is no
less: limit 10 s. Other work on the same computer lengthens all of them.

    python tests/benchmarks/dossier_speed.py
"""

import sys
import tempfile
import time
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import numpy as np  # noqa: E402
from benchmarks.shared.results_file import as_table, keep, median, verdict  # noqa: E402

import slingwright as sw  # noqa: E402
from slingwright.making.sheets import save_drawings  # noqa: E402
from slingwright.making.stock import cutting  # noqa: E402
from slingwright.motion.throwing import throw  # noqa: E402
from slingwright.pages.print.report import TEMPLATE, report_files, typeset  # noqa: E402
from slingwright.pages.print.web import page  # noqa: E402
from slingwright.strength.checks import holding  # noqa: E402
from slingwright.strength.clearance import clearance  # noqa: E402

MACHINES = ("otter_fair", "garden", "fixed_pair")
DAY, CUTTINGS, STOCK = "2026-07-01", 8, (2.4, 3.0, 3.6, 4.8, 6.0)


def seconds(work):
    """Time one call [s]."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def dossier(machine):
    """Make PDF and HTML."""
    files = report_files(machine, day=DAY)
    typeset(TEMPLATE.name, lambda: files)
    page(files)


def drawn(machine):
    """Write all sheets into a folder that is thrown away."""
    with tempfile.TemporaryDirectory() as folder:
        save_drawings(machine, Path(folder) / "sheets", day=DAY)


def cut(seed):
    """Cut sixty pieces, and say whether the cutting is proven to be the least."""
    pieces = np.round(np.random.default_rng(seed).uniform(0.3, 3.5, 60), 2).tolist()
    return cutting(pieces, STOCK).proven


def main():
    """Measure, print, keep; 0 where every limit is kept."""
    rows, worst, proven = [], {"dossier": 0.0, "drawings": 0.0, "cutting": 0.0}, 0
    for name in MACHINES:
        machine = sw.read_machine(name)
        for answer in (throw, holding, clearance):
            answer(machine)
        for what, make in (("dossier", dossier), ("drawings", drawn)):
            found = [seconds(partial(make, machine)) for _ in range(3)]
            rows.append([what, name, f"{found[0]:.2f}", f"{median(found):.2f}"])
            worst[what] = max(worst[what], *found)
    for seed in range(CUTTINGS):
        start = time.perf_counter()
        proven += cut(seed)
        took = time.perf_counter() - start
        rows.append(["cutting", f"seed {seed}", f"{took:.2f}", f"{took:.2f}"])
        worst["cutting"] = max(worst["cutting"], took)
    limits = (("dossier", 15.0), ("drawings", 2.0), ("cutting", 10.0))
    told = [verdict(f"{what} [s]", worst[what], most, at_most=True) for what, most in limits]
    lines = [*as_table(["what", "of", "first s", "median s"], rows), "", *(one for one, _ in told)]
    lines.append(f"cuttings proven to be the least there can be: {proven} of {CUTTINGS}")
    title = "A dossier, its drawings and a cutting, in seconds"
    keep("dossier_speed", title, lines, ["numpy", "scipy", "ezdxf", "typst", "matplotlib"])
    return 0 if proven and all(kept for _, kept in told) else 1


if __name__ == "__main__":
    sys.exit(main())
