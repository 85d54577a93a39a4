"""A winding drum: rope layers, turns, torque, the force at the handle, ratchet and pawl."""

import math

import numpy as np


def layer_radius(drum: float, rope: float, layer: np.ndarray | float) -> np.ndarray | float:
    """Distance from the drum's axis to the middle of the rope in a layer.

    r = D / 2 + d (k - 1/2), layers lying one on the other without nesting

    Args:
        drum: drum diameter D [m].
        rope: rope diameter d [m].
        layer: number of the layer k, the first is 1 [-], shape (n,) or one number.

    Returns: Radius [m].
    Source: closed form; not nesting is common practice for fibre rope, and gives the larger force.

    >>> layer_radius(0.2, 0.02, 1)
    0.11
    """
    return 0.5 * drum + rope * (layer - 0.5)


def turns_in_layer(rope: float, width: float) -> int:
    """Turns of rope that fit side by side on a drum.

    w = floor(B / d)

    Args:
        rope: rope diameter d [m].
        width: length of the drum between its flanges B [m].

    Returns: Turns in one layer [-].
    Raises: ValueError if not one turn fits, or the rope is thinner than a nanometre.
    Source: closed form.

    >>> turns_in_layer(0.02, 0.1)
    5
    """
    if not rope > 1e-9:
        raise ValueError(f"rope diameter {rope:g} m is not above 0. Give the rope's diameter.")
    turns = math.floor(width / rope * (1.0 + 1e-12))
    if turns < 1:
        raise ValueError(
            f"a drum {width:g} m long has no room for one turn of {1e3 * rope:g} mm rope. "
            "Make it longer or the rope thinner."
        )
    return turns


def rope_in_turns(turns: int, drum: float, rope: float, width: float) -> float:
    """Rope that lies in whole turns on a drum, layer on layer.

    s = sum of 2 pi r_k over the turns, with r_k of the layer that each lies in

    Args:
        turns: turns [-].
        drum: drum diameter [m].
        rope: rope diameter [m].
        width: length of the drum between its flanges [m].

    Returns: Length [m].
    Source: closed form, layers of turns side by side.

    >>> rope_in_turns(3, 0.2, 0.02, 0.04) / (2.0 * math.pi)
    0.35
    """
    side = turns_in_layer(rope, width)
    return sum(
        2.0 * math.pi * float(layer_radius(drum, rope, turn // side + 1)) for turn in range(turns)
    )


def drum_state(
    taken: np.ndarray, drum: float, rope: float, width: float
) -> tuple[np.ndarray, np.ndarray]:
    """Drum turns and rope radius after a length of rope has come in.

    the layers fill one after the other

    Args:
        taken: rope taken up, rising from 0 [m], shape (n,).
        drum: drum diameter [m].
        rope: rope diameter [m].
        width: length of the drum between its flanges [m].

    Returns: Drum turns since the start [-], and radius of the rope coming in [m], each shape (n,).
    Raises: ValueError if the drum has no diameter, or not one turn fits.
    Source: closed form.

    >>> turns, radius = drum_state(np.array([0.0, 3.0, 4.0]), 0.2, 0.02, 0.1)
    >>> [float(r) for r in radius]
    [0.11, 0.11, 0.13]
    """
    if not drum > 0.0:
        raise ValueError(f"drum diameter {drum:g} m is not above 0. Give the drum's diameter.")
    side = turns_in_layer(rope, width)
    most = float(np.max(taken, initial=0.0))
    # rope in n layers: 2 pi w (n D / 2 + d n^2 / 2)
    need = most / (math.pi * side)
    layers = math.ceil((-drum + math.sqrt(drum**2 + 4.0 * rope * need)) / (2.0 * rope)) + 1
    number = np.arange(1, layers + 1)
    radii = np.asarray(layer_radius(drum, rope, number))
    full = np.concatenate(([0.0], np.cumsum(2.0 * math.pi * radii * side)))
    place = np.clip(np.searchsorted(full, taken, side="right") - 1, 0, layers - 1)
    radius = radii[place]
    turns = place * side + (taken - full[place]) / (2.0 * math.pi * radius)
    return turns, radius


def handle_force(
    pull: np.ndarray | float,
    radius: np.ndarray | float,
    crank: float,
    gear: float,
    efficiency: float,
) -> np.ndarray | float:
    """Tangential force at the handles, all hands together, that winds a rope in.

    F = P r / (i R eta)

    Args:
        pull: pull of the rope at the drum P [N], shape (n,) or one number.
        radius: radius of the rope on the drum r [m], shape (n,) or one number.
        crank: radius of the crank or handspikes R [m].
        gear: turns of the crank for one of the drum i [-].
        efficiency: of gear and bearings eta [-].

    Returns: Force [N], shape as the pull.
    Raises: ValueError if crank, gear or efficiency is not above 0.
    Source: law of the lever.

    >>> handle_force(2000.0, 0.11, 0.4, 4.0, 1.0)
    137.5
    """
    if not (crank > 0.0 and gear > 0.0 and 0.0 < efficiency <= 1.0):
        raise ValueError(
            f"crank radius {crank:g} m, gear {gear:g} and efficiency {efficiency:g} turn nothing. "
            "The first two must be above 0 and the last above 0 and at most 1."
        )
    return pull * radius / (gear * crank * efficiency)


def pawl_load(pull: float, radius: float, ratchet: float) -> float:
    """Force on the pawl that holds the drum against the rope.

    F = P r / r_p

    Args:
        pull: pull of the rope at the drum P [N].
        radius: radius of the rope on the drum r [m].
        ratchet: radius at which the pawl bears r_p [m].

    Returns: Force at the tip of the pawl [N].
    Raises: ValueError if the ratchet has no radius.
    Source: law of the lever.

    >>> pawl_load(2000.0, 0.11, 0.15)
    1466.7
    """
    if not ratchet > 0.0:
        raise ValueError(f"ratchet radius {ratchet:g} m is not above 0. Give where the pawl bears.")
    return pull * radius / ratchet


def runaway_speed(energy: np.ndarray, inertia: np.ndarray, ratio: np.ndarray) -> np.ndarray:
    """Speed of a handle when nothing holds the drum and the load runs back.

    v = u sqrt(2 E / J), with u the travel of the handle for one radian of the arm

    Args:
        energy: energy given back by the machine since the pawl slipped E [J], shape (n,).
        inertia: of machine, drum and handles, brought to the arm's axle J [kg m^2], shape (n,).
        ratio: travel of the handle for one radian of the arm u [m], shape (n,).

    Returns: Speed of the handle without any friction [m/s], shape (n,).
    Source: conservation of energy.

    >>> float(runaway_speed(np.array([200.0]), np.array([4.0]), np.array([2.0]))[0])
    20.0
    """
    return np.abs(ratio) * np.sqrt(2.0 * np.maximum(energy, 0.0) / inertia)
