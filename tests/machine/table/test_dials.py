"""The table of dials: rows that fit together, and hints for paths that are nearly right."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.amounts import units
from slingwright.machine.table import derived, dials

# The public paths, as machine files out there use them: a path may come, none may go.
PATHS = [
    "arm.long",
    "arm.short",
    "arm.mass",
    "arm.balance",
    "arm.inertia",
    "arm.cocked",
    "arm.timber",
    "arm.depth_at_axle",
    "arm.width_at_axle",
    "arm.depth_at_tip",
    "arm.width_at_tip",
    "counterweight.mass",
    "counterweight.hanger",
    "counterweight.inertia",
    "counterweight.width",
    "counterweight.height",
    "counterweight.hung",
    "sling.length",
    "sling.mass",
    "sling.pouch",
    "release.angle",
    "projectile.mass",
    "projectile.diameter",
    "projectile.drag",
    "trough.height",
    "trough.friction",
    "trough.width",
    "axle.height",
    "axle.diameter",
    "axle.friction",
    "axle.span",
    "axle.grade",
    "hanger.friction",
    "hanger.pin",
    "base.wheels",
    "base.mass",
    "base.rolling",
    "winch.drum",
    "winch.crank",
    "winch.gear",
    "winch.parts",
    "winch.sheave_loss",
    "winch.people",
    "winch.rope",
    "winch.x",
    "winch.y",
    "winch.on_arm",
    "site.gravity",
    "site.air_density",
    "site.wind",
    "site.height",
    "site.limit",
]
REQUIRED = {
    "arm.long",
    "arm.short",
    "axle.height",
    "counterweight.mass",
    "sling.length",
    "projectile.mass",
}


def test_public_paths_are_all_there() -> None:
    """Truth: the list of public paths above."""
    assert set(PATHS) <= set(dials.BY_PATH)
    assert len(dials.BY_PATH) == len(dials.TABLE)


# What may stay unknown: air on an odd shape, pieces, lengths, places and ratings nobody looked at.
UNGIVEN = {
    "projectile.drag",
    *("axle.support_depth", "axle.support_width", "base.wheel_axle", "base.wheel_out"),
    *("rails.gap", "rails.stiffness"),
    *("rig.lead_x", "rig.lead_y", "rope.sheave", "rope.rope_length"),
    *(f"mark.{piece}_rating" for piece in ("shackle", "arm_block", "frame_block", "hook", "pawl")),
    *("hook.x", "hook.person_x", "hook.person_z"),
    *(f"place.{who}_{way}" for who in ("winders", "loader", "helper", "public") for way in "xz"),
}


def test_required_dials_are_six() -> None:
    """Truth: the list above: what no rule can derive."""
    assert {row.path for row in dials.TABLE if row.required} == REQUIRED


@pytest.mark.parametrize("row", dials.TABLE, ids=lambda row: row.path)
def test_row_is_whole(row: dials.Dial) -> None:
    """Truth: the meaning of the columns, in dials.Dial."""
    assert row.group in dials.GROUPS and row.path == f"{row.group}.{row.key}"
    assert row.label and row.help.endswith(".") and len(row.help) < 90
    has_value = row.required or row.default is not None or row.path in derived.PATHS
    assert has_value or row.path in UNGIVEN
    if row.kind == "number":
        assert row.symbol and math.isfinite(row.low) and row.low < row.high < math.inf
        assert 0.0 < row.step <= row.high - row.low
        assert row.default is None or row.low <= row.default <= row.high
    else:
        assert row.unit == "-" and row.default is not None
    assert not (row.required and row.default is not None)


@pytest.mark.parametrize("row", dials.TABLE, ids=lambda row: row.path)
def test_factor_is_that_of_the_unit(row: dials.Dial) -> None:
    """Truth: the table of units, which tests hold to pint."""
    assert row.factor == units.unit_named(row.unit).factor
    assert units.unit_named(row.si_unit).factor == 1.0


def test_symbols_are_unique() -> None:
    """Truth: one letter beside an equation means one thing."""
    symbols = [row.symbol for row in dials.TABLE if row.symbol]
    assert len(symbols) == len(set(symbols))


def test_moving_dials_keep_the_order_of_the_table() -> None:
    """Truth: the compiled functions take the values in the order of the table."""
    order = [dials.TABLE.index(row) for row in dials.MOVING]
    assert order == sorted(order)
    assert [dials.MOVING_INDEX[row.path] for row in dials.MOVING] == list(range(len(order)))
    assert all(row.kind != "name" for row in dials.MOVING)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("sling.lenght", "sling.length"),
        ("arm.lnog", "arm.long"),
        ("counterwieght.mass", "counterweight.mass"),
        ("projectile.mas", "projectile.mass"),
        ("ball.diameter", "axle.diameter"),
        ("qqqqqq", None),
    ],
)
def test_nearest_path(typed: str, meant: str | None) -> None:
    """Truth: what a person meant who typed it; `ball.diameter` shares only its last part."""
    found = dials.nearest(typed)
    assert found == meant or (found or "").endswith(".diameter")


def test_unknown_dial_names_the_nearest() -> None:
    """Truth: the message must give the path that was meant."""
    with pytest.raises(dials.UnknownDial, match=r"sling\.lenght: .*did you mean sling\.length\?"):
        dials.dial("sling.lenght")
    with pytest.raises(KeyError, match="no such dial"):
        dials.dial("")


@given(st.text(max_size=2000))
def test_any_text_gets_a_known_hint_or_none(text: str) -> None:
    """Truth: a hint is a path of the table."""
    found = dials.nearest(text)
    assert found is None or found in dials.BY_PATH


def test_groups_hold_every_row_once() -> None:
    """Truth: the groups split the table."""
    assert [row for name in dials.GROUPS for row in dials.group(name)] == list(dials.TABLE)
