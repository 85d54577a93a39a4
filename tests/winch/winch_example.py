"""A machine's winding numbers that the tests of winding share: the Otter Ford machine's size."""

from slingwright.winch.rig import WinchNumbers

NUMBERS = WinchNumbers(
    gravity=9.80665,
    axle_height=4.4,
    arm_long=6.0,
    arm_short=1.2,
    arm_mass=220.0,
    arm_balance=1.9,
    arm_inertia=900.0,
    cocked=0.7,
    counterweight_mass=1200.0,
    counterweight_inertia=120.0,
    hung=True,
    hanger=1.1,
    box_width=1.0,
    box_height=0.9,
    tip_mass=1.8,
    axle_drag=0.004,
    hanger_drag=0.0025,
    drum=0.24,
    crank=0.4,
    gear=3.0,
    parts=2.0,
    sheave_loss=0.09,
    people=4.0,
    rope=0.02,
    winch_x=-3.2,
    winch_y=0.4,
    on_arm=4.5,
    aside=0.5,
)
