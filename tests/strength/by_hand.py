"""Every check of a part again, by hand: demand and capacity of one load case, from the dials alone.

Written anew from what each rule names, in plain mathematics: nothing of the formulas or the parts
stands in here, only the tables of materials. Equations of EN 1995-1-1, EN 1993-1-8 and Table 3.9
are from memory where the rule's own module says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from slingwright.tables import materials, ropes

THROWN = ("brief", "empty", "early", "late", "ring")
STEEL = 210e9  # Pa, EN 1993-1-1 3.2.6
HAND: dict[str, Callable] = {}
"""By the check's key: (hand, case) -> demand, capacity and, where a rule gives it, the use."""


def rule(key):
    """Keep a function as the hand calculation of a check."""

    def kept(function):
        HAND[key] = function
        return function

    return kept


@dataclass
class Hand:
    """A machine and short words for what the rules read off it."""

    machine: object

    def __call__(self, path):
        return self.machine.number(path)

    @cached_property
    def factor(self):
        return self("site.load_factor")

    def k_mod(self, case):
        """EN 1995-1-1 Table 3.1: a throw is instantaneous, a load at rest lasts a short time."""
        dry = self("site.service") < 2.5
        return ((0.9, 0.7), (1.1, 0.9))[dry][case.kind not in THROWN]

    def timber(self, part):
        return materials.timber(self.machine.text(f"{part}.timber"))

    def design(self, case, strength, gamma=1.3):
        """EN 1995-1-1 eq 2.14, gamma_M 1.3 of solid timber and of connections (Table 2.3)."""
        return strength * self.k_mod(case) / gamma

    def steel(self, path, thick):
        return materials.steel(self.machine.text(path), thick)

    @cached_property
    def span(self):
        return self("axle.span") - 2 * self("axle.support") + self("axle.bearing")

    @cached_property
    def hung(self):
        return self.machine.flag("counterweight.hung")


def size_factor(depth, density):
    """EN 1995-1-1 eq 3.1, up to 700 kg/m3."""
    return 1.0 if density > 700 else min(max((0.15 / depth) ** 0.2, 1.0), 1.3)


def hankinson(along, across, angle):
    """EN 1995-1-1 eq 6.16, as 1/f = sin^2/f_90 + cos^2/f_0."""
    return 1 / (math.sin(angle) ** 2 / across + math.cos(angle) ** 2 / along)


# ---- axle


def axle_stress(h, load):
    """Statics: half the load at each support; a hub spreads it evenly, cheeks are two points."""
    hub = h("axle.hub")
    own = 0.0 if h.machine.flag("axle.cheeks") else load / 2 * hub / 4
    arm = h.span / 2 - (hub / 2 if h.machine.flag("axle.cheeks") else 0.0)
    return (load / 2 * arm - own) / (math.pi * h("axle.diameter") ** 3 / 32)


def axle_rubbing(h, load):
    return 4 / 3 * load * h("frame.share") / (math.pi * h("axle.diameter") ** 2 / 4)


def axle_yield(h):
    return h.steel("axle.grade", h("axle.diameter")).yield_strength


@rule("axle.bending")
def _(h, case):
    return axle_stress(h, h.factor * case.axle_load), axle_yield(h)


@rule("axle.shear")
def _(h, case):
    return axle_rubbing(h, h.factor * case.axle_load), axle_yield(h) / math.sqrt(3)


@rule("axle.bending_with_shear")
def _(h, case):
    load = h.factor * case.axle_load
    return math.hypot(axle_stress(h, load), math.sqrt(3) * axle_rubbing(h, load)), axle_yield(h)


@rule("axle.deflection")
def _(h, case):
    """A point load P at x bends the middle by P x (3 L^2 - 4 x^2) / (48 E I); summed over the hub.

    No load factor; a three hundredth of the span, common practice.
    """
    span, hub = h.span, h("axle.hub")
    stiff = 48 * STEEL * math.pi * h("axle.diameter") ** 4 / 64
    start = (span - hub) / 2
    if h.machine.flag("axle.cheeks"):
        bent = start * (3 * span**2 - 4 * start**2)
    else:
        whole = [1.5 * span**2 * x**2 - x**4 for x in (start, span / 2)]
        bent = 2 / hub * (whole[1] - whole[0])
    return case.axle_load * bent / stiff, span / 300


def cycles(history):
    """Rainflow of a repeated history by four points: an inner range within both its neighbours."""
    start = max(range(len(history)), key=lambda i: abs(history[i]))
    left = [*history[start:], *history[: start + 1]]
    left = [v for i, v in enumerate(left) if not i or v != left[i - 1]]
    turn = [
        i for i in range(1, len(left) - 1) if (left[i] - left[i - 1]) * (left[i + 1] - left[i]) > 0
    ]
    left = [v for i, v in enumerate(left) if i not in set(turn)]
    i = 0
    while i + 3 < len(left):
        before, inner, after = (abs(left[j + 1] - left[j]) for j in range(i, i + 3))
        if inner <= before and inner <= after:
            yield inner
            del left[i + 1 : i + 3]
            i = max(i - 2, 0)
        else:
            i += 1
    assert len(left) <= 3
    if len(left) == 3:
        yield abs(left[1] - left[0])


def stands_shots(h, detail, strength):
    """EN 1993-1-9 7.1 and 8 (1), gamma_Mf 1.35."""
    count, safe = h("axle.loosings"), detail / 1.35
    if count <= 5e6:
        stands = safe * (2e6 / count) ** (1 / 3)
    else:
        stands = safe * 0.4 ** (1 / 3) * (5e6 / min(count, 1e8)) ** (1 / 5)
    return min(stands, 1.5 * strength)


def tired(stress, histories):
    """Miner's sum at a slope of 3, as one range; no load factor."""
    return stress * max(sum(one**3 for one in cycles(list(each))) ** (1 / 3) for each in histories)


def round_the_bar(force, angles):
    """A force's part along lines 15 degrees apart, of a bar at an angle at each moment."""
    for place in range(0, 180, 15):
        yield [
            np.hypot(x, y) * math.cos(math.atan2(y, x) - math.radians(place) + angle)
            for (x, y), angle in zip(-force, -angles, strict=True)
        ]


@rule("axle.fatigue")
def _(h, case):
    """Only what the brief throws. As the arm rises the tip goes against the sense of x to y."""
    if case.kind != "brief":
        return None
    angles = case.elevation * (-1.0 if h.machine.flag("axle.turns") else 0.0)
    histories = round_the_bar(case.axle_force, angles)
    return tired(axle_stress(h, 1.0), histories), stands_shots(h, h("axle.detail"), axle_yield(h))


