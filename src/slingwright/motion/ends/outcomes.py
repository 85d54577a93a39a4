"""How a throw ended, in one sentence with what to change."""

import math
from collections.abc import Mapping

from slingwright.machine.machine import Machine

OUTCOME: Mapping[int, str] = dict(enumerate((
    "released", "never left the trough", "never slipped", "struck the ground",
    "sling went slack", "counterweight struck the ground", "never left the trough", "gave up",
    "never left the trough", "never left the trough",
)))  # fmt: skip
"""Short name of each of the compiled code's outcome numbers, in the order of recording.py."""

TIP_STRIKES = "the tip of the arm strikes the ground"
ENDS: Mapping[str, str] = {
    "EDGED": "the pouch strikes the side of the trough",
    "BOXED": "the counterweight strikes the ground",
    "TIPPED": TIP_STRIKES,
    "TORN": "the sling stretches farther than any rope lives through",
    "RESTED": "",
    "OUT_OF_TIME": "",
    "OUT_OF_STEPS": "the steps allowed run out",
    "BROKEN": "the motion can no longer be stepped",
}
"""What ends a motion so that it is not known past there, by the compiled event's name; nothing for
an end that leaves nothing unknown."""
UNRELEASED: Mapping[str, str] = {
    "never left the trough": "the projectile never leaves the trough",
    "never slipped": "the ring has not slipped by then",
    "struck the ground": "the projectile strikes the ground",
    "sling went slack": "the sling goes slack",
    "counterweight struck the ground": ENDS["BOXED"],
    "gave up": ENDS["OUT_OF_STEPS"],
}
"""What ends a throw that was not released, by its outcome."""

_SENTENCES: Mapping[str, str] = {
    "0": "Released {at}: the ring slipped at a sling lag of {now:.1f} deg.",
    "1 at once": "Never left the trough: the counterweight cannot start the arm; more "
    "counterweight.mass, a longer arm.short or less trough.friction would.",
    "1": "Never left the trough: the projectile still lay in it {at}; more counterweight.mass, a "
    "shorter sling.length or less projectile.mass may lift it.",
    "2": "Never slipped: the sling lag did not fall to {slip:.0f} deg by {time:.1f} s; raise "
    "release.angle or change sling.length.",
    "3": "Struck the ground: the projectile touched down {at}, still in the sling; a shorter "
    "sling.length, a higher axle.height or a larger release.angle may clear it.",
    "4 at once": "Sling went slack as the arm was loosed: its tip moves toward the projectile; a "
    "lower trough.height, a longer sling.length or a smaller arm.cocked may pull it tight.",
    "4 early": "Sling went slack {at}, early in the throw; a longer sling.length, a smaller "
    "arm.cocked or more counterweight.mass may keep it tight.",
    "4": "Sling went slack {at} at a lag of {now:.0f} deg; a release.angle above {now:.0f} deg, a "
    "longer sling.length or a smaller arm.cocked may keep it tight.",
    "5": "Counterweight struck the ground {at}: raise axle.height, or shorten arm.short or "
    "counterweight.hanger.",
    "6": "Never left the trough: the ring slipped {at}, before the projectile was lifted; a "
    "release.angle below {now:.0f} deg holds it longer.",
    "7": "Gave up {at}: the motion could not be followed to the end with these dials; look for a "
    "value far from the others, often counterweight.hanger, hanger.pin or axle.diameter.",
    "8": "Never left the trough: friction jams the projectile {at}; less trough.friction frees it.",
    "9": "Never left the trough: {at} the sling stands upright over the projectile and can not "
    "pull it on; a longer sling.length, a lighter projectile or more counterweight.mass may "
    "lift it.",
}
"""How a throw ended, by the compiled code's outcome number, and what to change."""


def sentence(code: int, machine: Machine, time: float, lag: float) -> str:
    """Tell how a throw ended at `time` [s] with sling lag `lag` [rad], and what to change."""
    now = math.degrees(lag)
    key = f"{code}"
    if code in (1, 4) and time == 0.0:
        key += " at once"
    elif code == 4 and now > 120.0:
        key += " early"
    slip = math.degrees(machine.number("release.angle"))
    return _SENTENCES[key].format(at=f"at {time:.2f} s", now=now, slip=slip, time=time)
