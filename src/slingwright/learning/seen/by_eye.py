"""A release seen by eye as early, right or late: a word that bounds the projectile's elevation.

A projectile let go early goes steep, one let go late goes flat. Whoever watches sets the marks
a little differently each time, so that a word is a chance and no fence: the chance of each of three
words in order is a difference of normal distributions of the elevation (ordered probit). Now and
then a word is plainly wrong, which keeps one slip of the finger from counting as much as a tape.

Source: R. D. McKelvey and W. Zavoina, "A statistical model for the analysis of ordinal level
dependent variables", Journal of Mathematical Sociology 4 (1975) 103-120 (from memory). The marks
and how sure an eye is of them are common practice.
"""

import math

import numpy as np

STEEP = math.radians(50.0)
"""Elevation above which a release is called early; common practice [rad]."""
FLAT = math.radians(30.0)
"""Elevation below which a release is called late; common practice [rad]."""
EYE_SD = math.radians(7.0)
"""How far off an eye beside the machine may be; common practice [rad]."""
SLIPS = 0.03
"""Share of words that say nothing of the release; common practice."""
WORDS = ("early", "right", "late")
ODD = 0.05
"""Chance below which a word does not fit what is expected."""


def chance_of(word: str, elevation: np.ndarray | float) -> np.ndarray:
    """Return the chance that a release is called by a word.

    P(early) = Phi((e - steep) / s), P(late) = Phi((flat - e) / s), P(right) the rest; each times
    one less the share of slips, plus a third of that share.

    Args:
        word: early, right or late [text].
        elevation: e, of the projectile as it leaves [rad].

    >>> round(float(chance_of("right", math.radians(40.0))), 3)
    0.831
    >>> round(float(chance_of("early", math.radians(50.0))), 3)
    0.495
    """
    from scipy.special import ndtr

    e = np.asarray(elevation, dtype=float)
    early, late = ndtr((e - STEEP) / EYE_SD), ndtr((FLAT - e) / EYE_SD)
    plain = {"early": early, "late": late, "right": np.maximum(1.0 - early - late, 0.0)}[word]
    return np.asarray((1.0 - SLIPS) * plain + SLIPS / len(WORDS))
