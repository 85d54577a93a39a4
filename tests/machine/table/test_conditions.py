"""What must hold between values. Truths: geometry and mechanics by hand, at the very edge."""

import math
from typing import Any

import numpy as np
import pytest

from slingwright.machine.machine import MachineError, build
from slingwright.machine.table import dials
from slingwright.machine.table.conditions import CONDITIONS, Condition

BASE: dict[str, Any] = {
    "arm.long": 5.0,
    "arm.short": 1.0,
    "axle.height": 4.0,
    "counterweight.mass": 900.0,
    "sling.length": 4.0,
    "projectile.mass": 12.0,
    "projectile.diameter": 0.2,
}


def refused(key: str, **changes: Any) -> bool:
    """Tell whether the base machine with changes is refused for `key`."""
    settings = {**BASE, **{path.replace("__", "."): value for path, value in changes.items()}}
    try:
        build(settings)
    except MachineError as error:
        return key in [fault.key for fault in error.faults]
    return False


@pytest.mark.parametrize(
    ("key", "path", "edge", "way", "others"),
    [
        # the tip touches the ground where 5 sin e = 4
        ("arm.cocked", "arm.cocked", math.asin(0.8), 1, {}),
        # the tip 3 m above the projectile's centre: 4 - 5 sin e = 0.1 + 3
        ("sling.length", "sling.length", 3.0 / 0.995, -1, {"arm.cocked": math.asin(0.18)}),
        # the cocked weight's lower edge on the ground: 4 + 1 sin 0 - c - 0.4 = 0
        (
            "counterweight.hanger",
            "counterweight.hanger",
            3.6,
            1,
            {"arm.cocked": 0.0, "counterweight.height": 0.8},
        ),
        # upright, a fixed weight's lower edge on the ground: 4 - s - 0.4 = 0
        (
            "arm.short",
            "arm.short",
            3.6,
            1,
            {"counterweight.hung": False, "counterweight.height": 0.8, "arm.balance": 0.0},
        ),
        ("arm.balance", "arm.balance", -1.0, -1, {"arm.inertia": 0.0, "arm.mass": 1.0}),
        ("winch.on_arm", "winch.on_arm", 5.0, 1, {}),
        ("trough.width", "trough.width", 0.2, -1, {}),
        # radii of pin and axle together reach over the short arm: (p + 0.4) / 2 = 0.5
        (
            "hanger.pin",
            "hanger.pin",
            0.6,
            1,
            {"axle.diameter": 0.4, "arm.short": 0.5, "counterweight.hanger": 1.0},
        ),
        ("axle.span", "axle.span", 0.3, -1, {"arm.width_at_axle": 0.3}),
        # all mass of an arm at its two ends: m (L - b)(b + S), and the margins of the rule
        (
            "arm.inertia",
            "arm.inertia",
            100.0 * (1.25 * 4.0 * 2.0 + 0.3**2),
            1,
            {"arm.mass": 100.0, "arm.balance": 1.0, "arm.depth_at_axle": 0.3},
        ),
    ],
)
def test_edge(key: str, path: str, edge: float, way: int, others: dict[str, Any]) -> None:
    """Truth: the arithmetic beside each row: sound just inside the edge, refused just outside."""
    for side, wrong in ((-1e-6, False), (1e-6, True)):
        value = edge + way * side * max(abs(edge), 1.0)
        changes = {**others, path: value}
        assert refused(key, **{one.replace(".", "__"): v for one, v in changes.items()}) == wrong


@pytest.mark.parametrize("condition", CONDITIONS, ids=lambda one: one.paths)
def test_condition_is_elementwise_and_speaks(condition: Condition) -> None:
    """Truth: arrays give what floats give, row by row; a broken row gets three texts."""
    machine = build(BASE)
    rng = np.random.default_rng(4)
    columns = []
    for path in condition.needs:
        value = machine[path]
        if isinstance(value, bool):
            columns.append(rng.random(200) < 0.5)
        else:
            columns.append(machine.number(path) * 10.0 ** rng.uniform(-3.0, 2.0, 200))
    together = condition.holds(*columns)
    alone = [bool(condition.holds(*(c[row].item() for c in columns))) for row in range(200)]
    assert together.tolist() == alone
    assert bool(condition.holds(*(machine[path] for path in condition.needs)))
    broken = [row for row in range(200) if not alone[row]]
    if condition.key not in ("projectile.mass", "counterweight.inertia"):
        assert broken
    for row in broken:
        words = condition.say(*(c[row].item() for c in columns))
        assert len(words) == 3 and all(words)


def test_condition_blames_a_dial_it_needs() -> None:
    """Truth: a fault shows the value of its dial."""
    for condition in CONDITIONS:
        assert condition.key in condition.needs
        assert all(path in dials.BY_PATH for path in condition.needs)
