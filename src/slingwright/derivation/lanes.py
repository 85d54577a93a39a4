"""The derived equations written out for many throws in step, a throw a lane.

Every number of a lane stands in a flat array, `array[place * LANES + lane]`, and every function is
a straight row of assignments inside `for lane in range(lanes)`, so that the compiler works on as
many lanes at once as registers hold.  `lanes` comes at run time: a constant would be unrolled.

The physics is that of `source.py` and of the joined texts `bearings` and `kernel`, term by term:
sweeps hold the two to be equal, row by row.
"""

import re
from collections.abc import Iterable, Mapping, Sequence

import sympy as sp

from slingwright.derivation.motion import Motion, Rows, derive, part_forces
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    LETTER,
    RATE,
    RUBBING,
    Kind,
)
from slingwright.derivation.source import ELIMINATED, Writer, factor_lines, python
from slingwright.machine.table.dials import MOVING_INDEX

OF_A_LANE: Mapping[str, str] = {
    "arm": "p[P_ARM_LONG]",
    "length": "p[P_SLING_LENGTH]",
    "per_length": "1.0 / p[P_SLING_LENGTH]",
    "above_axle": "p[P_TROUGH_HEIGHT] + 0.5 * p[P_PROJECTILE_DIAMETER] - p[P_AXLE_HEIGHT]",
    "drag": "-slide * p[P_TROUGH_FRICTION]",
    "slide": "slide",
    "full_axle": "0.5 * p[P_AXLE_FRICTION] * p[P_AXLE_DIAMETER]",
    "full_pin": "0.5 * p[P_HANGER_FRICTION] * p[P_HANGER_PIN]",
    "full_wheels": "p[P_BASE_ROLLING]",
    "per_turning": "1.0 / (SLOW * math.sqrt(p[P_SITE_GRAVITY] / p[P_ARM_LONG]))",
    "per_speed": "1.0 / (SLOW * math.sqrt(p[P_SITE_GRAVITY] * p[P_ARM_LONG]))",
    "base_weight": "p[P_BASE_MASS] * p[P_SITE_GRAVITY]",
    "axle_height": "p[P_AXLE_HEIGHT]",
    "short": "p[P_ARM_SHORT]",
    "hanger": "p[P_COUNTERWEIGHT_HANGER]",
    "half_height": "0.5 * p[P_COUNTERWEIGHT_HEIGHT]",
    "half_width": "0.5 * p[P_COUNTERWEIGHT_WIDTH]",
    "slip": "p[P_RELEASE_ANGLE]",
    "diameter": "p[P_PROJECTILE_DIAMETER]",
}
"""What a lane needs beside the constants of the equations, from its dials p and its `slide`."""

ANGLES = "ehs"


def write_lanes(kind: Kind) -> str:
    """Source text of one machine kind's rates and events, many throws in step."""
    text = _Lanes(kind)
    functions = [*text.rates(trough=True), *text.rates(trough=False)]
    functions += [text.rubbing(), *(text.watch(trough=t) for t in (True, False))]
    constants = text.constants()
    return "\n\n".join([constants, *functions])


