"""A load cell's trace beside the predicted pull, and the difference in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, form
from slingwright.winch.load_cell.trace import Hold, LoadTrace, TraceError
from slingwright.winch.path.place import REST

ANGLE_ROOM = math.radians(5.0)  # that an inclinometer may be off: the kit's own choice
TURN_ROOM = 0.05  # of the turns, that a rope laid otherwise may take more: the kit's own choice
UNLIKE = 0.01  # of a trace's square unexplained: from there on the other sense is looked at


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Overlay(Answer):
    """A measured winding beside the predicted one. Arrays of shape (n,)."""

    progress: np.ndarray  # share of the rope taken, 0 to 1
    measured: np.ndarray  # N
    predicted: np.ndarray  # N
    ratio: float  # measured over predicted, by least squares
    peak_ratio: float
    by: str  # what said how far it was wound
    words: str

    @property
    def sentence(self) -> str:
        """How the trace lies to the prediction."""
        return self.words

    def rows(self) -> Iterator[Row]:
        """Give the ratios and what they were taken by."""
        yield Row("ratio", "Measured over predicted", Amount(self.ratio, "share"), "least squares")
        yield Row("peak", "Of the peaks", Amount(self.peak_ratio, "share"))
        yield Row("by", "Compared", self.by)


def winding_progress(trace: LoadTrace, pauses: Sequence[Hold] = ()) -> np.ndarray:
    """Share of the rope taken at each sample, wound evenly but for the pauses; shape (n,)."""
    step = np.diff(trace.time)
    middle = 0.5 * (trace.time[1:] + trace.time[:-1])
    for pause in pauses:
        step = np.where((middle > pause.start) & (middle < pause.end), 0.0, step)
    gone = np.concatenate(([0.0], np.cumsum(step)))
    if not gone[-1] > 0.0:
        raise TraceError(
            f"{trace.name}: all of it is pause. Look for holds with a lower tolerance."
        )
    return gone / gone[-1]


def measured_progress(trace: LoadTrace, wound: Any) -> np.ndarray | None:
    """Share of the rope taken by what a trace's second channel says; None without one; shape (n,).

    Raises: TraceError: the channel goes where this machine's arm or drum cannot go.
    """
    place, counts = trace.place, trace.place_as
    if place is None:
        return None
    if counts.startswith("arm"):
        elevation = place if counts == "arm from level" else REST - np.abs(place)
        far, unit, one = elevation, "degrees above level", math.radians(1.0)
        low, high, room = -wound.numbers.cocked, REST, ANGLE_ROOM
        way, known = -elevation, -wound.elevation
    else:
        way = np.abs(place) * (1.0 if counts.endswith("crank") else wound.numbers.gear)
        far, unit, one, known = way, "turns of the crank", 1.0, wound.turns
        low, high, room = 0.0, float(known[-1]), TURN_ROOM * float(known[-1])
    if float(np.min(far)) < low - room or float(np.max(far)) > high + room:
        raise TraceError(
            f"{trace.name}: taken as {counts}, it goes from {np.min(far) / one:.1f} to "
            f"{np.max(far) / one:.1f} {unit}, and this machine from {low / one:.1f} to "
            f"{high / one:.1f}. Say what it counts and where from, or leave the channel out."
        )
    return np.interp(way, known, wound.taken / wound.taken[-1])


def predicted_pull(wound: Any, progress: np.ndarray, place: str = "drum") -> np.ndarray:
    """Predicted pull at the drum or at the arm, for shares of the rope taken [N].

    Args:
        progress: share of the rope on the drum, 0 to 1, shape (n,).
        place: 'drum' or 'arm', and the same with ' lowering'.

    Raises: TraceError: another place.
    """
    pulls = {
        "drum": wound.rope_pull,
        "arm": wound.arm_pull,
        "drum lowering": wound.rope_pull_lowering,
        "arm lowering": wound.arm_pull_lowering,
    }
    if place not in pulls:
        raise TraceError(f"place {place!r} is not known. Give one of {', '.join(pulls)}.")
    return np.interp(progress, wound.taken / wound.taken[-1], pulls[place])


def overlay(
    trace: LoadTrace,
    wound: Any,
    *,
    place: str = "drum",
    progress: np.ndarray | None = None,
    pauses: Sequence[Hold] = (),
) -> Overlay:
    """Lay a trace of one winding over the predicted pull, and say the difference in words.

    Args:
        trace: a clean one, cut to the winding, or to the lowering.
        place: where the cell sat, 'drum' (in the hauling part) or 'arm' (whole tackle), and the
            same with ' lowering' for a trace of the machine eased back up, laid from its end on.
        progress: share of the rope taken at each sample, where it was measured; the trace's second
            channel says it if it has one.
        pauses: holds in which nothing was wound; they give the progress where it was not measured,
            and do not count in the comparison of the whole.

    Raises: TraceError: forces below 0, another place, or a trace that goes as the other sense does.
    """
    if trace.below:
        raise TraceError(
            f"{trace.name}: its force goes below 0 farther than above. Read it with sign=-1."
        )
    measured, eased = trace.force, place.endswith(" lowering")
    by = "along time, as if wound evenly" if progress is None else "by the progress given"
    if progress is None and (found := measured_progress(trace, wound)) is not None:
        progress, by = found, f"at the same place, by {trace.place_as}"
        if (found[-1] - found[0] > 0.0) == eased:
            raise TraceError(
                f"{trace.name}: by {trace.place_as} the machine is "
                f"{'wound' if eased else 'eased back'}. Say so, or cut it to one way."
            )
    if progress is None:
        share = winding_progress(trace, pauses)
        share = 1.0 - share if eased else share
        other = place.removesuffix(" lowering") if eased else f"{place} lowering"
        apart = _apart(measured, predicted_pull(wound, share, place))
        turned = _apart(measured, predicted_pull(wound, 1.0 - share, other))
        if apart > UNLIKE and turned < 0.5 * apart:
            raise TraceError(
                f"{trace.name}: it goes as the machine does when "
                f"{'wound' if eased else 'eased back'}. Lay it as {other!r}, or cut it to one way."
            )
    else:
        share = np.asarray(progress)
    predicted = predicted_pull(wound, share, place)
    wound_in = np.ones(len(measured), dtype=bool)
    for pause in pauses:
        wound_in &= (trace.time < pause.start) | (trace.time > pause.end)
    up, said = measured[wound_in], predicted[wound_in]
    ratio = float(np.dot(up, said) / np.dot(said, said))
    top, top_predicted = int(np.argmax(measured)), int(np.argmax(predicted))
    peak_ratio = float(measured[top] / predicted[top_predicted])
    whole = "they agree within half a percent"
    if abs(ratio - 1.0) >= 0.005:
        whole = f"the rope pulls {_percent(ratio)} than predicted"
    return Overlay(
        progress=share,
        measured=measured,
        predicted=predicted,
        ratio=ratio,
        peak_ratio=peak_ratio,
        by=by,
        words=form(
            "{}: measured peak {} at {:.0f} % of the rope, predicted {:3N} at {:.0f} %: {}; over "
            "the whole winding {}"
        )(
            *(by, trace.peak, 100 * share[top], predicted[top_predicted]),
            *(100 * share[top_predicted], _percent(peak_ratio), whole),
        ),
    )


def _apart(measured: np.ndarray, predicted: np.ndarray) -> float:
    """Share of a trace's square that no multiple of the prediction explains."""
    both = float(measured @ predicted)
    size = float(measured @ measured) * float(predicted @ predicted)
    return 1.0 - both * both / size if size > 0.0 else 1.0


def _percent(ratio: float) -> str:
    change = 100.0 * (ratio - 1.0)
    return f"{abs(change):.1f} % {'more' if change >= 0.0 else 'less'}"
