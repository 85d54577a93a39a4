"""How the winding gear is rove: every piece with its place, every part of the rope with its pull.

One graph from which loads, lengths, angles, checks and drawings are read. The rope's line is taken
to the drum's own axis, and along the plane of the throw; rope, blocks and shackles weigh nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, told
from slingwright.formulas.rope import sheaves
from slingwright.formulas.winch import drum, hauling
from slingwright.motion.held import held_torque, hook_lever, hook_line, hook_load
from slingwright.winch.rig import WinchNumbers, WinchRig, ratchet_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

FLANGE = 1.5  # ropes that a flange stands past the last layer: EN 14492-1 (from memory)
ROPE, ARM, FRAME = "#0072B2", "#5b3a14", "#8a6a3d"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece of the gear, and what it is made fast to."""

    name: str
    place: np.ndarray  # m, forward of the axle, above the ground, beside the plane, shape (n, 3)
    held_by: str  # key of the piece that holds it, or "arm" or "frame"
    sheaves: int = 0
    mark: str = ""  # its rating among the rigging's fields; empty: the machine gives none


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One part of the rope, between two pieces, by their keys."""

    start: str
    end: str
    length: np.ndarray  # m, shape (n,)
    toward: np.ndarray  # unit vector from start to end, shape (n, 3)
    winding: float  # its pull over that of all tackle on the arm
    lowering: float  # the same while it is eased back


@dataclass(frozen=True, kw_only=True, repr=False)
class Reeving(Answer):
    """The gear as a graph over one winding. Arrays of shape (n,), from rest to cocked.

    Keys of pieces end in " 2" on the second of two sides, which takes what the first one leaves.
    """

    numbers: WinchNumbers
    rig: WinchRig
    elevation: np.ndarray  # rad
    pieces: dict[str, Piece]
    lines: tuple[Line, ...]  # of the first side from its dead end to the drum, then of the second
    arm_pull: np.ndarray  # N, of all tackle on the arm, winding; ones: loads are shares of it
    arm_pull_lowering: np.ndarray  # N
    radius: np.ndarray = field(default_factory=lambda: np.zeros(1))  # m, of the rope on the drum
    drum_turns: np.ndarray = field(default_factory=lambda: np.zeros(1))  # past the dead ones
    dead: float = 0.0  # m, rope that stays on the drum

    @property
    def first(self) -> tuple[Line, ...]:
        """Parts of the most loaded rope, from its dead end to the drum."""
        return self.lines[: len(self.lines) // self.numbers.ropes]

    @property
    def hauled(self) -> float:
        """Pull at the drum over pull of the tackle on the arm, winding."""
        return sum(line.winding for line in self.lines if line.end.startswith("drum"))

    @property
    def eased(self) -> float:
        """The same, lowering."""
        return sum(line.lowering for line in self.lines if line.end.startswith("drum"))

    @property
    def block(self) -> tuple[float, float]:
        """Where the tackle pulls from, in the plane [m]."""
        place = self.pieces.get("frame_block", self.pieces["drum"]).place[0]
        return float(place[0]), float(place[1])

    @property
    def rope(self) -> np.ndarray:
        """Length of one rope that is off the drum [m], shape (n,)."""
        return np.sum([line.length for line in self.first], axis=0)

    @property
    def needed(self) -> float:
        """Length that one rope needs, with what stays on the drum [m]."""
        return float(np.max(self.rope)) + self.dead

    @property
    def layers(self) -> int:
        """Layers of rope on the drum when all is wound."""
        n = self.numbers
        return round((float(np.max(self.radius)) - 0.5 * n.drum) / n.rope + 0.5)

    def pull(self, line: Line, lowering: bool = False) -> np.ndarray:
        """Pull in a part of the rope [N], shape (n,)."""
        if lowering:
            return line.lowering * self.arm_pull_lowering
        return line.winding * self.arm_pull

    def force(self, key: str, lowering: bool = False) -> np.ndarray:
        """Force that a piece hands on to what holds it, or that "arm" or "frame" takes in all.

        The sum of the pulls of all rope on it and of all pieces that it holds [N], shape (n, 3).
        """
        total = np.zeros((len(self.elevation), 3))
        for line in self.lines:
            for end, sense in ((line.start, 1.0), (line.end, -1.0)):
                if end == key:
                    total += sense * self.pull(line, lowering)[:, None] * line.toward
        for other, piece in self.pieces.items():
            if piece.held_by == key:
                total += self.force(other, lowering)
        return total

    def load(self, key: str) -> float:
        """Largest load of a piece, winding or lowering [N]."""
        both = (self.force(key, lowering) for lowering in (False, True))
        return max(float(np.max(np.linalg.norm(force, axis=1))) for force in both)

    @property
    def pawl(self) -> np.ndarray:
        """Force on the pawl that holds the drum [N], shape (n,)."""
        torque = self.hauled * self.arm_pull * self.radius
        return torque * drum.pawl_load(1.0, 1.0, ratchet_of(self.numbers, self.rig))

    @cached_property
    def hook_load(self) -> float:
        """Force in the hook that holds the cocked arm, the projectile in the trough [N].

        Raises: ValueError: the hook takes the arm outside its long part.
        """
        n, rig = self.numbers, self.rig
        place = rig.hook_on_arm if rig.hook_on_arm is not None else n.arm_long
        if not 0.0 < place <= n.arm_long:
            raise ValueError(
                f"hook.on_arm is {place:g} m, outside the long arm of {n.arm_long:g} m. Give where "
                "the hook takes the arm, from the axle."
            )
        torque = held_torque(
            *(n.counterweight_mass, n.arm_short, n.arm_mass, n.arm_balance),
            *(n.cords, n.arm_long, -n.cocked, n.gravity),
        )
        line = hook_line(place, -n.cocked, n.axle_height, rig.hook_x, rig.hook_y)
        return float(hook_load(torque, hook_lever(place, -n.cocked, line), place))

    @property
    def fleet(self) -> float:
        """Angle by which the rope comes onto the drum's far end off square, at its most [rad]."""
        n = self.numbers
        wander = min(float(np.max(self.drum_turns)) * n.rope, self.rig.drum_width)
        wander *= 1.0 if n.ropes > 1 else 0.5
        return math.atan2(wander, float(np.min(self.first[-1].length)))

    @property
    def sentence(self) -> Text:
        """How the rope runs, and what its heaviest piece carries."""
        n = self.numbers
        held = {key: self.load(key) for key in self.pieces}
        most = max(held, key=lambda key: held[key])
        turned = sum(piece.sheaves for piece in self.pieces.values()) // n.ropes
        ropes = "One rope" if n.ropes == 1 else "Two ropes, one on each side, each"
        parts = f"{n.parts:.0f} part{'' if n.parts == 1 else 's'}"
        led = " led over a block" if self.rig.rigging == "led" else ""
        return form("{} of {}{} over {} sheave{}: {:m} needed, {} takes {:3N} at most.")(
            *(ropes, parts, led, turned, "" if turned == 1 else "s", self.needed),
            *(self.pieces[most].name, held[most]),
        )

    def rows(self) -> Iterator[Row]:
        """Give each piece of the most loaded side with its load, then each part of the rope."""
        n, rig = self.numbers, self.rig
        for key, piece in self.pieces.items():
            if not key.endswith(" 2"):
                rated = getattr(rig, piece.mark) if piece.mark else None
                mark = "rating not known" if rated is None else form("rated {:N}")(rated)
                x, y, z = piece.place[-1]
                note = form("{}; cocked {:2m} along, {:2m} up, {:2m} aside")(mark, x, y, z)
                yield Row(key, piece.name, Amount(self.load(key), "N", 3), note)
        if n.ropes > 1:
            bar = self.load("shackle") * n.aside
            yield Row("bar.bending", "Cross bar, bending at the arm", Amount(bar, "N m", 3),
                      "its section is not given, so what it holds is not known")  # fmt: skip
        pawl = float(np.max(self.pawl))
        yield Row("pawl", "Pawl", Amount(pawl, "N", 3), "on the ratchet, at the frame")
        bearing = float(np.max(self.hauled * self.arm_pull)) + pawl
        yield Row("bearing", "Drum's bearings, pawl in", Amount(bearing, "N", 3),
                  "at most: where the pawl stands about the drum is not known")  # fmt: skip
        held = Amount(self.hook_load, "N", 3)
        yield Row("hook", "Hook that holds the arm", held, "cocked, winding rope eased")
        for k, line in enumerate(self.first):
            pull = max(float(np.max(self.pull(line, one))) for one in (False, True))
            ways = form("{} to {}, {:3m} at rest, {:3m} cocked")(
                *(self.pieces[end].name for end in (line.start, line.end)),
                *(float(line.length[at]) for at in (0, -1)),
            )
            yield Row(f"part.{k + 1}", f"Part {k + 1} of the rope", Amount(pull, "N", 3), ways)
        flange = (self.layers + FLANGE) * n.rope
        yield Row("flange", "Flange above the drum", Amount(flange, "m", 2),
                  form("{} layer{}, {:2m} of rope stays on; {:g} ropes past the last layer "
                       "(EN 14492-1, from memory)")(
                      self.layers, "" if self.layers == 1 else "s", self.dead, FLANGE))  # fmt: skip
        yield Row("fleet", "Rope off square at the drum's end", Amount(self.fleet, "rad", 2),
                  "wire on a smooth drum wants 1.5 deg at most (from memory); for fibre rope "
                  "not known")  # fmt: skip

    def moment(self, elevation: float | None = None) -> int:
        """Index of the moment nearest an elevation [rad]; where the tackle pulls most if None."""
        if elevation is None:
            return int(np.argmax(self.arm_pull))
        return int(np.argmin(np.abs(self.elevation - elevation)))

    def at(self, elevation: float | None = None) -> Table:
        """Give every part of the rope at an elevation of the arm [rad], or where it pulls most."""
        k = self.moment(elevation)
        lines = tuple(
            (
                self.pieces[line.start].name,
                self.pieces[line.end].name,
                Amount(float(line.length[k]), "m", 3),
                Amount(math.atan2(*line.toward[k, [1, 0]]), "rad", 3),
                Amount(float(self.pull(line)[k]), "N", 3),
                Amount(float(self.pull(line, True)[k]), "N", 3),
            )
            for line in self.lines
        )
        head = ("from", "to", "length", "above the horizontal", "pull winding", "pull lowering")
        words = form("Parts of the rope with the arm at {:2rad}.")(float(self.elevation[k]))
        return Table(head=head, lines=lines, caption=words)

    def plot(
        self,
        axes: Axes | None = None,
        *,
        elevation: float | None = None,
        view: str = "side",
        system: units.System = "metric",
    ) -> Any:
        """Draw the gear to scale, with what each piece and each part of the rope carries.

        Args:
            view: "side", or "plan" from above.

        Returns: The figure.
        Raises: ValueError: another view.
        """
        if view not in ("side", "plan"):
            raise ValueError(f"view {view!r} is not known. Give 'side' or 'plan'.")
        if axes is None:
            from slingwright.motion.shown.drawings import sheet

            _, axes = sheet(width=7.0, height=5.0)
        k, n, up = self.moment(elevation), self.numbers, 1 if view == "side" else 2
        one, label = units.factor("m", system)
        e = float(self.elevation[k])
        reach = np.array([-n.arm_short, n.arm_long])
        high = (n.axle_height + reach * math.sin(e), 0.0 * reach)[up - 1]
        axes.plot(-reach * math.cos(e) / one, high / one, "-", color=ARM, linewidth=4)
        axes.plot(0.0, (2 - up) * n.axle_height / one, "o", color=ARM)
        if up == 1:
            axes.axhline(0.0, color=FRAME, linewidth=1)
            turn = np.linspace(0.0, 2.0 * math.pi, 41)
            drum_x, drum_y = 0.5 * n.drum * np.cos(turn), 0.5 * n.drum * np.sin(turn)
            axes.plot((n.winch_x + drum_x) / one, (n.winch_y + drum_y) / one, color=FRAME)
        for way in self.ways(k) if up == 1 else self._across(k):
            axes.plot(*(way.T / one), "-", color=ROPE, linewidth=1.2)
        here: dict[tuple[float, float], dict[str, list[str]]] = {}
        for key, piece in self.pieces.items():
            if not key.endswith(" 2"):
                load = Amount(float(np.linalg.norm(self.force(key)[k])), "N", 3).told(system)
                x, y = (float(part) for part in piece.place[k, [0, up]] / one)
                here.setdefault((x, y), {}).setdefault(load, []).append(piece.name)
        for letter, ((x, y), held) in zip("ABC", here.items(), strict=False):
            words = "\n".join(f"{load} {', '.join(names)}" for load, names in held.items())
            words = words.replace(", ", ",\n")
            axes.plot(x, y, "s", color=ROPE, markersize=4, label=f"{letter}: {words}")
            axes.annotate(letter, (x, y), (5, 5), textcoords="offset points", fontsize=9)
        axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.2), ncols=len(here), fontsize=7)
        axes.set_aspect("equal")
        axes.set(xlabel=f"along [{label}]", ylabel=f"{('height', 'aside')[up - 1]} [{label}]")
        axes.set_title(told(form("Winding gear with the arm at {:2rad}")(e), system), fontsize=9)
        return axes.figure

    def ways(self, k: int) -> list[np.ndarray]:
        """Ends (2, 2) [m] of each part of a rope in the side view, set apart a little."""
        found, parts = [], round(self.numbers.parts)
        for at, line in enumerate(self.first):
            ends = np.array([self.pieces[end].place[k, :2] for end in (line.start, line.end)])
            apart = 0.012 * self.numbers.arm_long * (at - 0.5 * (parts - 1)) * (at < parts)
            side = line.toward[k, [1, 0]] * (-1.0, 1.0)
            found.append(ends + apart * side * (1.0 if line.start == "frame_block" else -1.0))
        return found

    def _across(self, k: int) -> list[np.ndarray]:
        """Cross bar, ropes and drum from above [m], each shape (m, 2)."""
        n, bar, wide = self.numbers, self.numbers.aside, self.rig.drum_width
        x = self.pieces["strop"].place[k, 0]
        near, far = n.winch_x - 0.5 * n.drum, n.winch_x + 0.5 * n.drum
        drums = [(bar, bar + wide), (-bar, -bar - wide)] if bar else [(-0.5 * wide, 0.5 * wide)]
        ways: list[Any] = [
            [self.pieces[end].place[k, [0, 2]] for end in (line.start, line.end)]
            for line in self.lines
        ]
        ways.append([(x, -bar), (x, bar)])
        ways += [
            [(near, low), (far, low), (far, high), (near, high), (near, low)] for low, high in drums
        ]
        return [np.array(way) for way in ways]


