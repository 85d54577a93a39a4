"""A load cell's trace beside the predicted pull: the difference in words, and the losses fitted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slingwright.amounts.text import form
from slingwright.winch.cycle import Winding, follow
from slingwright.winch.load_cell.trace import Hold, LoadTrace, TraceError
from slingwright.winch.rig import WinchNumbers, WinchRig

UNLIKE = 0.01  # of a trace's square unexplained: from there on the other sense is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """A measured winding beside the predicted one. Arrays of shape (n,)."""

    progress: np.ndarray  # share of the rope taken, 0 to 1
    measured: np.ndarray  # N
    predicted: np.ndarray  # N
    ratio: float  # measured over predicted, by least squares
    peak_ratio: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LossFit:
    """What a trace says about the losses."""

    names: tuple[str, ...]
    values: tuple[float, ...]
    errors: tuple[float, ...]  # standard uncertainties
    correlation: np.ndarray
    scatter: float  # N, standard deviation of what is left
    worth: float  # independent samples that the trace is worth
    words: str


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


def predicted_pull(wound: Winding, progress: np.ndarray, place: str = "drum") -> np.ndarray:
    """Predicted pull at the drum or at the arm, for shares of the rope taken [N].

    Args:
        wound: the prediction.
        progress: share of the rope on the drum, 0 to 1, shape (n,).
        place: 'drum' or 'arm', and the same with ' lowering'.

    Raises:
        TraceError: another place.
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
    wound: Winding,
    *,
    place: str = "drum",
    progress: np.ndarray | None = None,
    pauses: Sequence[Hold] = (),
) -> Overlay:
    """Lay a trace of one winding over the predicted pull, and say the difference in words.

    Args:
        trace: a clean one, cut to the winding, or to the lowering.
        wound: the prediction.
        place: where the cell sat, 'drum' (in the hauling part) or 'arm' (whole tackle), and the
            same with ' lowering' for a trace of the machine eased back up, laid from its end on.
        progress: share of the rope taken at each sample, where it was measured.
        pauses: holds in which nothing was wound; they give the progress where it was not measured,
            and do not count in the comparison of the whole.

    Raises:
        TraceError: forces below 0, another place, or a trace that goes as the other sense does.
    """
    if trace.below:
        raise TraceError(
            f"{trace.name}: its force goes below 0 farther than above. Read it with sign=-1."
        )
    measured = trace.force
    if progress is None:
        share = winding_progress(trace, pauses)
        eased = place.endswith(" lowering")
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
        words=form(
            "measured peak {} at {:.0f} % of the rope, predicted {:3N} at {:.0f} %: {}; over "
            "the whole winding {}"
        )(
            *(trace.peak, 100 * share[top], predicted[top_predicted]),
            *(100 * share[top_predicted], _percent(peak_ratio), whole),
        ),
    )


def _apart(measured: np.ndarray, predicted: np.ndarray) -> float:
    """Share of a trace's square that no multiple of the prediction explains."""
    both = float(measured @ predicted)
    size = float(measured @ measured) * float(predicted @ predicted)
    return 1.0 - both * both / size if size > 0.0 else 1.0


