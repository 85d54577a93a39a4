"""What a slip hook asks for.

Common practice, without a published source: a slip hook that held a machine of 250 kg of weight
was loosed by a pull of 5 to 7 kgf. The geometry here is a plausible one for such a hook, a finger
with a curve of 12 mm on a 16 mm pin, greased; friction of greased steel on steel 0.1 to 0.16
(bronze and steel, lubricated and greasy, 0.16: schneider-company.com; the rest from memory).
"""

import pytest

from slingwright.winch.hook import SlipHook, loosing

KILOGRAM_FORCE = 9.80665


def test_pull_of_a_greased_hook_has_the_right_order() -> None:
    """Truth: common practice: 5 to 7 kgf for 250 kg; 4 to 9 kgf over the range of greases."""
    pulls = [
        loosing(250.0 * KILOGRAM_FORCE, SlipHook(friction=mu)).pull / KILOGRAM_FORCE
        for mu in (0.10, 0.12, 0.16)
    ]
    assert 5.0 <= pulls[1] <= 7.0
    assert all(4.0 <= pull <= 9.0 for pull in pulls)
    assert pulls == sorted(pulls)


@pytest.mark.parametrize("load", [60.0, 125.0, 250.0])
def test_pull_goes_with_the_load(load: float) -> None:
    """Truth: law of the lever: at the arm's tip the hook's load is less, and the pull with it."""
    whole = loosing(250.0 * KILOGRAM_FORCE).pull
    assert loosing(load * KILOGRAM_FORCE).pull == pytest.approx(whole * load / 250.0, rel=1e-12)
