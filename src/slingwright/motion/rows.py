"""A throw told as rows: what a terminal, a page and a notebook show of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from slingwright.amounts.answer import Row
from slingwright.amounts.text import Amount, text


def throw_rows(throw: Any) -> Iterator[Row]:
    """Give the answers of a throw; what a failed throw does not have stands as nothing.

    Args:
        throw: a Throw.
    """
    release, landing = throw.release, throw.landing
    good = throw.outcome == "released" and release is not None
    none = "" if good else f"no throw: {throw.outcome}"
    aloft = text(Amount(landing.time - release.time, "s", 3), " in the air") if landing else none
    yield Row(
        "range", "Range", Amount(throw.range, "m") if throw.range is not None else None, aloft
    )
    if good:
        at = text("at ", Amount(release.time, "s", 3))
        lag = text("at lag ", Amount(release.lag, "rad", 3))
        yield Row("speed", "Release speed", Amount(release.speed, "m/s", 3), at)
        yield Row("elevation", "Release elevation", Amount(release.elevation, "rad", 3), lag)
        share = Amount(throw.efficiency, "share", 3) if throw.efficiency is not None else None
        yield Row("efficiency", "Energy to the projectile", share, "of the fall's energy")
        when = text(Amount(throw.peak_axle_time, "s", 3), f", {throw.peak_axle_phase}")
        yield Row("axle", "Peak axle load", Amount(throw.peak_axle_load, "N", 3), when)
    held = throw.held
    yield Row("held", "Axle load, held", Amount(held.axle_load, "N", 3), "cocked, at rest")
    for number, note in enumerate(throw.notes, 1):
        yield Row(f"note{number}", "Note", None, note)