@rule("pin.fatigue")
def _(h, case):
    if case.kind != "brief" or not h.hung:
        return None
    lever = (h("arm.width_at_axle") + 4 * h("hanger.gap") + 2 * side_plate(h)) / 8
    stress = lever / (math.pi * h("hanger.pin") ** 3 / 32)
    strength = pin_steel(h).yield_strength
    histories = round_the_bar(case.pin_force, -case.elevation)
    return tired(stress, histories), stands_shots(h, h("axle.detail"), strength)


@rule("strap.fatigue")
def _(h, case):
    """A drilled plate, 90 MPa; the wider of the bolt's and the pin's hole, 1 mm of play."""
    if case.kind != "brief":
        return None
    thick = h("hanger.strap_thickness")
    hole = max(bolt(h, "hanger").across / 1e3, h("hanger.pin")) + 0.001
    stress = 1 / (h("hanger.straps") * (h("hanger.strap_width") - hole) * thick)
    strength = h.steel("hanger.grade", thick).yield_strength
    return tired(stress, [np.hypot(*case.pin_force.T)]), stands_shots(h, 90e6, strength)


@rule("prong.fatigue")
def _(h, case):
    if case.kind != "brief":
        return None
    across = h("prong.diameter")
    stress = h("prong.length") / (math.pi * across**3 / 32)
    strength = h.steel("prong.grade", across).yield_strength
    return tired(stress, [case.throw.prong_force]), stands_shots(h, h("axle.detail"), strength)


@rule("axle.bushing_pressure")
def _(h, case):
    face = h("axle.diameter") * h("axle.bearing")
    return case.axle_load * h("frame.share") / face, materials.bushing(
        h.machine.text("axle.bushing")
    ).pressure


@rule("axle.bushing_speed")
def _(h, case):
    bush = materials.bushing(h.machine.text("axle.bushing"))
    return case.turning_rate * h("axle.diameter") / 2, bush.speed


@rule("axle.bushing_heat")
def _(h, case):
    """Half the load over d l, times the surface's speed, its mean by trapezes; none at rest."""
    if case.throw is None:
        return None
    pressure = np.hypot(*case.axle_force.T) / 2 / (h("axle.diameter") * h("axle.bearing"))
    warm = pressure * np.abs(case.throw.arm_rate) * h("axle.diameter") / 2
    steps = np.diff(case.time)
    mean = ((warm[1:] + warm[:-1]) / 2 * steps).sum() / steps.sum()
    return mean, materials.bushing(h.machine.text("axle.bushing")).pressure_speed


@rule("axle.on_frame")
def _(h, case):
    """EN 1995-1-1 6.1.5 with k_c,90 of 1: nothing is known of the load's spread."""
    pressure = h.factor * case.axle_load / (h("axle.diameter") * h("axle.bearing"))
    pressure *= h("frame.share")
    return pressure, h.design(case, h.timber("frame").compression_perpendicular)


def support(h, case):
    """One side's share, half a bearing in from the piece's end, or in a short one's middle."""
    if not h("axle.support"):
        return None
    push = h.factor * case.axle_load * h("frame.share")
    reach = h("axle.support")
    return push, push * max(reach - h("axle.bearing") / 2, reach / 2)


@rule("support.bending")
def _(h, case):
    if not (loads := support(h, case)):
        return None
    modulus = h("axle.support_width") * h("axle.support_depth") ** 2 / 6
    return loads[1] / modulus, h.design(case, h.timber("frame").bending_strength)


@rule("support.shear")
def _(h, case):
    if not (loads := support(h, case)):
        return None
    area = 0.67 * h("axle.support_width") * h("axle.support_depth")
    return 1.5 * loads[0] / area, h.design(case, h.timber("frame").shear_strength)


def pressed_in_arm(h, case, force, face):
    """Worst moment of a force on the arm's timber, by its angle to the arm."""
    timber, best = h.timber("arm"), (0.0, 1.0, 0.0)
    for (x, y), raised in zip(force, case.elevation, strict=True):
        size = math.hypot(x, y)
        along = -x * math.cos(raised) + y * math.sin(raised)
        angle = math.acos(max(-1.0, min(1.0, along / size))) if size else math.pi / 2
        strength = h.design(
            case, hankinson(timber.compression_parallel, timber.compression_perpendicular, angle)
        )
        pressure = h.factor * size / face
        best = max(best, (pressure / strength, strength, pressure))
    return best[2], best[1]


@rule("arm.on_axle")
def _(h, case):
    return pressed_in_arm(h, case, case.axle_force, h("axle.diameter") * h("axle.hub"))


@rule("pin.in_arm")
def _(h, case):
    if not h.hung:
        return None
    return pressed_in_arm(h, case, case.pin_force, h("hanger.pin") * h("arm.width_at_axle"))


# ---- arm


@dataclass
class Bar:
    """One section of the arm: area, second moment, section modulus, shear factor, depth."""

    area: float
    inertia: float
    modulus: float
    shear: float
    depth: float


def bar(h, place, hole=0.0):
    """Straight taper from axle to tip; a strip as deep as the hole is gone at mid-depth."""
    share = max(place, 0.0) / h("arm.long")
    depth, width = (
        h(f"arm.{side}_at_axle") * (1 - share) + h(f"arm.{side}_at_tip") * share
        for side in ("depth", "width")
    )
    hole = hole if abs(place) <= hole / 2 else 0.0
    if h.machine.text("arm.section") == "round":
        # Of y^2 and 1 over a circle between half the hole and the edge, by y = r sin t.
        radius, t = depth / 2, math.asin(hole / depth)
        inertia = radius**4 / 4 * (math.pi - 2 * t + math.sin(4 * t) / 2)
        area = radius**2 * (math.pi - 2 * t - math.sin(2 * t))
        shear = 1.5 if hole else 4 / 3
    else:
        inertia, area = width * (depth**3 - hole**3) / 12, width * (depth - hole)
        shear = 1.5
    modulus = 2 * inertia / depth
    if h.machine.text("arm.section") == "laminated":
        # Layers alone and layers as one, by parallel axes (EN 1995-1-1 Annex B).
        layers, bond = h("arm.layers"), h("arm.bond")
        kept = bond + (1 - bond) / layers**2
        inertia, modulus = inertia * kept, modulus * kept / (bond + (1 - bond) / layers)
    return Bar(area, inertia, modulus, shear, depth)


def edge_share(h):
    """EN 1995-1-1 eq 6.39 for the long arm's edge, all its taper on the pulled side."""
    if h.machine.text("arm.section") == "round":
        return 1.0
    timber, tip = h.timber("arm"), h("arm.depth_at_tip")
    run = abs(h("arm.depth_at_axle") - tip) / h("arm.long")
    bending = timber.bending_strength * size_factor(tip, timber.density_characteristic)
    shear, across = 0.75 * timber.shear_strength, timber.tension_perpendicular
    return (1 + (bending * run / shear) ** 2 + (bending * run**2 / across) ** 2) ** -0.5


