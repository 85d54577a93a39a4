"""The equations of motion against Kane's method, state by state.

Truth: T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications, McGraw-Hill 1985, as
`sympy.physics.mechanics.KanesMethod` works it out from frames, joints and loads, in other
coordinates than ours (see kane_model.py).
"""

import numpy as np
import pytest
from outside.kane_model import accelerations, kane_model
from outside.machines import on_trough, random_machine, random_state
from outside.ours import our_rates

STATES = 100
ALLOWED = 1e-12
KINDS = [(hung, wheels) for hung in (True, False) for wheels in (False, True)]


def drawn(rng, hung, wheels, phase):
    """Give a random machine and state; in the trough the sling reaches it and lies forward."""
    while True:
        machine = random_machine(rng, hung=hung, wheels=wheels)
        q, v = random_state(rng, machine)
        if phase != "trough":
            return machine, q, v
        reach = machine["axle.height"] + machine["arm.long"] * np.sin(q[0])
        if abs(reach - machine["trough.height"]) < 0.95 * machine["sling.length"]:
            level = machine["trough.height"] + machine["projectile.diameter"] / 2
            if abs(reach - level) < 0.95 * machine["sling.length"]:
                return machine, *on_trough(q, v, machine)


def emptied(machine):
    """Give the machine without its projectile, nothing else changed."""
    kept = ("projectile.diameter", "sling.mass", "sling.pouch", "base.mass")
    return machine.change({"projectile.mass": 0.0} | {path: machine[path] for path in kept})


@pytest.mark.parametrize("phase", ["trough", "free", "empty"])
@pytest.mark.parametrize(
    ("hung", "wheels"), KINDS, ids=["hinged", "hinged-wheels", "fixed", "fixed-wheels"]
)
def test_accelerations_and_forces_equal_those_of_kanes_method(hung, wheels, phase):
    """Truth: KanesMethod, 100 random machines and states, bearing and trough friction included."""
    rng = np.random.default_rng(20_250_000 + 100 * hung + 10 * wheels + len(phase))
    model = kane_model(hung, wheels)
    worst = {"acceleration": 0.0, "contact": 0.0, "axle load": 0.0, "friction": 0.0}
    for _ in range(STATES):
        machine, q, v = drawn(rng, hung, wheels, phase)
        slide = float(rng.choice([-1.0, 1.0]))
        ours = our_rates(machine, q, v, phase=phase, slide=slide)
        kane = accelerations(
            model,
            emptied(machine) if phase == "empty" else machine,
            model.from_machine_angles(*q),
            model.rates_from_machine(*v),
            trough=phase == "trough",
            slide=slide,
        )
        theirs = model.to_machine_rates(kane.acceleration)
        load = np.linalg.norm(kane.axle_load)
        torque = abs(kane.axle_torque) + abs(kane.pin_torque)
        found = {
            "acceleration": np.abs(ours.acceleration - theirs).max() / np.abs(theirs).max(),
            "contact": abs(ours.contact - kane.contact) / max(abs(kane.contact), 1e-3 * load),
            "axle load": np.abs(ours.axle_load - kane.axle_load).max() / load,
            "friction": (
                abs(ours.axle_torque - kane.axle_torque)
                + abs(ours.pin_torque - kane.pin_torque)
                + abs(ours.rolling - kane.rolling) * machine["arm.long"]
            )
            / (torque + abs(kane.rolling) * machine["arm.long"]),
        }
        worst = {name: max(worst[name], found[name]) for name in worst}
    print({name: f"{value:.1e}" for name, value in worst.items()})
    assert max(worst.values()) < ALLOWED, worst


def test_power_lost_to_friction_is_torques_and_forces_times_their_rates():
    """Truth: Kane's torques times the joints' rates; the trough's rubbing times the slip speed."""
    rng = np.random.default_rng(7)
    model = kane_model(True, True)
    for _ in range(STATES):
        machine, q, v = drawn(rng, True, True, "trough")
        ours = our_rates(machine, q, v, phase="trough", slide=1.0)
        u = model.rates_from_machine(*v)
        kane = accelerations(model, machine, model.from_machine_angles(*q), u, trough=True)
        slip = (
            machine["arm.long"] * np.sin(q[0]) * v[0]
            + machine["sling.length"] * np.sin(q[2]) * v[2]
        )
        terms = [
            kane.axle_torque * u[0],
            kane.pin_torque * u[1],
            kane.rolling * u[3],
            -kane.rubbing * slip,
        ]
        assert ours.power_lost == pytest.approx(sum(terms), abs=1e-12 * np.abs(terms).max())
