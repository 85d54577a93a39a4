"""What is not surely known of a machine in the field before its shots, weighings in it.

To what the tables say of any machine come the arm's weight and the wind, which only shots in the
open meet. What was weighed or measured takes the place of what the tables said, and is itself open
to doubt: now and then the wrong thing is weighed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.spread.uncertain import Uncertain, usual

ARM_SD = 0.10
"""Of an arm that was calculated and not weighed, as a share: coefficient of variation of timber's
density, JCSS Probabilistic Model Code, part 3.05 (from memory)."""
WIND_SD = 2.5
"""Of a wind along the throw that nobody measured [m/s]: a light breeze, common practice."""


def unsure(machine: Machine) -> tuple[Uncertain, ...]:
    """Give what shots in the field are learned with: the usual numbers, the arm's weight, the wind.

    Args:
        machine: as it is said to be.
    """
    return (
        *usual(machine),
        Uncertain(
            path="arm.mass",
            way="factor",
            mean=1.0,
            sd=ARM_SD,
            source="timber's density varies by 10 %: JCSS Probabilistic Model Code, part 3.05",
        ),
        Uncertain(
            path="site.wind",
            way="offset",
            mean=0.0,
            sd=WIND_SD,
            source="a breeze that nobody measured: common practice",
        ),
    )


def with_measured(
    known: Sequence[Uncertain],
    machine: Machine,
    measured: Mapping[str, tuple[float, float]],
    on: Mapping[str, float] | None = None,
) -> tuple[Uncertain, ...]:
    """Put measured values in the place of what the tables said; new ones come behind.

    Args:
        known: what was uncertain.
        machine: the machine whose settings the measurements are held against.
        measured: path to value and standard deviation, both SI.
        on: path to what was set when it was measured, where that is not what is set now.

    Raises:
        UncertainError: a standard deviation that is not above 0, or a dial that moves nothing.

    A measured weight becomes a factor on the set one, a measured length an offset: it holds for
    the shots with other settings too.
    """
    found = list(known)
    for path, (value, sd) in measured.items():
        places = [i for i, one in enumerate(found) if one.path == path]
        before = found[places[0]] if places else None
        setting = (on or {}).get(path, machine[path])
        way = before.way if before else _way(path)
        mean = value
        if way != "value" and isinstance(setting, float) and setting:
            mean, sd = (value - setting, sd) if way == "offset" else (value / setting, sd / setting)
        one = Uncertain(path=path, way=way, mean=mean, sd=sd, source="measured on this machine")
        if before is None:
            found.append(one)
        else:
            wider = (before.mean, before.sd) if before.sd > sd else None
            found[places[0]] = replace(one, other=wider)
    return tuple(found)


def _way(path: str) -> str:
    unit = dials.dial(path).si_unit
    return {"kg": "factor", "m": "offset", "rad": "offset"}.get(unit, "value")