def tipping_share(h):
    """EN 1995-1-1 eqs 6.30, 6.32 and 6.34; l_ef 0.8 l of a cantilever loaded at its end."""
    depth, width = h("arm.depth_at_axle"), h("arm.width_at_axle")
    if h.machine.text("arm.section") == "round" or width >= depth:
        return 1.0
    timber = h.timber("arm")
    critical = 0.78 * width**2 * timber.modulus_5 / (depth * 0.8 * h("arm.long"))
    slender = math.sqrt(timber.bending_strength / critical)
    if slender <= 0.75:
        return 1.0
    return 1.56 - 0.75 * slender if slender <= 1.4 else 1 / slender**2


def arm_strength(h, case, place):
    timber = h.timber("arm")
    size = size_factor(bar(h, place).depth, timber.density_characteristic)
    cut = edge_share(h) if place >= 0 else 1.0
    return min(tipping_share(h), cut) * size * h.design(case, timber.bending_strength)


def bent_and_pulled(h, case, place, hole=0.0, keeps=1.0):
    """EN 1995-1-1 eq 6.17, whatever is between the places taken straight."""
    cut = [bar(h, s, hole) for s in case.position]

    def there(values):
        return float(np.interp(place, case.position, list(values)))

    stress = h.factor * there(case.moment) / there(b.modulus for b in cut)
    pulled = h.factor * there(case.arm_pull) / there(b.area for b in cut)
    strength = keeps * arm_strength(h, case, place)
    along = keeps * h.design(case, h.timber("arm").tension_parallel)
    return stress, strength, stress / strength + pulled / along


def bent_most(h, case, least):
    found = [bent_and_pulled(h, case, place) for place in case.position if place >= least]
    return max(found, key=lambda one: one[2])


@rule("arm.bending")
def _(h, case):
    return bent_most(h, case, -math.inf)


@rule("arm.bending_near_tip")
def _(h, case):
    return bent_most(h, case, 0.9 * h("arm.long"))


@rule("arm.at_hole")
def _(h, case):
    return bent_and_pulled(h, case, 0.0, hole=h("arm.hole"))


@rule("arm.shear")
def _(h, case):
    """EN 1995-1-1 6.1.7, k_cr 0.67."""
    bars = [bar(h, place, h("arm.hole")) for place in case.position]
    stress = [b.shear * v / (0.67 * b.area) for b, v in zip(bars, case.shear, strict=True)]
    return h.factor * max(stress), h.design(case, h.timber("arm").shear_strength)


def splitting(h, case, width, depth):
    """EN 1995-1-1 eq 8.4 at mid-depth, where h_e / (1 - h_e / h) is h."""
    return h.design(case, 14 * width * 1e3 * math.sqrt(depth * 1e3))


def arm_splitting(h, case, shear):
    depth = h("arm.depth_at_axle")
    width = depth if h.machine.text("arm.section") == "round" else h("arm.width_at_axle")
    return h.factor * shear, splitting(h, case, width, depth)


@rule("arm.split_at_hole")
def _(h, case):
    at = list(case.position).index(0.0)
    return arm_splitting(h, case, max(case.shear[at - 1 : at + 2])) if h("arm.hole") else None


@rule("arm.split_at_pin")
def _(h, case):
    return arm_splitting(h, case, case.shear[0]) if h.hung else None


@rule("arm.splice")
def _(h, case):
    place = h("arm.splice")
    return bent_and_pulled(h, case, place, keeps=h("arm.splice_keeps")) if place else None


@rule("arm.deflection")
def _(h, case):
    """Mohr: the tip bends by the moment about it of M / (E I), straight between the places.

    No load factor; a sixtieth of the long arm, common practice. Simpson is exact for two lines.
    """
    long_arm, bent = h("arm.long"), 0.0
    modulus = h.timber("arm").modulus_mean
    curve = [
        (s, m / (modulus * bar(h, s).inertia))
        for s, m in zip(case.position, case.moment, strict=True)
        if s >= 0
    ]
    for (a, low), (b, high) in zip(curve, curve[1:], strict=False):
        middle = (low + high) / 2 * (long_arm - (a + b) / 2)
        ends = low * (long_arm - a) + high * (long_arm - b)
        bent += (b - a) / 6 * (ends + 4 * middle)
    return bent, long_arm / 60


# ---- hanger, box and sling


def pin_steel(h):
    return h.steel("hanger.grade", h("hanger.pin"))


def side_plate(h):
    return h("hanger.strap_thickness") * h("hanger.straps") / 2


@rule("pin.bending")
def _(h, case):
    """EN 1993-1-8 Figure 3.11 and Table 3.10: 1.5 of the elastic modulus."""
    if not h.hung:
        return None
    lever = h("arm.width_at_axle") + 4 * h("hanger.gap") + 2 * side_plate(h)
    modulus = math.pi * h("hanger.pin") ** 3 / 32
    return h.factor * case.pin_load * lever / 8, 1.5 * modulus * pin_steel(h).yield_strength


@rule("pin.shear")
def _(h, case):
    if not h.hung:
        return None
    area = math.pi * h("hanger.pin") ** 2 / 4
    return h.factor * case.pin_load / 2, 0.6 * area * pin_steel(h).ultimate_strength / 1.25


@rule("pin.bending_with_shear")
def _(h, case):
    if not h.hung:
        return None
    shares = [HAND[key](h, case) for key in ("pin.bending", "pin.shear")]
    return sum((demand / capacity) ** 2 for demand, capacity in shares), 1.0


@rule("pin.in_straps")
def _(h, case):
    if not h.hung:
        return None
    strap = h.steel("hanger.grade", h("hanger.strap_thickness"))
    weaker = min(strap.yield_strength, pin_steel(h).yield_strength)
    return h.factor * case.pin_load / 2, 1.5 * side_plate(h) * h("hanger.pin") * weaker


def a_strap(h, case):
    return h.factor * case.pin_load / h("hanger.straps")


@rule("strap.tension")
def _(h, case):
    """EN 1993-1-1 eqs 6.6 and 6.7; holes 1 mm wider than their bolts."""
    wide, thick = h("hanger.strap_width"), h("hanger.strap_thickness")
    grade = h.steel("hanger.grade", thick)
    hole = materials.bolt_size(h.machine.text("hanger.bolt")).diameter + 0.001
    net = 0.9 * (wide - hole) * thick * grade.ultimate_strength / 1.25
    return a_strap(h, case), min(wide * thick * grade.yield_strength, net)