def fit_losses(
    progress: np.ndarray,
    force: np.ndarray,
    numbers: WinchNumbers,
    rig: WinchRig,
    names: Sequence[str] = ("sheave_loss",),
    steps: int = 121,
    lowering: tuple[np.ndarray, np.ndarray] | None = None,
) -> LossFit:
    """Fit losses to a winding measured in the hauling part, with their uncertainty.

    What is left hangs together from sample to sample; the uncertainty is widened by the number of
    independent samples that the trace is worth, n (1 - r) / (1 + r) with r the correlation of
    neighbours (G. V. Bayley and J. M. Hammersley, 1946, from memory).

    Args:
        progress: share of the rope taken at each sample, shape (n,).
        force: measured [N], shape (n,).
        numbers: of the machine; what is fitted starts from its values there.
        rig: the rigging.
        names: out of sheave_loss, axle_drag and counterweight_mass.
        steps: elevations of the prediction.
        lowering: share of the rope still taken, and force [N], while easing out; with it, friction
            and weight can be told apart, for friction takes the other sign.

    Raises:
        TraceError: unknown name, too few samples, or a loss that this rigging does not have.
    """
    from scipy.optimize import least_squares

    low = {"sheave_loss": 0.0, "axle_drag": 0.0, "counterweight_mass": 0.0}
    high = {"sheave_loss": 0.5, "axle_drag": 0.5, "counterweight_mass": math.inf}
    if not names or any(name not in low for name in names) or len(set(names)) < len(names):
        raise TraceError(f"cannot fit {', '.join(names)}. Give each of {', '.join(low)} once.")
    if len(force) != len(progress) or len(force) <= len(names) + 1:
        raise TraceError(
            f"{len(force)} forces at {len(progress)} places cannot tell {len(names)} losses."
        )
    no_sheave = numbers.parts == 1 and rig.rigging == "tackle"
    if "sheave_loss" in names and no_sheave:
        raise TraceError("this rope runs over no sheave, so no sheave loss can be fitted.")
    scale = float(np.max(np.abs(force))) or 1.0
    start = [getattr(numbers, name) for name in names]
    sizes = [max(abs(value), 0.02) for value in start]

    def left(values: np.ndarray) -> np.ndarray:
        given: dict[str, Any] = dict(zip(names, map(float, values), strict=True))
        changed = replace(numbers, **given)
        run = follow(changed, rig, steps)
        up = (predicted_pull(run, progress) - force) / scale
        if lowering is None:
            return up
        down = predicted_pull(run, lowering[0], "drum lowering") - lowering[1]
        return np.concatenate((up, down / scale))

    inner = [
        min(max(v, low[name] + 1e-6), high[name] - 1e-6)
        for v, name in zip(start, names, strict=True)
    ]
    found = least_squares(
        left,
        inner,
        bounds=([low[name] for name in names], [high[name] for name in names]),
        x_scale=sizes,
        diff_step=1e-5,
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
    )
    freedom = len(found.fun) - len(names)
    variance = float(np.sum(found.fun**2)) / freedom
    share = _independent_share(found.fun)
    information = found.jac.T @ found.jac
    size = np.sqrt(np.diag(information))
    if np.any(size == 0.0) or np.linalg.cond(information / np.outer(size, size)) > 1e12:
        raise TraceError(
            f"the trace cannot tell {' and '.join(names)} apart. Fit fewer, or measure lowering "
            "too."
        )
    covariance = variance / share * np.linalg.inv(information)
    errors = np.sqrt(np.diag(covariance))
    told = ", ".join(
        f"{name} {value:.4g} with a standard uncertainty of {error:.2g}"
        for name, value, error in zip(names, found.x, errors, strict=True)
    )
    return LossFit(
        names=tuple(names),
        values=tuple(float(v) for v in found.x),
        errors=tuple(float(v) for v in errors),
        correlation=covariance / np.outer(errors, errors),
        scatter=scale * math.sqrt(variance),
        worth=share * len(found.fun),
        words=form("{}; {:3N} of scatter is left")(told, scale * math.sqrt(variance)),
    )


def _independent_share(left: np.ndarray) -> float:
    """Give the share of the samples that are worth an independent one."""
    power = float(left @ left)
    if not power > 0.0:
        return 1.0
    neighbours = min(max(float(left[1:] @ left[:-1]) / power, 0.0), 0.999)
    return (1.0 - neighbours) / (1.0 + neighbours)


def _percent(ratio: float) -> str:
    """Say a ratio as more or less."""
    change = 100.0 * (ratio - 1.0)
    return f"{abs(change):.1f} % {'more' if change >= 0.0 else 'less'}"