class _Lanes:
    """Writes the functions of one kind; they share constants and the places of what is kept."""

    def __init__(self, kind: Kind) -> None:
        self.kind, self.n = kind, len(kind.names)
        self.motion: Motion = derive(kind)
        self.writer = Writer()
        self.order = [kind.names.index(name) for name in ELIMINATED if name in kind.names]
        self.rubs = ["axle", *(["pin"] * kind.hung), *(["wheels"] * kind.wheels)]
        """What rubs, in the order in which the torques are kept."""
        self.kept: dict[str, int] = {}
        """Place in the lanes' work array of each number kept from one loop to the next."""
        for name in self._names_kept():
            self.kept[name] = len(self.kept)

    def _names_kept(self) -> list[str]:
        n, kind = self.n, self.kind
        names = [f"{word}_{name}" for name in ANGLES for word in ("sin", "cos")]
        names += ["s_dot", "along", "jammed", "contact_free", "contact"]
        names += [f"free_{i}" for i in range(n)]
        names += [f"by_{what}_{i}" for what in self.rubs for i in range(n)]
        names += [f"contact_{what}" for what in self.rubs]
        names += [f"full_{what}" for what in self.rubs]
        loads = ["load_x", "load_y", *(["pin_x", "pin_y"] * kind.hung)]
        names += [f"{load}_{what}" for load in loads for what in ("free", *self.rubs)]
        names += [f"torque_{what}" for what in self.rubs]
        return [*names, "still"]

    # ---- pieces of text

    def _lane(self, lines: Iterable[str]) -> list[str]:
        """Read constants from a lane's place; what the equations put into w are names here."""
        out = []
        for line in lines:
            found = re.sub(r"\bK\[(\d+)\]", lambda m: f"K[{m[1]} * LANES + lane]", line)
            out.append(re.sub(r"\bw\[(\d+)\]", r"w_\1", found))
        return out

    def _read_dials(self, *names: str) -> list[str]:
        places = list(OF_A_LANE)
        return [
            f"{name} = K[(LANE_CONSTANTS + {places.index(name)}) * LANES + lane]" for name in names
        ]

    def _keep(self, *names: str) -> list[str]:
        return [f"w[{self.kept[name]} * LANES + lane] = {name}" for name in names]

    def _kept(self, *names: str) -> list[str]:
        return [f"{name} = w[{self.kept[name]} * LANES + lane]" for name in names]

    def _read_rates(self) -> list[str]:
        return [
            f"{RATE[name]} = y[{self.n + i} * LANES + lane]"
            for i, name in enumerate(self.kind.names)
        ]

    def _function(self, name: str, arguments: str, doc: str, body: Sequence[str]) -> str:
        inside = "\n".join(f"        {line}" for line in body)
        return (
            f"@in_lanes\ndef {name}(lanes, {arguments}):\n"
            f'    """{doc}"""\n    for lane in range(lanes):\n{inside}\n'
        )

    def _rows(self, name: str, rows: Rows) -> list[tuple[str, sp.Expr]]:
        found = [(f"{name}_{i}", value) for i, value in enumerate(rows.per_acceleration)]
        return [*found, (f"{name}_rest", rows.rest)]

    # ---- rates

    def _where(self, trough: bool) -> list[str]:
        """Sines and cosines; in the trough the sling's follow from the arm's, and its rate too."""
        at = {name: i for i, name in enumerate(self.kind.names)}
        turning = [name for name in ANGLES if name in at and not (trough and name == "s")]
        lines = [
            f"sin_{name}, cos_{name} = turned(y[{at[name]} * LANES + lane])" for name in turning
        ]
        lines += self._read_rates()
        if trough:
            lines += [
                *self._read_dials("arm", "per_length", "above_axle"),
                "sin_s = min(1.0, max(-1.0, (above_axle - arm * sin_e) * per_length))",
                "root = math.sqrt(max(1e-6, 1.0 - sin_s * sin_s))",
                "cos_s = -root",
                "s_dot = arm * cos_e * e_dot * per_length / root",
            ]
        return lines

    def _times(self, rows: str, vector: Sequence[str | None], zero: set[str]) -> str:
        """Product of a row of weights and a vector, without what is known to be nothing."""
        parts = [
            f"{rows}_{i} * {part}"
            for i, part in enumerate(vector)
            if part is not None and f"{rows}_{i}" not in zero
        ]
        return " + ".join(parts) if parts else "0.0"

    def _solved(self, name: str, right: Sequence[str | None], solve: Sequence[str]) -> list[str]:
        """x = M^-1 right as lines `{name}_i = ...`; parts of the right side that are None are 0."""
        lines = []
        here = [part is not None for part in right]
        for i, part in enumerate(right):
            if part is not None:
                lines.append(f"{name}_{i} = {part}")
        for step in solve:
            if less := re.fullmatch(r"x_(\d) -= w\[(\d+)\] \* x_(\d)", step):
                i, place, j = int(less[1]), less[2], int(less[3])
                if here[j]:
                    sign = f"{name}_{i} - " if here[i] else "-"
                    lines.append(f"{name}_{i} = {sign}w_{place} * {name}_{j}")
                    here[i] = True
            elif (scaled := re.fullmatch(r"x_(\d) \*= w\[(\d+)\]", step)) and here[int(scaled[1])]:
                lines.append(f"{name}_{scaled[1]} *= w_{scaled[2]}")
        return lines + [f"{name}_{i} = 0.0" for i in range(self.n) if not here[i]]

    def rates(self, *, trough: bool) -> list[str]:
        """What moves: accelerations without friction, and the answer to a unit of each torque."""
        n, kind, motion = self.n, self.kind, self.motion
        apart, solve = factor_lines(motion, self.writer, self.order, 0)
        rows = {"load_x": motion.axle_load_x, "load_y": motion.axle_load_y}
        if kind.hung:
            rows |= {"pin_x": motion.pin_load_x, "pin_y": motion.pin_load_y}
        if trough:
            rows = {"ball_up": motion.ball_height, "ball_along": motion.ball_travel} | rows
        wanted = [
            (f"M_{i}{j}", motion.mass[i, j])
            for i in range(n)
            for j in range(i, n)
            if motion.mass[i, j] != 0
        ]
        wanted += [(f"force_{i}", motion.force[i]) for i in range(n)]
        for name, row in rows.items():
            wanted += [(f"row_{name}_{i}", value) for i, value in enumerate(row.per_acceleration)]
            wanted += [(f"rest_{name}", row.rest)]
        zero = {name for name, value in wanted if value == 0}
        body = self._where(trough)
        body += self._lane(self.writer.lines([pair for pair in wanted if pair[0] not in zero]))
        body += [f"{name} = 0.0" for name in sorted(zero) if name.startswith("rest")]
        body += self._lane(apart)

        vector: dict[str, list[str | None]] = {"free": [f"force_{i}" for i in range(n)]}
        for what, name in (("axle", "e"), ("pin", "h"), ("wheels", "X")):
            if what in self.rubs:
                # The pin's torque turns arm and hanger: each angle is taken from its own upright.
                turned = ("e", "h") if what == "pin" else (name,)
                vector[what] = ["-1.0" if c in turned else None for c in kind.names]
        names = {"free": "free", **{what: f"by_{what}" for what in self.rubs}}
        if trough:
            body += [*self._read_dials("drag"), *self._kept("jammed")]
            push = [
                None
                if {f"row_ball_up_{i}", f"row_ball_along_{i}"} <= zero
                else " + ".join(
                    text
                    for row, text in (
                        (f"row_ball_up_{i}", f"row_ball_up_{i}"),
                        (f"row_ball_along_{i}", f"drag * row_ball_along_{i}"),
                    )
                    if row not in zero
                )
                for i in range(n)
            ]
            body += self._solved("push", push, solve)
            all_push = [f"push_{i}" for i in range(n)]
            body += [
                f"up_up = {self._times('row_ball_up', all_push, zero)}",
                "jammed = 1.0 if up_up <= 0.0 else jammed",
                "per_up = 0.0 if up_up <= 0.0 else 1.0 / up_up",
                "along = "
                + self._times("row_ball_along", [str(RATE[name]) for name in kind.names], zero),
            ]
        else:
            body += ["jammed = 0.0", "along = 0.0"]
        for what, right in vector.items():
            name = names[what]
            body += self._solved(name, right, solve)
            if trough:
                own = [f"{name}_{i}" for i in range(n)]
                rest = " + rest_ball_up" if what == "free" else ""
                up = self._times("row_ball_up", own, zero)
                body.append(f"contact_{what} = -({up}{rest}) * per_up")
                body += [f"{name}_{i} += contact_{what} * push_{i}" for i in range(n)]
            else:
                body.append(f"contact_{what} = 0.0")
        for what, name in names.items():
            own = [f"{name}_{i}" for i in range(n)]
            for load in ("load_x", "load_y", *(("pin_x", "pin_y") if kind.hung else ())):
                value = self._times(f"row_{load}", own, zero)
                if what == "free":
                    value += f" + rest_{load}"
                if trough and load == "load_x":
                    value += f" - drag * contact_{what}"
                if trough and load == "load_y":
                    value += f" - contact_{what}"
                body.append(f"{load}_{what} = {value}")
        body += self._read_dials("per_turning", *(f"full_{what}" for what in self.rubs))
        body.append("full_axle *= sense_of(e_dot * per_turning)")
        if kind.hung:
            body.append("full_pin *= sense_of((e_dot + h_dot) * per_turning)")
        if kind.wheels:
            body += self._read_dials("per_speed")
            body.append("full_wheels *= sense_of(X_dot * per_speed)")
        body += self._torques()
        absent = [name for name in ANGLES if name not in kind.names]
        body += [f"{word}_{name} = 0.0" for name in absent for word in ("sin", "cos")]
        body += self._keep(*(name for name in self.kept if name != "contact"))
        word = "trough" if trough else "free"
        first = self._function(
            f"free_answers_{word}",
            "y, K, w",
            "Accelerations without friction and the answers to a unit of each torque, into w.",
            body,
        )
        return [first, self._respond(trough)]

    def _respond(self, trough: bool) -> str:
        """Rates of the state from what the other loops left in w."""
        n, kind = self.n, self.kind
        body = [*self._read_rates()]
        body += self._kept(
            "s_dot", "contact_free", *(f"torque_{what}" for what in self.rubs),
            *(f"contact_{what}" for what in self.rubs),
        )  # fmt: skip
        for i, name in enumerate(kind.names):
            body += self._kept(f"free_{i}", *(f"by_{what}_{i}" for what in self.rubs))
            turned = " + ".join(
                [f"free_{i}", *(f"torque_{what} * by_{what}_{i}" for what in self.rubs)]
            )
            body += [
                f"k[at + {n + i} * LANES + lane] = {turned}",
                f"k[at + {i} * LANES + lane] = {RATE[name]}",
            ]
        turning = {"axle": "e_dot", "pin": "(e_dot + h_dot)", "wheels": "X_dot"}
        lost = " + ".join(f"torque_{what} * {turning[what]}" for what in self.rubs)
        contact = " + ".join(
            ["contact_free", *(f"torque_{what} * contact_{what}" for what in self.rubs)]
        )
        body.append(f"contact = {contact}")
        if trough:
            body += [*self._kept("along"), *self._read_dials("drag")]
            lost += " - drag * contact * along"
        body += [f"k[at + {2 * n} * LANES + lane] = {lost}", *self._keep("contact")]
        return self._function(
            f"respond_{'trough' if trough else 'free'}",
            "y, K, w, k, at",
            "Rates of the state into k from place `at` on, with what rubs.",
            body,
        )

    def _loads(self) -> list[str]:
        """Lines that find from the torques the loads, and the torques these make: `new_*`."""
        loads = ("load_x", "load_y", *(("pin_x", "pin_y") if self.kind.hung else ()))
        lines = []
        for name in loads:
            shares = (f"torque_{what} * {name}_{what}" for what in self.rubs)
            lines.append(f"{name} = {' + '.join([f'{name}_free', *shares])}")
        lines += [
            "on_axle = math.sqrt(load_x * load_x + load_y * load_y)",
            "new_axle = full_axle * on_axle",
        ]
        if self.kind.hung:
            lines += [
                "on_pin = math.sqrt(pin_x * pin_x + pin_y * pin_y)",
                "new_pin = full_pin * on_pin",
            ]
        if self.kind.wheels:
            shares = (f"torque_{what} * contact_{what}" for what in self.rubs)
            lines += [
                f"on_ground = {' + '.join(['load_y + base_weight + contact_free', *shares])}",
                "new_wheels = full_wheels * max(0.0, on_ground)",
            ]
        return lines

    def _size(self, part: str) -> str:
        """One number for torques and rolling resistance together; `part` names one of each."""
        lever = {"axle": "", "pin": "", "wheels": " * arm"}
        return " + ".join(f"abs({part.format(what)}){lever[what]}" for what in self.rubs)

    def _torques(self) -> list[str]:
        """Two rounds of Newton's rule on the torques, with the slopes of the first.

        They begin with the torques found last.  `still` is 0 where the two rounds' changes say
        that a third would change less than 1e-12.
        """
        lines = self._kept(*(f"torque_{what}" for what in self.rubs))
        if self.kind.wheels:
            lines += self._read_dials("base_weight", "arm")
        lines += self._loads()
        # Slopes of the new torques over the old, taken from 1: s_ij of s . change = new - old.
        lines.append("per_axle = full_axle / (on_axle + 1e-300)")
        if self.kind.hung:
            lines.append("per_pin = full_pin / (on_pin + 1e-300)")
        if self.kind.wheels:
            lines.append("per_wheels = full_wheels if on_ground > 0.0 else 0.0")
        slope = {
            "axle": "per_axle * (load_x * load_x_{0} + load_y * load_y_{0})",
            "pin": "per_pin * (pin_x * pin_x_{0} + pin_y * pin_y_{0})",
            "wheels": "per_wheels * (load_y_{0} + contact_{0})",
        }
        for what in self.rubs:
            for by in self.rubs:
                own = "1.0 - " if what == by else "-"
                lines.append(f"s_{what}_{by} = {own}{slope[what].format(by)}")
        # Taken apart from the last to the first: the slopes are small beside 1.
        for k, done in enumerate(self.rubs[::-1]):
            left = self.rubs[: len(self.rubs) - 1 - k]
            lines.append(f"per_{done} = 1.0 / s_{done}_{done}")
            for what in left:
                lines.append(f"share_{what}_{done} = s_{what}_{done} * per_{done}")
                lines += [f"s_{what}_{by} -= share_{what}_{done} * s_{done}_{by}" for by in left]
        for number in (1, 2):
            if number == 2:
                lines += self._loads()
            lines += [f"d_{what} = new_{what} - torque_{what}" for what in self.rubs]
            for k, done in enumerate(self.rubs[::-1]):
                left = self.rubs[: len(self.rubs) - 1 - k]
                lines += [f"d_{what} -= share_{what}_{done} * d_{done}" for what in left]
            for k, what in enumerate(self.rubs):
                lines += [f"d_{what} -= s_{what}_{by} * d_{by}" for by in self.rubs[:k]]
                lines.append(f"d_{what} *= per_{what}")
            lines += [f"torque_{what} += d_{what}" for what in self.rubs]
            lines.append(f"change_{number} = {self._size('d_{}')}")
        lines += [
            f"size = {self._size('torque_{}')}",
            "allowed = 1e-12 * size * (change_1 + 1e-14 * size)",
            "still = 1.0 if change_2 * change_2 > allowed else 0.0",
        ]
        return lines

    def rubbing(self) -> str:
        """One plain round of finding torques and loads from each other, for lanes not yet still."""
        coefficients = [
            name
            for name in self.kept
            if name.startswith(("load_x_", "load_y_", "pin_x_", "pin_y_", "full_"))
        ]
        body = self._kept(*coefficients, *(f"torque_{what}" for what in self.rubs), "still")
        if self.kind.wheels:
            body += self._kept("contact_free", *(f"contact_{what}" for what in self.rubs))
            body += self._read_dials("base_weight", "arm")
        body += [
            *self._loads(),
            f"change = {self._size('new_{0} - torque_{0}')}",
            f"size = {self._size('new_{}')}",
        ]
        # A lane that has come to rest keeps its torques, so that no lane depends on another.
        for what in self.rubs:
            place = self.kept[f"torque_{what}"]
            body.append(f"w[{place} * LANES + lane] = new_{what} if still > 0.0 else torque_{what}")
        body.append(
            f"w[{self.kept['still']} * LANES + lane] = "
            "1.0 if still > 0.0 and change > 1e-12 * size else 0.0"
        )
        return self._function(
            "rub", "K, w", "One round: torques from the loads that the last ones made.", body
        )

    # ---- events

    def watch(self, *, trough: bool) -> str:
        """What each event has left to go: the one that is waited for, and the least of the rest."""
        n, kind = self.n, self.kind
        forces = part_forces(kind)
        sine, cosine = sp.sin(COORDINATE["s"]), sp.cos(COORDINATE["s"])
        slack = [
            (f"at_{name}", cosine * forces[f"{name}_x"] - sine * forces[f"{name}_y"])
            for name in ("pouch", "tip")
        ]
        body = self._kept(*(f"{word}_{name}" for name in ANGLES for word in ("sin", "cos")))
        body += [line for line in self._read_rates() if not line.startswith("s_dot")]
        body += self._kept("s_dot", "contact")
        body += [
            f"{ACCELERATION[name]} = k[last + {n + i} * LANES + lane]"
            for i, name in enumerate(kind.names)
        ]
        if trough:
            body += [*self._read_dials("drag"), "N, F_t = contact, drag * contact"]
        else:
            slack = [
                (name, sp.sympify(value).subs({CONTACT: 0, RUBBING: 0})) for name, value in slack
            ]
        body += self._lane(self.writer.lines(slack))
        wanted = (
            "axle_height", "short", "hanger", "half_height", "half_width", "slip", "diameter",
            "arm", "length", "slide",
        )  # fmt: skip
        body += self._read_dials(*wanted)
        box = ("sin_h", "cos_h") if kind.hung else ("sin_e", "cos_e")
        low = "axle_height - short * sin_e" + (" - hanger * cos_h" if kind.hung else "")
        body += [
            f"boxed = {low} - (half_height * abs({box[1]}) + half_width * abs({box[0]}))",
            f"slipped = y[{kind.names.index('e')} * LANES + lane]"
            f" - y[{kind.names.index('s')} * LANES + lane] - slip",
            "rest = min(boxed, min(at_pouch, at_tip))",
        ]
        if trough:
            body += [
                *self._kept("along"),
                "expected = contact",
                "rest = min(rest, min(slipped, e_dot))",
                "rest = min(rest, min(1.0 - 1e-4 - abs(sin_s), slide * along))",
                "slope = 0.0",
            ]
        else:
            body += [
                "height = axle_height + arm * sin_e + length * sin_s",
                "expected = slipped",
                "rest = min(rest, height - (0.5 - 1e-9) * diameter + 1e-9 * height)",
                "slope = e_dot - s_dot",
            ]
        body += [
            "found[EXPECTED * LANES + lane] = expected",
            "found[SLOPE * LANES + lane] = slope",
            "found[REST * LANES + lane] = rest",
        ]
        return self._function(
            f"watch_{'trough' if trough else 'free'}",
            "y, K, w, k, last, found",
            "What the awaited event has left to go, its rate, and the least that others have.",
            body,
        )

    # ---- constants

    def constants(self) -> str:
        """The numbers of a lane from its dials; written last, when all are known."""
        factors = self.writer.constants
        needed = {str(sym) for factor in factors for sym in factor.free_symbols}
        body = [
            f"{LETTER[path]} = p[{place}]"
            for path, place in MOVING_INDEX.items()
            if str(LETTER[path]) in needed
        ]
        body += [
            f"K[{name.name[1:]} * LANES + lane] = {python(factor)}"
            for factor, name in factors.items()
        ]
        body += [
            f"K[(LANE_CONSTANTS + {i}) * LANES + lane] = {formula}"
            for i, formula in enumerate(OF_A_LANE.values())
        ]
        inside = "\n".join(f"    {line}" for line in body)
        places = [f"W_{name.upper()} = {place}" for name, place in self.kept.items()]
        return (
            f"LANE_CONSTANTS = {len(factors)}\n"
            f"NUMBERS = LANE_CONSTANTS + {len(OF_A_LANE)}\n"
            + "\n".join(places)
            + f"\nKEPT = {len(self.kept)}\n\n\n@inner\ndef lane_constants(p, slide, lane, K):\n"
            f'    """The numbers of one lane from its dials p, into K."""\n{inside}\n'
        )