@rule("strap.around_pin")
def _(h, case):
    """EN 1993-1-8 Table 3.9 type A: d_0 + 2 c, c = F / (2 t f_y) + d_0 / 3."""
    thick, hole = h("hanger.strap_thickness"), h("hanger.pin") + 0.001
    strength = h.steel("hanger.grade", thick).yield_strength
    return 5 / 3 * hole + a_strap(h, case) / (thick * strength), h("hanger.strap_width")


@dataclass
class Bolt:
    """A bolt by EN 1995-1-1 8.5: across [mm], moment [N mm], stress area [m2], class and f_ub."""

    across: float
    bend: float
    stress_area: float
    name: str
    ultimate: float


def bolt(h, part):
    size = materials.bolt_size(h.machine.text(f"{part}.bolt"))
    grade = materials.bolt_grade(h.machine.text(f"{part}.bolt_grade"))
    across = size.diameter * 1e3
    bend = 0.3 * grade.ultimate_strength / 1e6 * across**2.6
    return Bolt(across, bend, size.stress_area, grade.name, grade.ultimate_strength)


def embedment(timber, across, angle):
    """EN 1995-1-1 eqs 8.31 to 8.33, N/mm2."""
    along = 0.082 * (1 - 0.01 * across) * timber.density_characteristic
    start = 1.35 if timber.kind == "softwood" else 0.90
    return hankinson(along, along / (start + 0.015 * across), angle)


def by_plate(plate, across, thin, thick):
    """EN 1995-1-1 8.2.3 (1): thin up to half the bolt, thick from a whole one, straight between."""
    share = min(max(2 * plate / across - 1, 0.0), 1.0)
    return thin + share * (thick - thin)


@rule("strap.bolts_in_box")
def _(h, case):
    """EN 1995-1-1 eqs 8.9 and 8.10; force across the grain, where all bolts of a row count."""
    b, t = bolt(h, "hanger"), h("counterweight.side") * 1e3
    pressed = embedment(h.timber("counterweight"), b.across, math.pi / 2) * b.across
    thin = min(0.4 * pressed * t, 1.15 * math.sqrt(2 * b.bend * pressed))
    tilt = pressed * t * (math.sqrt(2 + 4 * b.bend / (pressed * t**2)) - 1)
    thick = min(tilt, 2.3 * math.sqrt(b.bend * pressed), pressed * t)
    one = by_plate(h("hanger.strap_thickness") * 1e3, b.across, thin, thick)
    return a_strap(h, case), h.design(case, h("hanger.bolts") * one)


@rule("strap.bolts_in_shear")
def _(h, case):
    """EN 1993-1-8 Table 3.4, the thread in the plane."""
    b = bolt(h, "hanger")
    share = 0.5 if b.name in ("4.8", "5.8", "6.8", "10.9") else 0.6
    return a_strap(h, case), h("hanger.bolts") * share * b.ultimate * b.stress_area / 1.25


@rule("strap.bolts_in_strap")
def _(h, case):
    """EN 1993-1-8 Table 3.4 with e_1 of 1.2 d_0: a fifth less than half of k_1 f_u d t."""
    b, thick = bolt(h, "hanger"), h("hanger.strap_thickness")
    hole = b.across / 1e3 + 0.001
    side = min(1.4 * h("hanger.strap_width") / hole - 1.7, 2.5)
    grade = h.steel("hanger.grade", thick)
    bears = side * 0.4 * grade.ultimate_strength * b.across / 1e3 * thick / 1.25
    return a_strap(h, case) / h("hanger.bolts"), bears


@rule("strap.bolts_apart")
def _(h, case):
    """EN 1995-1-1 Table 8.4 across the grain: 4 d apart, 4 d and 3 d to the edges, 7 d to the ends;

    EN 1993-1-8 Table 3.3: 1.2 d_0 to either edge of a strap."""
    d = bolt(h, "hanger").across / 1e3
    beside = (h("hanger.straps") / 2 - 1) * max(4 * d, h("hanger.strap_width"))
    found = [
        ((4 * h("hanger.bolts") + 3) * d, h("counterweight.height")),
        (beside + 14 * d, h("counterweight.width")),
        (2.4 * (d + 0.001), h("hanger.strap_width")),
    ]
    return max(found, key=lambda one: one[0] / one[1])


@rule("box.floor")
def _(h, case):
    """A simple beam under an even load: W b / 8."""
    thick, timber = h("counterweight.floor"), h.timber("counterweight")
    moment = h.factor * case.pin_load * h("counterweight.breadth") / 8
    size = size_factor(thick, timber.density_characteristic)
    modulus = h("counterweight.width") * thick**2 / 6
    return moment / modulus, size * h.design(case, timber.bending_strength)


def fill_pressure(h, case):
    """At rest 1 - sin 30 deg of what the floor bears (EN 1997-1 9.5.2, from memory).

    A fixed box: all of it, on the least of its sides."""
    t, high = h("counterweight.side"), h("counterweight.height")
    wide, broad = h("counterweight.width") - 2 * t, h("counterweight.breadth") - 2 * t
    force = h.factor * case.pin_load
    if h.hung:
        return force / wide / broad / 2
    return force / min(wide * broad, wide * high, broad * high)


def longest_side(h):
    return max(h("counterweight.width"), h("counterweight.breadth"))


@rule("box.sides")
def _(h, case):
    """A board of 1 m height: q L^2 / 8 over 1 t^2 / 6."""
    thick, timber = h("counterweight.side"), h.timber("counterweight")
    moment = fill_pressure(h, case) * longest_side(h) ** 2 / 8
    size = size_factor(thick, timber.density_characteristic)
    return moment / (thick**2 / 6), size * h.design(case, timber.bending_strength)


@rule("box.joints")
def _(h, case):
    """Half of the weight at a side, or half of a wall's push, a triangle, at a corner."""
    wall = fill_pressure(h, case) / 2 * h("counterweight.height") * longest_side(h)
    b, t = bolt(h, "hanger"), h("counterweight.side") * 1e3
    pressed = embedment(h.timber("counterweight"), b.across, math.pi / 2)
    holds = h.design(case, h("counterweight.bolts") * lapped(b, t, t, pressed, pressed))
    return max(h.factor * case.pin_load / 2, wall / 2), holds


@rule("box.sway")
def _(h, case):
    """A pendulum hangs along gravity and the force sideways together."""
    if not h.hung:
        return None
    aside = math.sin(math.atan(h("frame.side_share")))
    reach = h("counterweight.hanger") + h("counterweight.height") / 2
    return aside * reach, (h("axle.span") - h("counterweight.breadth")) / 2


def on_trough(h, case):
    """The trough's own push in a throw; at rest the heaviest load's weight."""
    if case.throw is not None:
        return h.factor * max(case.throw.trough_force)
    heaviest = max([*(one.mass for one in h.machine.brief), h("projectile.mass")])
    return h.factor * heaviest * h("site.gravity")


