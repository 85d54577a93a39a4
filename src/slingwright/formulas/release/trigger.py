"""The hook that holds the machine down: pull to loose it, and whether it looses by itself.

A slip hook is a pivoted finger. A ring on the held rope bears on the finger's inner curve; a
lanyard turns the finger until the ring slides off. The ring's pull acts along the rope. While the
ring slides, its contact stands one friction angle to the side of where it stands without friction,
so that the rope's line passes the pivot at a distance that geometry and friction both set:

    arm of the load = offset + curve radius sin(phi) + pin radius sin(phi)

The offset is the distance from the pivot to the line of pull through the centre of the curve. It
is positive where the load presses the finger shut, zero where the curve is centred on the pivot,
and negative where the load tries to open the finger and friction alone holds it. Such a hook looses
by itself when friction falls: grease, ice, rain, a polished ring, shaking.

Nobody stands under the raised counterweight, in the arm's path or beside a tight rope. A hook is
never the only thing that holds: a second pin stays in until everyone is clear, and is pulled last.
"""

import math


def friction_angle(friction: float) -> float:
    """Angle between the normal and the contact force while a surface slides.

    phi = atan(mu)

    Args:
        friction: sliding coefficient mu [-].

    Returns: Friction angle [rad].
    Raises: ValueError if the coefficient is negative.
    Source: C. A. de Coulomb's law of friction.

    >>> friction_angle(1.0)
    0.785
    """
    if not friction >= 0.0:
        raise ValueError(f"friction coefficient {friction:g} is negative. Give 0 or more.")
    return math.atan(friction)


def load_arm(
    curve: float, offset: float, pin: float, friction: float, pin_friction: float
) -> tuple[float, float]:
    """Distances at which the load turns the finger, by geometry and by friction.

    e, and rho sin(phi) + r sin(phi_p)

    Args:
        curve: radius of the finger's curve under the ring rho [m].
        offset: from the pivot to the load's line through the curve's centre, positive where the
            load presses the finger shut e [m].
        pin: radius of the pivot pin r [m].
        friction: of ring on finger [-].
        pin_friction: of finger on pin [-].

    Returns: Distance by geometry, and the one that friction adds against any motion [m].
    Raises: ValueError if a radius or a coefficient is negative.
    Source: closed form, friction circles of a loaded pin and of the curve.

    >>> load_arm(0.012, 0.002, 0.008, 0.0, 0.0)
    (0.002, 0.0)
    """
    if not (curve >= 0.0 and pin >= 0.0):
        raise ValueError(f"curve radius {curve:g} m and pin radius {pin:g} m: neither below 0.")
    curve_part = curve * math.sin(friction_angle(friction))
    pin_part = pin * math.sin(friction_angle(pin_friction))
    return offset, curve_part + pin_part


def pull_to_loose(
    load: float,
    curve: float,
    offset: float,
    pin: float,
    lever: float,
    friction: float,
    pin_friction: float,
) -> float:
    """Pull on the lanyard, square to the lever, that looses a slip hook.

    phi = atan(mu);  phi_p = atan(mu_p)
    P = N (e + rho sin(phi) + r sin(phi_p)) / (l - r sin(phi_p)), not below 0

    Args:
        load: pull of the held rope N [N].
        curve: radius of the finger's curve under the ring rho [m].
        offset: from the pivot to the load's line through the curve's centre, positive where the
            load presses the finger shut e [m].
        pin: radius of the pivot pin r [m].
        lever: from the pivot to the lanyard l [m].
        friction: of ring on finger mu [-].
        pin_friction: of finger on pin mu_p [-].

    Returns: Pull [N]; 0 where the hook looses by itself.
    Raises: ValueError if the lever is not longer than the pin's friction circle, or the load is
        negative.
    Source: sum of moments about the pivot with friction circles; the pin is taken to carry load
        and pull added, which is the larger case.

    >>> pull_to_loose(2452.0, 0.012, 0.002, 0.008, 0.20, 0.12, 0.12)
    54.0
    """
    if not load >= 0.0:
        raise ValueError(f"load on the hook {load:g} N is negative. Give the held rope's pull.")
    _, pin_part = load_arm(0.0, 0.0, pin, friction, pin_friction)
    if not lever > pin_part:
        raise ValueError(
            f"a lanyard lever of {lever:g} m does not reach past the pin's friction, "
            f"{pin_part:.4g} m. Take a longer lever."
        )
    geometry, drag = load_arm(curve, offset, pin, friction, pin_friction)
    return max(0.0, load * (geometry + drag) / (lever - pin_part))