def reeve(numbers: WinchNumbers, rig: WinchRig, elevation: np.ndarray) -> Reeving:
    """Lay out the winding gear over a winding; its loads are shares of the tackle's pull.

    Args:
        elevation: of the arm [rad], shape (n,).

    Raises: ValueError: a lead block in the winch, or a rope without a length.
    """
    n, parts, led = numbers, round(numbers.parts), rig.rigging == "led"
    winch = (n.winch_x, n.winch_y)
    block = (float(rig.lead_x or 0.0), float(rig.lead_y or 0.0)) if led else winch
    if led and not math.dist(block, winch) > 0.0:
        raise ValueError("the lead block stands where the winch stands. Move one of them.")
    hauling.rope_direction(elevation, n.on_arm, n.axle_height, *block)  # refuses no length at all
    at_arm = hauling.arm_point(elevation, n.on_arm, n.axle_height)
    one_rope, on_frame = n.ropes == 1, (parts - 1) // 2 + led
    ratio = sheaves.friction_ratio(n.sheave_loss)
    up, down = (sheaves.lead_line_factor(parts, one, parts - 1) for one in (ratio, 1.0 / ratio))
    absent = {"bar"} if one_rope else set()
    if parts == 1:
        absent |= {"arm_block"} if led else {"arm_block", "frame_block"}
    top, low = ("arm_block" if parts > 1 else "shackle"), "frame_block"
    pieces: dict[str, Piece] = {}
    lines: list[Line] = []
    sides = [("", n.aside, 1.0 if one_rope else rig.share), (" 2", -n.aside, 1.0 - rig.share)]
    for second, aside, share in sides[: n.ropes]:
        arm, frame, drum_at = (
            _places(*place, z=aside, count=len(elevation)) for place in (at_arm, block, winch)
        )
        for key, name, place, on, turned, mark in (
            ("bar", "cross bar's end", arm, "arm", 0, ""),
            ("strop", "strop at the arm", arm, "arm" if one_rope else "bar", 0, ""),
            ("shackle", "shackle at the arm", arm, "strop", 0, "shackle_rating"),
            ("arm_block", "block at the arm", arm, "shackle", parts // 2, "arm_block_rating"),
            (low, "block at the frame" if on_frame else "rope's end at the frame", frame, "frame",
             on_frame, "frame_block_rating"),
            ("drum", "drum" if one_rope else "half of the drum", drum_at, "frame", 0, ""),
        ):  # fmt: skip
            if key not in absent:
                held_by = on if on in ("arm", "frame") else on + second
                pieces[key + second] = Piece(
                    name=name, place=place, held_by=held_by, sheaves=turned, mark=mark
                )
        for k in range(parts + led):
            start, end = (top, low) if (parts - k) % 2 else (low, top)
            if k == parts + led - 1:
                start, end = low if led else start, "drum"
            start, end = start + second, end + second
            way = pieces[end].place - pieces[start].place
            length = np.linalg.norm(way, axis=1)
            lines.append(Line(
                start=start, end=end, length=length, toward=way / length[:, None],
                winding=share * up * ratio ** (k - parts + 1),
                lowering=share * down * ratio ** (parts - 1 - k),
            ))  # fmt: skip
    whole = np.ones_like(elevation)
    return Reeving(numbers=n, rig=rig, elevation=elevation, pieces=pieces, lines=tuple(lines),
                   arm_pull=whole, arm_pull_lowering=whole)  # fmt: skip


def _places(x: Any, y: Any, *, z: float, count: int) -> np.ndarray:
    """Give points in space, one a moment, shape (count, 3)."""
    found = np.empty((count, 3))
    found[:, 0], found[:, 1], found[:, 2] = x, y, z
    return found