@rule("trough.boards")
def _(h, case):
    stress = on_trough(h, case) * h("trough.bearers") / 4
    stress /= h("trough.width") * h("trough.board") ** 2 / 6
    return stress, h.design(case, h.timber("frame").bending_strength)


@rule("trough.bearers")
def _(h, case):
    """EN 1995-1-1 eq 6.11: down in full, and 0.7 of what the drag bends along the throw."""
    down = on_trough(h, case) * h("axle.span") / 4 / (h("trough.bearer") ** 3 / 6)
    drag = h("trough.friction") * down
    stress = max(down + 0.7 * drag, 0.7 * down + drag)
    return stress, h.design(case, h.timber("frame").bending_strength)


@rule("sling.cords")
def _(h, case):
    text, breaking = h.machine.text, h("sling.breaking")
    if not breaking:
        breaking = ropes.rope(text("sling.rope"), h("sling.rope_diameter")).breaking_force
    safe = breaking * ropes.knot(text("sling.knot")).kept / h("sling.factor")
    return case.cord_tension, safe


@rule("sling.pouch")
def _(h, case):
    whole = h("sling.pouch_strength") * h("sling.pouch_width")
    return case.pouch_tension, whole / h("sling.factor")


@rule("prong.bending")
def _(h, case):
    """EN 1993-1-1 eq 6.1, elastic, on a round cantilever."""
    across, pull = h("prong.diameter"), h.factor * case.prong_force
    bending = 32 * pull * h("prong.length") / (math.pi * across**3)
    shear = 16 * pull / (3 * math.pi * across**2)
    return math.sqrt(bending**2 + 3 * shear**2), h.steel("prong.grade", across).yield_strength


# ---- frame


def sides(h, part):
    """Width along the axle and depth in the plane [m]."""
    return h(f"frame.{part}_width"), h(f"frame.{part}_depth")


def lean(h):
    return math.atan2(h("axle.height"), h("frame.spread") / 2)


def leg_length(h):
    return h("axle.height") / math.sin(lean(h))


def unit_frame(h):
    """Stiffness method for one A-frame, a unit force along and one up on its apex.

    Two legs bend past the level brace and meet in a hinge; brace and sill only stretch. Gives per
    leg, brace and sill the push (4, 2), of a leg the piece with more of it, and the legs' moment
    at the brace (2, 2). Ways and turns: x, y and turn of rear foot, front foot, rear joint, front
    joint, apex; the apex turns apart for the front leg (15).
    """
    half, share = h("frame.spread") / 2, h("frame.brace") / h("axle.height")
    high = h("axle.height")
    at = [(-half, 0), (half, 0)]
    at += [(-half * (1 - share), share * high), (half * (1 - share), share * high), (0, high)]
    modulus = h.timber("frame").modulus_mean
    area = {part: math.prod(sides(h, part)) for part in ("leg", "brace", "sill")}
    width, depth = sides(h, "leg")
    bend = modulus * width * depth**3 / 12
    pieces = ((0, 2, "leg", 0), (2, 4, "leg", 0), (1, 3, "leg", 1), (3, 4, "leg", 1))
    pieces += ((2, 3, "brace", 2), (0, 1, "sill", 3))
    whole, rows = np.zeros((16, 16)), []
    for start, end, part, _ in pieces:
        (x, y), (u, v) = at[start], at[end]
        length = math.hypot(u - x, v - y)
        cos, sin = (u - x) / length, (v - y) / length
        turn_end = 15 if (start, end) == (3, 4) else 3 * end + 2
        ways = [3 * start, 3 * start + 1, 3 * start + 2, 3 * end, 3 * end + 1, turn_end]
        stretch = np.array([-cos, -sin, 0, cos, sin, 0])
        sway = np.array([sin, -cos, 0, -sin, cos, 0]) / length
        turns = np.eye(6)[[2, 5]] - sway
        stiff = bend / length * np.array([[4, 2], [2, 4]]) * (part == "leg")
        pull = modulus * area[part] / length * stretch
        whole[np.ix_(ways, ways)] += np.outer(pull, stretch) + turns.T @ stiff @ turns
        rows.append((ways, -pull, stiff @ turns))
    free = [i for i in range(16) if i not in (0, 1, 4)]
    push, moment = np.zeros((4, 2)), np.zeros((2, 2))
    for which in (0, 1):
        load, moved = np.zeros(16), np.zeros(16)
        load[12 + which] = 1.0
        moved[free] = np.linalg.solve(whole[np.ix_(free, free)], load[free])
        for (_, end, _, row), (ways, along, ends) in zip(pieces, rows, strict=True):
            push[row, which] = max(push[row, which], float(along @ moved[ways]), key=abs)
            if end in (2, 3) and row < 2:
                moment[row, which] = (ends @ moved[ways])[1]
    return push, moment


def members(h, case):
    """Push (n, 4) and moment (n, 2) of one of two A-frames, design values; down on the apex."""
    push, moment = unit_frame(h)
    each = -h.factor * case.axle_force * h("frame.share")
    return each @ push.T, np.abs(each @ moment.T)


def k_c(h, length, gyration):
    """EN 1995-1-1 eqs 6.21 to 6.29, beta_c 0.2."""
    timber = h.timber("frame")
    slender = length / (gyration * math.pi)
    slender *= math.sqrt(timber.compression_parallel / timber.modulus_5)
    if slender <= 0.3:
        return 1.0
    k = (1 + 0.2 * (slender - 0.3) + slender**2) / 2
    return 1 / (k + math.sqrt(k**2 - slender**2))


@rule("leg.compression")
def _(h, case):
    """EN 1995-1-1 eq 6.23; the largest push with the largest moment."""
    push, moment = members(h, case)
    width, depth = sides(h, "leg")
    timber = h.timber("frame")
    most = push[:, :2].max()
    if most <= 0:
        return None
    kept = k_c(h, leg_length(h), min(width, depth) / math.sqrt(12))
    strength = kept * h.design(case, timber.compression_parallel)
    bent = moment.max() / (width * depth**2 / 6) / h.design(case, timber.bending_strength)
    stress = most / (width * depth)
    return stress, strength, stress / strength + bent


def left_by_hole(h, part):
    """What a bolt's hole, 1 mm wider than it, leaves at mid-depth: area and section modulus."""
    width, depth = sides(h, part)
    hole = bolt(h, "frame").across / 1e3 + 0.001
    return width * (depth - hole), width * (depth**3 - hole**3) / 6 / depth


@rule("leg.tension")
def _(h, case):
    push, moment = members(h, case)
    area, modulus = left_by_hole(h, "leg")
    timber = h.timber("frame")
    pull = -push[:, :2].min()
    if pull <= 0:
        return None
    stress, strength = pull / area, h.design(case, timber.tension_parallel)
    bent = moment.max() / modulus / h.design(case, timber.bending_strength)
    return stress, strength, stress / strength + bent