def friction_that_holds(curve: float, offset: float, pin: float) -> float:
    """Smallest friction, the same at ring and pin, with which a slip hook holds by itself.

    mu = tan(asin(-e / (rho + r))), and 0 where e >= 0

    Args:
        curve: radius of the finger's curve under the ring rho [m].
        offset: from the pivot to the load's line through the curve's centre, positive where the
            load presses the finger shut e [m].
        pin: radius of the pivot pin r [m].

    Returns: Friction coefficient [-]; infinite where no friction holds it.
    Raises: ValueError if curve and pin have no radius.
    Source: sum of moments about the pivot with friction circles.

    >>> friction_that_holds(0.012, 0.002, 0.008)
    0.0
    >>> friction_that_holds(0.012, -0.002, 0.008)
    0.1005
    """
    reach = curve + pin
    if not reach > 0.0:
        raise ValueError(f"curve radius {curve:g} m and pin radius {pin:g} m: one must be above 0.")
    if offset >= 0.0:
        return 0.0
    if -offset >= reach:
        return math.inf
    return math.tan(math.asin(-offset / reach))


def hook_safety(curve: float, offset: float, pin: float, friction: float) -> str:
    """Verdict on whether a slip hook holds, and whether friction alone makes it hold.

    compares mu with tan(asin(-e / (rho + r)))

    Args:
        curve: radius of the finger's curve under the ring rho [m].
        offset: from the pivot to the load's line through the curve's centre, positive where the
            load presses the finger shut e [m].
        pin: radius of the pivot pin r [m].
        friction: of ring on finger and of finger on pin mu [-].

    Returns: 'holds by its shape', 'holds by friction only' or 'looses by itself' [text].
    Source: sum of moments about the pivot with friction circles.

    >>> hook_safety(0.012, -0.002, 0.008, 0.15)
    'holds by friction only'
    """
    needed = friction_that_holds(curve, offset, pin)
    if needed == 0.0:
        return "holds by its shape"
    return "holds by friction only" if friction > needed else "looses by itself"


def lanyard_length(
    hook_x: float, hook_y: float, person_x: float, person_z: float, hand_y: float, travel: float
) -> float:
    """Length of a lanyard from the hook's lever to the hand of the person who looses.

    l = sqrt((x_p - x_h)^2 + z^2 + (y_h - y)^2) + s

    Args:
        hook_x: hook, forward of the axle positive x_h [m].
        hook_y: hook, above the ground y_h [m].
        person_x: person, forward of the axle positive x_p [m].
        person_z: person, to the side of the plane of throw z [m].
        hand_y: hand above the ground y [m].
        travel: slack that lies on the ground before the pull s [m].

    Returns: Length [m].
    Source: closed form.

    >>> lanyard_length(-4.0, 0.5, -16.0, 5.0, 0.5, 1.0)
    14.0
    """
    return math.dist((hook_x, hook_y, 0.0), (person_x, hand_y, person_z)) + travel


def lanyard_travel(lever: float, angle: float, stretch: float, length: float) -> float:
    """Way that the hand moves before the hook has turned far enough.

    s = 2 l sin(a / 2) + k L

    Args:
        lever: from the pivot to the lanyard l [m].
        angle: through which the finger turns until the ring is off a [rad].
        stretch: of the lanyard under the pull, as a share k [-].
        length: of the lanyard L [m].

    Returns: Way [m].
    Source: closed form, chord of the lever's arc.

    >>> lanyard_travel(0.2, math.pi / 3, 0.02, 14.0)
    0.48
    """
    return 2.0 * lever * math.sin(0.5 * angle) + stretch * length
