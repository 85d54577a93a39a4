"""A sill under the two feet of an A-frame: how it lies on the ground, and how that bends it.

It spreads what presses on it evenly over the length about the ground's force, as the pressure of
the ground is reckoned, for that is what it has to be strong enough to do; past that the anchors of
the lifted end pull. Values are of one sill; every function takes floats or arrays of one shape.
"""

import numpy as np


def anchor_pull(
    pressing: np.ndarray, turning: np.ndarray, anchors: float, length: float, soft: float = 0.0
) -> np.ndarray:
    """Pull of the anchors at the lifted end of a sill that would tip or lift without them.

    A = min(F_a, max((M - (0.45 l - e) V) / (0.95 l - e), -V, 0))

    The ground then presses on the last tenth of what it bears, 0.45 l - e from the middle.

    Args:
        pressing: push of the sill on the ground, the anchors left out V, shape (n,) [N].
        turning: its moment about the middle, without sign M, shape (n,) [N m].
        anchors: what the anchors at an end hold F_a [N].
        length: length of the sill l [m].
        soft: length at its pressed end that bears nothing e [m].

    Returns: Pull, shape (n,) [N].
    Source: equilibrium; a tenth of the length as in `sill_pressure`.

    >>> round(float(anchor_pull(1000.0, 2000.0, 500.0, 3.0)), 3)
    228.07
    """
    reach = 0.45 * length - soft
    needed = (turning - reach * pressing) / (reach + 0.5 * length)
    pull: np.ndarray = np.minimum(anchors, np.maximum(np.maximum(needed, -pressing), 0.0))
    return pull


def lying_length(
    pressing: np.ndarray,
    turning: np.ndarray,
    pull: np.ndarray,
    length: float,
    soft: float = 0.0,
) -> np.ndarray:
    """Length of a sill that lies evenly about the ground's force, from the pressed end.

    c = max(l - 2 max(M - A l / 2, 0) / (V + A) - 2 e, l / 10)

    Args:
        pressing: push of the sill on the ground, the anchors left out V, shape (n,) [N].
        turning: its moment about the middle, without sign M, shape (n,) [N m].
        pull: pull of the anchors at the lifted end A, shape (n,) [N].
        length: length of the sill l [m].
        soft: length at its pressed end that bears nothing e [m].

    Returns: Length, shape (n,) [m].
    Source: EN 1997-1:2004, Annex D, effective length (from memory).

    >>> float(lying_length(1000.0, 500.0, 0.0, 3.0))
    2.0
    """
    down = pressing + pull
    over = np.maximum(turning - pull * length / 2.0, 0.0)
    reach = np.where(down > 0.0, over / np.where(down > 0.0, down, 1.0), length)
    lies: np.ndarray = np.maximum(length - 2.0 * (reach + soft), length / 10.0)
    return lies


def sill_moment(
    pressing: np.ndarray,
    turning: np.ndarray,
    pull: np.ndarray,
    lying: np.ndarray,
    spread: float,
    length: float,
    soft: float = 0.0,
) -> np.ndarray:
    """Largest bending moment of a sill: at the pressed foot, at the other, or between them.

    M_m = max(q h (o - e - h / 2), |A o - q t^2 / 2|, |q g (u - e - g / 2) - F (u - o)|)

    An even push q on the length that lies, (V + A) / c; the pressed foot's push F, V / 2 + M / s;
    the overhang o, (l - s) / 2, of which h lies at the pressed end and t at the other; and u from
    the pressed end, g of it lying, where the shear is none, or else at a foot or where it ends to
    lie.

    Args:
        pressing: push of the sill on the ground, the anchors left out V, shape (n,) [N].
        turning: its moment about the middle, without sign M, shape (n,) [N m].
        pull: pull of the anchors at the lifted end A, shape (n,) [N].
        lying: length that lies on the ground c, shape (n,) [m].
        spread: distance between the feet s [m].
        length: length of the sill l [m].
        soft: length at its pressed end that bears nothing e [m].

    Returns: Moment, shape (n,) [N m].
    Source: statics.

    >>> round(float(sill_moment(1000.0, 400.0, 50.0, 3.3, 3.0, 4.0)), 3)
    313.651
    """
    out, even, foot, near = _laid(pressing, turning, pull, lying, spread, length, soft)
    far = np.maximum(soft + lying - length + out, 0.0)
    balance = np.where(even > 0.0, foot / np.where(even > 0.0, even, 1.0), -soft)
    place = np.maximum(soft + np.minimum(balance, lying), out)
    place = np.maximum(np.minimum(place, length - out), out)
    under = np.minimum(np.maximum(place - soft, 0.0), lying)
    between = np.abs(even * under * (place - soft - under / 2.0) - foot * (place - out))
    bent = even * near * (out - soft - near / 2.0)
    return np.maximum(np.maximum(bent, np.abs(pull * out - even * far**2 / 2.0)), between)


def sill_shear(
    pressing: np.ndarray,
    turning: np.ndarray,
    pull: np.ndarray,
    lying: np.ndarray,
    spread: float,
    length: float,
) -> np.ndarray:
    """Largest shear force of a sill: on either side of either foot.

    T = max(q h, |q h - F|, |A - q t|, |A - q t + V - F|)

    With the letters of `sill_moment`.

    Args:
        pressing: push of the sill on the ground, the anchors left out V, shape (n,) [N].
        turning: its moment about the middle, without sign M, shape (n,) [N m].
        pull: pull of the anchors at the lifted end A, shape (n,) [N].
        lying: length that lies on the ground c, shape (n,) [m].
        spread: distance between the feet s [m].
        length: length of the sill l [m].

    Returns: Force, shape (n,) [N].
    Source: statics.

    >>> round(float(sill_shear(1000.0, 400.0, 50.0, 3.3, 3.0, 4.0)), 3)
    474.242
    """
    out, even, foot, near = _laid(pressing, turning, pull, lying, spread, length)
    outside = pull - even * np.maximum(lying - length + out, 0.0)
    pressed, lifted = even * near, np.maximum(np.abs(outside), np.abs(outside + pressing - foot))
    return np.maximum(np.maximum(pressed, np.abs(pressed - foot)), lifted)


def wheel_push(pressing: np.ndarray, turning: np.ndarray, length: float) -> np.ndarray:
    """Push of the ground on the more loaded of two wheels at the ends of a sill.

    R = V / 2 + M / l

    Args:
        pressing: push of the sill on the ground V, shape (n,) [N].
        turning: its moment about the middle, without sign M, shape (n,) [N m].
        length: length of the sill l [m].

    Returns: Push, shape (n,) [N].
    Source: statics.

    >>> float(wheel_push(1000.0, 600.0, 3.0))
    700.0
    """
    push: np.ndarray = pressing / 2.0 + turning / length
    return push


def _laid(
    pressing: np.ndarray,
    turning: np.ndarray,
    pull: np.ndarray,
    lying: np.ndarray,
    spread: float,
    length: float,
    soft: float = 0.0,
) -> tuple[float, np.ndarray, np.ndarray, np.ndarray]:
    """Give overhang, pressure per length, push of the pressed foot, and what lies outside it.

    Raises: ValueError if the feet do not stand on the sill.
    """
    if not 0.0 < spread <= length:
        raise ValueError(
            f"feet {spread:g} m apart do not stand on a sill of {length:g} m; make "
            "frame.sill_length longer than frame.spread"
        )
    out = (length - spread) / 2.0
    even = np.maximum(pressing + pull, 0.0) / lying
    near = np.minimum(max(out - soft, 0.0), lying)
    return out, even, pressing / 2.0 + turning / spread, near