def tie(h, case, part, column, length):
    width, depth = sides(h, part)
    timber = h.timber("frame")
    kept = k_c(h, length, min(width, depth) / math.sqrt(12))
    pushed = kept * h.design(case, timber.compression_parallel)
    pulled = h.design(case, timber.tension_parallel)
    net = left_by_hole(h, part)[0]
    found = [
        (force / (width * depth), pushed) if force > 0 else (-force / net, pulled)
        for force in members(h, case)[0][:, column]
    ]
    return max(found, key=lambda one: one[0] / one[1])


@rule("brace.axial")
def _(h, case):
    share = h("frame.brace") / h("axle.height")
    return tie(h, case, "brace", 2, h("frame.spread") * (1 - share))


@rule("sill.axial")
def _(h, case):
    return tie(h, case, "sill", 3, h("frame.spread"))


@rule("leg.on_sill")
def _(h, case):
    """The leg's push at its lean to the sill's grain."""
    width, depth = sides(h, "leg")
    face = min(width, h("frame.sill_width")) * depth
    timber = h.timber("frame")
    strong = hankinson(timber.compression_parallel, timber.compression_perpendicular, lean(h))
    return members(h, case)[0][:, :2].max() / face, h.design(case, strong)


def lapped(b, t_1, t_2, f_1, f_2):
    """EN 1995-1-1 eq 8.6 without rope effect, one plane [N]; sizes in mm."""
    d, m, ratio = b.across, b.bend, f_2 / f_1
    r = t_2 / t_1
    root = math.sqrt(ratio + 2 * ratio**2 * (1 + r + r**2) + ratio**3 * r**2)
    a, other = f_1 * t_1 * d, f_2 * t_2 * d
    both = a / (1 + ratio) * (root - ratio * (1 + r))
    in_1 = math.sqrt(2 * ratio * (1 + ratio) + 4 * ratio * (2 + ratio) * m / (a * t_1)) - ratio
    # The rule for the second timber is that for the first with the two changed over.
    back = 1 / ratio
    in_2 = math.sqrt(2 * back * (1 + back) + 4 * back * (2 + back) * m / (other * t_2)) - back
    bent = 1.15 * math.sqrt(2 * ratio / (1 + ratio)) * math.sqrt(2 * m * f_1 * d)
    hinged = (1.05 * a / (2 + ratio) * in_1, 1.05 * other / (2 + back) * in_2)
    return min(a, other, both, *hinged, bent)


def joint_capacity(h, case, pieces):
    """A joint of bolts in one row along the grain, 5 d apart; pieces: thickness, angle to grain."""
    b, timber, plate = bolt(h, "frame"), h.timber("frame"), h("frame.plate") * 1e3
    (t_1, f_1), (t_2, f_2) = (
        (thick * 1e3, embedment(timber, b.across, angle)) for thick, angle in pieces
    )
    if plate:
        # EN 1995-1-1 eqs 8.12 and 8.13, two planes, the weaker piece.
        plane = math.inf
        for t, f in ((t_1, f_1), (t_2, f_2)):
            crushed = f * t * b.across / 2
            bent = math.sqrt(b.bend * f * b.across)
            thin, thick = (min(crushed, k * bent) for k in (1.15 * math.sqrt(2), 2.3))
            plane = min(plane, 2 * by_plate(plate, b.across, thin, thick))
    else:
        plane = lapped(b, t_1, t_2, f_1, f_2)
    count = h("frame.bolts")
    counted = min(count, count**0.9 * (5 / 13) ** 0.25) if count > 1 else 1.0
    return h.design(case, counted * plane)


@rule("joint.foot")
def _(h, case):
    """The sill's tie and, upward, the pull of a leg; its push goes by contact.

    Looked at where either, or both together, are largest; the tie may act either way on the leg.
    """
    push = members(h, case)[0]
    lift = np.maximum(-push[:, :2].min(axis=1), 0.0) * math.sin(lean(h))
    tie = np.abs(push[:, 3])
    found = []
    for at in (np.argmax(np.hypot(tie, lift)), np.argmax(lift), np.argmax(tie)):
        leg = np.array([math.cos(lean(h)), math.sin(lean(h))])
        force = np.array([tie[at], lift[at]])
        size = np.linalg.norm(force)
        along = min(abs(force @ leg), abs(force @ (leg * (1, -1)))) / size
        pieces = (
            (h("frame.leg_width"), math.acos(along)),
            (h("frame.sill_width"), math.atan2(lift[at], tie[at])),
        )
        found.append((size, joint_capacity(h, case, pieces)))
    return max(found, key=lambda one: one[0] / one[1])


def upper_length(h):
    return leg_length(h) * (1 - h("frame.brace") / h("axle.height"))


@rule("joint.head")
def _(h, case):
    """The pull of a leg with the shear that its bending leaves; all across the grain."""
    push, moment = members(h, case)
    pull = np.maximum(-push[:, :2].min(axis=1), 0.0)
    shear = moment.max(axis=1) / upper_length(h)
    pieces = ((h("frame.leg_width"), math.pi / 2),) * 2
    return np.hypot(pull, shear).max(), joint_capacity(h, case, pieces)


@rule("joint.brace")
def _(h, case):
    pieces = (h("frame.brace_width"), 0.0), (h("frame.leg_width"), lean(h))
    return np.abs(members(h, case)[0][:, 2]).max(), joint_capacity(h, case, pieces)


@rule("leg.split_at_brace")
def _(h, case):
    short = min(upper_length(h), leg_length(h) - upper_length(h))
    return members(h, case)[1].max() / short, splitting(h, case, *sides(h, "leg"))


@rule("joint.edges")
def _(h, case):
    """EN 1995-1-1 Table 8.4: across the grain 4 d to a loaded edge and 3 d to a free one.

    A row 5 d apart along one timber crosses the other at the angle between them; the better one.
    """
    d = materials.bolt_size(h.machine.text("frame.bolt")).diameter
    edge = {"leg": 8 * d, "sill": 7 * d, "brace": 6 * d}
    row = 0.0 if h("frame.plate") else 5 * d * (h("frame.bolts") - 1)
    pairs = [("leg", "sill", lean(h)), ("leg", "leg", 2 * lean(h)), ("brace", "leg", lean(h))]
    if h("frame.side_foot"):
        pairs.append(("brace", "leg", side_angle(h)))
    worst = []
    for one, other, angle in pairs:
        ways = []
        for straight, crossed in ((one, other), (other, one)):
            least = edge[crossed] + row * abs(math.sin(angle))
            needed = [(edge[straight], straight), (least, crossed)]
            found = [(a, h(f"frame.{part}_depth")) for a, part in needed]
            ways.append(max(found, key=lambda one: one[0] / one[1]))
        worst.append(min(ways, key=lambda one: one[0] / one[1]))
    return max(worst, key=lambda one: one[0] / one[1])


