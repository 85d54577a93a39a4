"""The whole motion to release against an adaptive Taylor integrator on equations written by hand.

Truth: F. Biscani, D. Izzo, Revisiting high-order Taylor methods for astrodynamics and celestial
mechanics, Monthly Notices of the Royal Astronomical Society 504 (2021) 2614-2628, as the library
heyoka, at tolerance 1e-15, on the equations of taylor_model.py (trough friction in, bearings and
wheels without friction).
"""

import numpy as np
import pytest
from outside.machines import otter_ford
from outside.taylor_model import parameters, taylor_throw

import slingwright as sw

ALLOWED = 1e-8
SMOOTH_BEARINGS = {"axle__friction": 0.0, "hanger__friction": 0.0, "base__rolling": 0.0}
WORD = {"e": "arm", "h": "hanger", "X": "base"}


def our_states(throw, names):
    """Histories in heyoka's order: coordinates, then rates; sling elevation is arm less lag."""
    found = []
    for ending in ("", "_rate"):
        for name in names:
            if name == "s":
                found.append(getattr(throw, f"arm{ending}") - getattr(throw, f"sling{ending}"))
            else:
                found.append(getattr(throw, WORD[name] + ending))
    return np.array(found)


@pytest.mark.parametrize(
    ("hung", "wheels"),
    [(True, False), (True, True), (False, False), (False, True)],
    ids=["hinged", "hinged-wheels", "fixed", "fixed-wheels"],
)
@pytest.mark.parametrize("friction", [0.0, 0.3], ids=["smooth", "rough"])
def test_trajectory_to_release_equals_taylors_method(hung, wheels, friction):
    """Truth: heyoka at every sample of ours, at lift-off and at release."""
    machine = otter_ford(hung=hung, wheels=wheels, trough__friction=friction, **SMOOTH_BEARINGS)
    throw = sw.throw(machine, tolerance=1e-12, swing_through=0.0)
    assert throw.outcome == "released"
    taylor = taylor_throw(hung, wheels, 1e-15)
    start = taylor.start(machine)
    ours = our_states(throw, taylor.names)
    scale = np.abs(ours).max(axis=1)[:, None]

    def grid(integrator, phase):
        """States on our sample times of a phase, from where the integrator stands."""
        at = np.flatnonzero(throw.phase == phase)[1:-1]
        return at, integrator.propagate_grid([integrator.time, *throw.time[at]])[-1][1:]

    taylor.run(parameters(machine), start, 10.0)
    lifted, slipped = taylor.trough.time, taylor.free.time
    at_release, at_lift = taylor.free.state.copy(), taylor.trough.state.copy()
    taylor.trough.time, taylor.trough.state[:] = 0.0, start
    taylor.free.time, taylor.free.state[:] = lifted, at_lift
    worst = 0.0
    for integrator, phase in ((taylor.trough, 1), (taylor.free, 2)):
        at, states = grid(integrator, phase)
        assert len(states) == len(at) > 20
        worst = max(worst, float(np.abs((ours[:, at] - states.T) / scale).max()))
    end = np.abs((ours[:, -1] - at_release) / scale[:, 0]).max()
    print(
        f"states {worst:.1e}, lift-off {lifted - throw.spans[0].end:+.1e} s, "
        f"release {slipped - throw.release.time:+.1e} s, state there {end:.1e}"
    )
    assert worst < ALLOWED
    assert abs(lifted - throw.spans[0].end) < ALLOWED
    assert abs(slipped - throw.release.time) < ALLOWED
    assert end < ALLOWED
