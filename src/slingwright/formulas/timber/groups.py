"""A whole group of bolts: how it shares force and moment, what it carries, how far it slips."""

from slingwright.formulas.refusals import above_zero


def group_capacity(
    a_plane: float, bolts: float, planes: int, modification: float, partial: float = 1.3
) -> float:
    """Design force of a whole bolted timber joint.

    F_Rd = k_mod n_ef n_planes F_Rk / gamma_M

    Args:
        a_plane: characteristic force a bolt and shear plane, or that splits the timber F_Rk [N].
        bolts: bolts that count in full n_ef, all rows together [-].
        planes: shear planes a bolt n_planes [-].
        modification: factor k_mod [-].
        partial: partial factor of connections gamma_M [-].

    Returns: Force [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eqs (2.17) and (8.1).

    >>> round(group_capacity(13e3, 2.0, 2, 1.0), 6)
    40000.0
    """
    above_zero(a_plane, "force a bolt and shear plane", "N")
    above_zero(bolts, "number of bolts")
    above_zero(planes, "number of shear planes")
    above_zero(modification, "k_mod")
    return modification * bolts * planes * a_plane / above_zero(partial, "gamma_M")