@rule("joint.ends")
def _(h, case):
    """EN 1995-1-1 Table 8.4: 5 d apart and 7 d, 80 mm at least, to a loaded end."""
    d = materials.bolt_size(h.machine.text("frame.bolt")).diameter
    row, end = 5 * d * (h("frame.bolts") - 1), max(7 * d, 0.08)
    found = [(row / 2 + end, (h("frame.sill_length") - h("frame.spread")) / 2)]
    found += [(row + 5 * d, one) for one in (upper_length(h), leg_length(h) - upper_length(h))]
    if not h("frame.plate"):
        slant = math.sin(lean(h))
        found.append((end + 4 * d / slant, h("frame.sill_depth") / slant))
    return max(found, key=lambda one: one[0] / one[1])


# ---- sideways and on the ground


def sideways(h, case):
    """Share of the axle's load at each moment [N]."""
    return h.factor * h("frame.side_share") * np.hypot(*case.axle_force.T)


def side_push(h, case):
    """A right triangle of forces: level force, brace and what the leg takes."""
    raking = math.atan2(h("axle.height"), h("frame.side_foot"))
    return sideways(h, case).max() / math.cos(raking)


@rule("side_brace.compression")
def _(h, case):
    width, depth = sides(h, "brace")
    length = math.hypot(h("axle.height"), h("frame.side_foot"))
    kept = k_c(h, length, min(width, depth) / math.sqrt(12))
    strength = kept * h.design(case, h.timber("frame").compression_parallel)
    return side_push(h, case) / (width * depth), strength


def side_angle(h):
    """The angle between brace and leg by the cosine of their two directions."""
    leg = np.array([h("frame.spread") / 2, h("axle.height"), 0.0])
    brace = np.array([0.0, h("axle.height"), h("frame.side_foot")])
    return math.acos(leg @ brace / (np.linalg.norm(leg) * np.linalg.norm(brace)))


@rule("joint.side_brace")
def _(h, case):
    pieces = (h("frame.brace_width"), 0.0), (h("frame.leg_width"), side_angle(h))
    return side_push(h, case), joint_capacity(h, case, pieces)


def pressing(h, case):
    """EN 1990 equilibrium: the throw's forces with the load factor, the base's weight with 0.9."""
    own = h("base.mass") * h("site.gravity")
    return h.factor * (case.base_force[:, 1] - own) + 0.9 * own


@rule("ground.overturning_sideways")
def _(h, case):
    half = h("axle.span") / 2 + h("frame.leg_width") / 2 + h("frame.side_foot")
    demand = sideways(h, case) * h("axle.height")
    held = half * pressing(h, case) + 2 * half * h("base.anchors")
    return max(
        ((d, max(c, 0.0), d / c if c > 0 else math.inf) for d, c in zip(demand, held, strict=True)),
        key=lambda one: one[2],
    )


@rule("ground.overturning")
def _(h, case):
    """Where the ground must press, with the anchors of the lifted end pulling down beside it."""
    half, anchors, reach = h("frame.sill_length") / 2, h("base.anchors"), 0.0
    for up, moment in zip(pressing(h, case), case.base_moment, strict=True):
        over = max(h.factor * abs(moment) - anchors * half, 0.0)
        reach = max(reach, over / (up + anchors) if up + anchors > 0 else math.inf)
    return reach, half


@rule("ground.sliding")
def _(h, case):
    if h.machine.flag("base.wheels"):
        return None
    level = np.abs(h.factor * case.base_force[:, 0])
    hold = h("site.ground_friction") * np.maximum(pressing(h, case), 0) + h("base.stakes")
    found = (
        (d, max(c, 0.0), d / c if c > 0 else math.inf) for d, c in zip(level, hold, strict=True)
    )
    return max(found, key=lambda one: one[2])


@rule("ground.pressure")
def _(h, case):
    """EN 1997-1 Annex D: even pressure on the length about the force, a tenth of it at least."""
    if h.machine.flag("base.wheels"):
        return None
    length, most = h("frame.sill_length"), 0.0
    for up, moment in zip(pressing(h, case), case.base_moment, strict=True):
        if up > 0:
            left = max(length - 2 * h.factor * abs(moment) / up, length / 10)
            most = max(most, h("frame.share") * up / (h("frame.sill_width") * left))
    return most, h("site.ground")


def sill_loads(h, case, hollow=0.0):
    """Loads of one sill at each moment, up positive, by their place from its middle.

    Feet push by what presses and turns; the ground lies evenly about its force, on a tenth of the
    length at least, as a block (start, end, force), of which nothing lies on what is hollow at the
    pressed end; the lifted end's anchors pull for the rest.
    """
    half, spread, share = h("frame.sill_length") / 2, h("frame.spread"), h("frame.share")
    firm = half - hollow
    for ups in (h.factor * case.base_force[:, 1], pressing(h, case)):
        for up, turn in zip(share * ups, share * np.abs(h.factor * case.base_moment), strict=True):
            last = firm - 0.1 * half
            asks = max((turn - last * up) / (last + half), -up, 0.0)
            pull = min(asks, h("base.anchors") / 2)
            ground = max(up + pull, 0.0)
            centre = max(turn - pull * half, 0.0) / ground if ground else half
            start = min(2 * centre - firm, firm - 0.2 * half)
            feet = [(-spread / 2, turn / spread - up / 2), (spread / 2, -turn / spread - up / 2)]
            yield [(-half, -pull), *feet], (start, firm, ground)


def sill_worst(h, case, hollow=0.0):
    """Largest moment and shear, each foot seen from its own end: where anchors yield it is open."""
    half, foot = h("frame.sill_length") / 2, h("frame.spread") / 2
    if h.machine.flag("base.wheels"):
        return most_on_wheel(h, case) * (half - foot), most_on_wheel(h, case)
    moment = shear = 0.0
    for points, (start, end, ground) in sill_loads(h, case, hollow):
        even = ground / (end - start)
        near = [one for one in points if one[0] > 0]

        def right(x, points=near, start=start, end=end, even=even):
            covered = max(end - max(x, start), 0.0)
            bent = even * covered * (end - covered / 2 - x)
            return bent + sum(force * (place - x) for place, force in points if place > x)

        outside = even * max(min(end - foot, end - start), 0.0)
        inside = outside + near[0][1]
        left = even * max(-foot - start, 0.0)
        shear = max(shear, outside, abs(inside), abs(left + points[0][1]))
        shear = max(shear, abs(left + points[0][1] + points[1][1]))
        zero = end + near[0][1] / even if even else foot
        zero = min(max(zero, start, -foot), foot)
        far = left * max(-foot - start, 0.0) / 2 + points[0][1] * (half - foot)
        moment = max(moment, right(foot), abs(right(zero)), abs(far))
    return moment, shear


def most_on_wheel(h, case):
    """Two wheels at the ends of each of two sills: by moments about the other one."""
    length = h("frame.sill_length")
    up, turn = case.base_force[:, 1], np.abs(case.base_moment)
    return h.factor * h("frame.share") * ((up * length / 2 + turn) / length).max()


@rule("wheel.axle")
def _(h, case):
    if not h.machine.flag("base.wheels"):
        return None
    across = h("base.wheel_axle")
    bent = most_on_wheel(h, case) * h("base.wheel_out") / (math.pi * across**3 / 32)
    return bent, h.steel("axle.grade", across).yield_strength


@rule("sill.bending")
def _(h, case):
    """A bolt's hole at mid-depth; pull or push beside it by EN 1995-1-1 eq 6.17 or 6.23."""
    stress = sill_worst(h, case)[0] / left_by_hole(h, "sill")[1]
    strength = h.design(case, h.timber("frame").bending_strength)
    along, strong = HAND["sill.axial"](h, case)
    return stress, strength, stress / strength + along / strong


PLANNED = ("brief", "empty", "held", "winding", "hoist")


def hollow_end(h, case):
    """Length at a sill's end that bears nothing; none on wheels, nor joined with an accident."""
    if h.machine.flag("base.wheels") or case.kind not in PLANNED:
        return None
    return h("site.soft_corner") * h("frame.sill_length")


@rule("sill.soft_corner")
def _(h, case):
    if (hollow := hollow_end(h, case)) is None:
        return None
    stress = sill_worst(h, case, hollow)[0] / left_by_hole(h, "sill")[1]
    strength = h.design(case, h.timber("frame").bending_strength)
    along, strong = HAND["sill.axial"](h, case)
    return stress, strength, stress / strength + along / strong


@rule("ground.soft_corner_tips")
def _(h, case):
    if (hollow := hollow_end(h, case)) is None:
        return None
    reach, half = HAND["ground.overturning"](h, case)
    return reach, half - hollow


@rule("ground.soft_corner")
def _(h, case):
    """The even pressure keeps its middle under the force, and gives up the hollow on both sides."""
    if (hollow := hollow_end(h, case)) is None:
        return None
    length, most = h("frame.sill_length"), 0.0
    for up, moment in zip(pressing(h, case), case.base_moment, strict=True):
        if up > 0:
            to_end = length / 2 - hollow - h.factor * abs(moment) / up
            most = max(most, h("frame.share") * up / max(2 * to_end, length / 10))
    return most / h("frame.sill_width"), h("site.ground")


@rule("ground.wind")
def _(h, case):
    """EN 1991-1-4: 2.0 rho v^2 / 2 on every side face at its middle; EN 1990: 1.5 against 0.9."""
    pressure = h("site.air_density") * h("site.gust") ** 2
    high, long, short = h("axle.height"), h("arm.long"), h("arm.short")
    deep, drop = h("arm.depth_at_axle"), h("counterweight.hanger") if h.hung else 0.0
    turned = (deep + h("arm.depth_at_tip")) / 2 * long * (high + long / 2)
    turned += deep * short * (high - short / 2)
    box = h("counterweight.width") * h("counterweight.height")
    turned += box * max(high - short - drop, 0.0)
    leg = math.hypot(high, h("frame.spread") / 2) * h("frame.leg_depth")
    turned += 4 * leg * high / 2
    brace = h("frame.spread") * (1 - h("frame.brace") / high) * h("frame.brace_depth")
    turned += 2 * brace * h("frame.brace")
    mass = h("base.mass") + h("counterweight.mass") + h("arm.mass")
    half = h("axle.span") / 2 + h("frame.leg_width") / 2 + h("frame.side_foot")
    held = half * (0.9 * mass * h("site.gravity") + 2 * h("base.anchors"))
    return 1.5 * pressure * turned, held


def loosed(h, case):
    """Pull of the sling up to its loosing in a throw of the brief [N], or none."""
    if case.kind != "brief":
        return None
    until = case.time <= case.throw.release.time
    return max(case.throw.sling_tension[until])


@rule("sling.one_cord")
def _(h, case):
    if not (pull := loosed(h, case)):
        return None
    return pull / (h("sling.cords") - 1), HAND["sling.cords"](h, case)[1] * h("sling.factor")


@rule("prong.one_cord")
def _(h, case):
    if not (pull := loosed(h, case)):
        return None
    across = h("prong.diameter")
    bending = 32 * pull * h("prong.length") / (math.pi * across**3)
    shear = 16 * pull / (3 * math.pi * across**2)
    return math.hypot(bending, math.sqrt(3) * shear), h.steel("prong.grade", across).yield_strength


def aside(h, case):
    """A cord from the side of the widest load to the tip's middle, by like triangles [N m]."""
    widest = max([*(one.diameter for one in h.machine.brief), h("projectile.diameter")])
    return loosed(h, case) * (widest / 2) / h("sling.length") * h("arm.long")


@rule("arm.one_cord")
def _(h, case):
    """EN 1995-1-1 eqs 6.11 and 6.12; the hole leaves a slab above and one below."""
    if not loosed(h, case):
        return None
    deep, wide, hole = h("arm.depth_at_axle"), h("arm.width_at_axle"), h("arm.hole")
    turned = h.machine.text("arm.section") == "round"
    if turned:
        wide = deep
        inertia = math.pi * deep**4 / 64 - hole * deep**3 / 12
    else:
        inertia = (deep - hole) * wide**3 / 12
    side = aside(h, case) * wide / 2 / inertia
    at = list(case.position).index(0.0)
    main = case.moment[at] / bar(h, 0.0, hole).modulus
    share = 1.0 if turned else 0.7
    return max(main + share * side, share * main + side), arm_strength(h, case, 0.0)


@rule("frame.one_cord")
def _(h, case):
    if not loosed(h, case):
        return None
    return aside(h, case) / h("axle.span"), (h("frame.share") - 0.5) * case.axle_load


@rule("sill.shear")
def _(h, case):
    stress = 1.5 * sill_worst(h, case)[1] / (0.67 * math.prod(sides(h, "sill")))
    return stress, h.design(case, h.timber("frame").shear_strength)


@rule("width.trough")
def _(h, case):
    loads = [load.diameter for load in h.machine.brief]
    return max([*loads, h("projectile.diameter")]), h("trough.width")


@rule("width.box")
def _(h, case):
    return h("counterweight.breadth"), h("axle.span")


@rule("width.supports")
def _(h, case):
    wide = max(h("axle.hub"), h("arm.width_at_axle"))
    return wide + 2 * h("axle.support"), h("axle.span")
