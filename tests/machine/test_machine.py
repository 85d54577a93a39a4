"""The machine record: given, derived, changed, refused. Truths stand with each test."""

import copy
import dataclasses
import math
import pickle
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import absurd_settings, legal_settings

from slingwright.machine.faults import MOST_FAULTS
from slingwright.machine.machine import BriefLoad, Machine, MachineError, build, moving_table
from slingwright.machine.table import derived, dials

BASE: dict[str, Any] = {
    "arm.long": 5.8,
    "arm.short": "1.4 m",
    "axle.height": "4.2 m",
    "counterweight.mass": "0.9 t",
    "sling.length": "15 ft",
    "projectile.mass": 12.0,
}


@pytest.fixture
def base() -> Machine:
    return build(BASE, name="base", brief=(BriefLoad(name="ball", mass=4.0, diameter=0.2),))


def faults_of(**changes: object) -> MachineError:
    """Give the error of the base machine with changes; `__` stands for the full stop."""
    with pytest.raises(MachineError) as caught:
        build({**BASE, **{key.replace("__", "."): value for key, value in changes.items()}})
    return caught.value


def test_values_are_si_and_complete(base: Machine) -> None:
    """Truth: hand arithmetic; every path of the table has a value."""
    assert base["sling.length"] == pytest.approx(15 * 0.3048, rel=1e-15)
    assert base["counterweight.mass"] == 900.0
    assert base["release.angle"] == pytest.approx(math.radians(40.0))
    assert list(base.values) == [row.path for row in dials.TABLE]
    ungiven = {path for path, value in base.values.items() if value is None}
    assert ungiven == {
        row.path
        for row in dials.TABLE
        if row.default is None and not row.required and row.path not in derived.PATHS
    }
    for row in dials.TABLE:
        kinds = {"number": (float, type(None)), "flag": (bool,), "name": (str,)}
        assert isinstance(base[row.path], kinds[row.kind])


def test_reading_by_kind(base: Machine) -> None:
    """Truth: the kinds of the table of dials."""
    assert base.number("arm.long") == 5.8
    assert base.flag("counterweight.hung") is True
    assert base.text("arm.timber") == "D30"
    with pytest.raises(TypeError, match=r"arm\.timber is 'D30', not a number"):
        base.number("arm.timber")
    with pytest.raises(TypeError, match="not true or false"):
        base.flag("arm.long")
    with pytest.raises(TypeError, match="not a name"):
        base.text("arm.long")
    with pytest.raises(dials.UnknownDial, match=r"did you mean sling\.length"):
        base["sling.lenght"]


def test_record_is_frozen(base: Machine) -> None:
    """Truth: a machine never changes."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        base.name = "other"  # type: ignore[misc]
    with pytest.raises(TypeError):
        base.values["arm.long"] = 1.0  # type: ignore[index]


def test_moving_follows_the_table(base: Machine) -> None:
    """Truth: order of dials.MOVING; flags 0 or 1, not given NaN."""
    vector = base.moving()
    assert vector.dtype == np.float64 and vector.shape == (len(dials.MOVING),)
    for row, value in zip(dials.MOVING, vector, strict=True):
        own = base[row.path]
        assert math.isnan(value) if own is None else value == float(own)  # type: ignore[arg-type]


def test_change_makes_a_new_checked_machine(base: Machine) -> None:
    """Truth: what was derived follows, what was given stays, the old machine stays."""
    other = base.change({"counterweight.mass": "1600 kg", "sling.length": 4.2})
    assert (other["counterweight.mass"], other["sling.length"]) == (1600.0, 4.2)
    assert other.number("counterweight.width") == pytest.approx((1600.0 / 1800.0) ** (1.0 / 3.0))
    assert other["arm.mass"] == base["arm.mass"]
    assert base["counterweight.mass"] == 900.0
    assert (other.name, other.brief) == (base.name, base.brief)
    with pytest.raises(MachineError, match=r"sling\.length = -1 m: too small"):
        base.change({"sling.length": -1.0})


def test_change_to_none_takes_a_value_back(base: Machine) -> None:
    """Truth: None is 'not given': derived or default again; a required one is then missing."""
    heavy = base.change({"arm.mass": "500 kg", "release.angle": "30 deg"})
    assert heavy.change({"arm.mass": None, "release.angle": None}) == base
    with pytest.raises(MachineError, match=r"arm\.long: this value is required and missing"):
        base.change({"arm.long": None})
    with pytest.raises(MachineError, match=r"did you mean arm\.long"):
        base.change({"arm.lonng": None})
    assert base.change({"projectile.drag": 0.5}).change({"projectile.drag": None}) == base


def test_derived_and_account_tell_where_values_come_from(base: Machine) -> None:
    """Truth: given is what was set; the rest has a rule or a default."""
    assert base.given == set(BASE)
    assert "tapered beam" in base.derived["arm.mass"]
    assert set(base.derived).isdisjoint(base.given)
    account = base.account()
    lines = {line.split()[0]: line for line in account.splitlines()}
    assert lines["arm.long"].endswith("given") and "5.8 m" in lines["arm.long"]
    assert "derived: 0.8 of the short arm" in lines["counterweight.hanger"]
    assert lines["site.gravity"].endswith("default")
    assert len(lines) == len(dials.TABLE) + 1
    assert "1,984 lb" in base.account("US")


def test_equal_machines_are_one_key(base: Machine) -> None:
    """Truth: records with the same contents are equal and hash alike, also after a pickle."""
    again = build(BASE, name="base", brief=base.brief)
    assert again == base and hash(again) == hash(base)
    assert base.change({"sling.length": 4.0}) != base
    for other in (pickle.loads(pickle.dumps(base)), copy.deepcopy(base)):
        assert other == base and other.moving().tobytes() == base.moving().tobytes()
    assert base != 3 and "base" in repr(base)


# ---- faults


def test_every_fault_at_once() -> None:
    """Truth: six things were put wrong."""
    error = faults_of(
        arm__long=math.nan,
        sling__lenght="3 m",
        arm__timber="D31",
        winch__parts=2.5,
        base__wheels=1,
        trough__friction=True,
        projectile__mass="3 ft",
    )
    keys = [fault.key for fault in error.faults]
    assert sorted(keys) == [
        "arm.long",
        "arm.timber",
        "base.wheels",
        "projectile.mass",
        "sling.lenght",
        "trough.friction",
        "winch.parts",
    ]
    assert str(error).count("\n") == len(keys) - 1
    for fault in error.faults:
        assert fault.message and fault.limit and fault.next_step


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("sling.length", "50 m", "too large; limit: 0.01 to 40 m; make it 40 m or less"),
        ("sling.length", 0.001, "too small; limit: 0.01 to 40 m; make it 0.01 m or more"),
        ("sling.length", "5 kg", "kg is the unit of a mass"),
        ("sling.length", "5", "the unit is missing"),
        ("sling.length", math.inf, "not a finite number"),
        ("sling.length", 10**400, "not a finite number"),
        ("sling.length", 1e308, "too large"),
        ("sling.length", [1], "a list: this is not a number"),
        ("sling.length", None, "this is not a number"),
        ("release.angle", "200 deg", "limit: -120 to 150 deg"),
        ("release.angle", 5.0, "286.5 deg: too large"),
        ("winch.people", 1.5, "not a whole number"),
        ("arm.timber", "c24", "did you mean C24"),
        ("arm.timber", 24, "this is not a name"),
        ("axle.grade", "S356", "did you mean S355"),
        ("counterweight.hung", "true", "write true or false, no quotes"),
        ("site.wind", "a\x1b[31m", r"a\\x1b\[31m"),
    ],
)
def test_one_wrong_value(path: str, value: object, words: str) -> None:
    """Truth: the limits in the table of dials; the words name value, limit and next step."""
    error = faults_of(**{path.replace(".", "__"): value})
    assert [fault.key for fault in error.faults] == [path]
    with pytest.raises(MachineError, match=words):
        raise error


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"arm__balance": 7.0}, "arm.balance", "outside the arm; limit: from -1.4 m"),
        (
            {"arm__mass": 100.0, "arm__inertia": 3000.0},
            "arm.inertia",
            "no arm of this mass, length and balance",
        ),
        ({"arm__cocked": "60 deg"}, "arm.cocked", "below the ground; limit: at most 46.4 deg"),
        (
            {"sling__length": "1.5 m", "trough__height": 0.0, "arm__cocked": "10 deg"},
            "sling.length",
            "does not reach the trough",
        ),
        ({"sling__length": "0.1 m"}, "sling.length", "ends inside the projectile"),
        ({"counterweight__hanger": "6 m"}, "counterweight.hanger", "in the ground"),
        ({"arm__short": "4.5 m"}, "arm.short", "stands upright"),
        (
            {"arm__short": "4 m", "counterweight__hung": False},
            "arm.short",
            "at most 3.803 m with this axle and counterweight",
        ),
        (
            {"projectile__mass": 0.0, "sling__mass": 0.0, "sling__pouch": 0.0},
            "projectile.mass",
            "no mass at all",
        ),
        (
            {"counterweight__hanger": 0.0, "counterweight__inertia": 0.0},
            "counterweight.inertia",
            "no inertia to swing with",
        ),
        ({"trough__width": "10 cm"}, "trough.width", "does not fit into the trough"),
        ({"axle__span": "10 cm"}, "axle.span", "the arm, 0.2578 m wide, does not pass"),
        ({"winch__on_arm": "6 m"}, "winch.on_arm", "beyond its tip; limit: at most 5.8 m"),
        ({"arm__depth_at_axle": "3 m", "arm__width_at_axle": "3 m"}, "arm.mass", "derived for it"),
    ],
)
def test_values_that_do_not_go_together(changes: dict[str, object], key: str, words: str) -> None:
    """Truth: geometry and mechanics of the machine; each is one condition between dials."""
    error = faults_of(**changes)
    assert key in [fault.key for fault in error.faults]
    with pytest.raises(MachineError, match=words):
        raise error


@pytest.mark.parametrize(
    "changes",
    [
        {"counterweight__hanger": 0.0, "counterweight__inertia": 0.0, "counterweight__hung": False},
        {"projectile__mass": 0.0},
        {"projectile__mass": 0.0, "sling__mass": 0.0, "sling__pouch": 0.001},
        {"arm__mass": 0.0},
        {"arm__cocked": "46 deg"},
        {"counterweight__hanger": 0.0},
        {"site__air_density": 0.0, "trough__friction": 0.0, "axle__friction": 0.0},
        {"site__height": "-50 m"},
        {"arm__balance": "-0.2 m"},
    ],
)
def test_corners_that_are_legal(changes: dict[str, object]) -> None:
    """Truth: each can be built, or is a limit that theory uses."""
    m = build({**BASE, **{key.replace("__", "."): value for key, value in changes.items()}})
    assert np.isfinite(np.delete(m.moving(), dials.MOVING_INDEX["projectile.drag"])).all()


def test_many_faults_are_counted() -> None:
    """Truth: 500 unknown keys and one line for those beyond the limit."""
    with pytest.raises(MachineError) as caught:
        build({**BASE, **{f"x.k{i}": 1.0 for i in range(500)}})
    assert len(caught.value.faults) == MOST_FAULTS + 1
    assert "300 more faults are not listed" in str(caught.value)


@given(legal_settings())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_machine_is_whole_or_refused_legal(given_settings: dict[str, Any]) -> None:
    """Truth: no third way: a complete machine of finite numbers, or faults with a dial each."""
    whole_or_refused(given_settings)
    assert given_settings


@given(absurd_settings())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_machine_is_whole_or_refused_absurd(given_settings: dict[str, Any]) -> None:
    """Truth: the same, for settings of any type and size."""
    whole_or_refused(given_settings)
    assert given_settings


def whole_or_refused(given_settings: dict[str, Any]) -> None:
    """Hold a machine to its limits, or its refusal to naming what is wrong."""
    try:
        m = build(given_settings)
    except MachineError as error:
        assert error.faults
        for fault in error.faults:
            assert fault.key and fault.message and str(fault).isprintable()
        return
    for row in dials.TABLE:
        value = m[row.path]
        if isinstance(value, float):
            assert row.lowest <= value <= row.highest
    assert m.change({}) == m
    assert m.account()


# ---- many at once


def test_table_row_is_the_changed_machine(base: Machine) -> None:
    """Truth: change() of one machine at a time, to rounding."""
    columns = {
        "sling.length": np.linspace(3.0, 6.0, 7),
        "counterweight.mass": np.linspace(500.0, 2000.0, 7),
        "counterweight.hung": np.array([True, False] * 3 + [True]),
        "arm.timber": np.array(["C24", "D30", "D70", "C24", "C16", "D30", "C24"]),
        "winch.drum": np.full(7, 0.3),
    }
    table, faults = moving_table(base, columns)
    assert faults == [None] * 7
    for row in range(7):
        one = base.change({path: column[row].item() for path, column in columns.items()})
        np.testing.assert_allclose(table[row], one.moving(), rtol=1e-13)


def test_table_says_what_is_wrong_with_a_row(base: Machine) -> None:
    """Truth: the row's own change() is refused for the same dial."""
    lengths = np.array([4.0, 0.001, math.nan, 41.0, 0.3, 4.5])
    table, faults = moving_table(base, {"sling.length": lengths, "arm.cocked": np.full(6, 0.5)})
    assert table.shape == (6, len(dials.MOVING))
    assert [fault is None for fault in faults] == [True, False, False, False, False, True]
    assert "too small" in (faults[1] or "") and "not a finite" in (faults[2] or "")
    assert "too large" in (faults[3] or "") and "does not reach the trough" in (faults[4] or "")
    for row in (1, 2, 3, 4):
        with pytest.raises(MachineError, match=r"sling\.length"):
            base.change({"sling.length": float(lengths[row]), "arm.cocked": 0.5})


def test_table_of_drag_takes_none_as_not_given(base: Machine) -> None:
    """Truth: NaN in the motion's vector means a sphere by its Reynolds number."""
    table, faults = moving_table(base, {"projectile.drag": np.array([0.4, math.nan])})
    assert faults == [None, None]
    assert math.isnan(table[1, dials.MOVING_INDEX["projectile.drag"]])


def test_table_refuses_what_makes_no_rows(base: Machine) -> None:
    """Truth: a path that is no dial, and columns of two lengths."""
    with pytest.raises(MachineError, match=r"did you mean sling\.length"):
        moving_table(base, {"sling.lenght": np.ones(3)})
    with pytest.raises(ValueError, match="one length"):
        moving_table(base, {"sling.length": np.ones(3), "arm.mass": np.ones(4)})


@given(legal_settings(), st.lists(st.sampled_from(dials.MOVING), min_size=1, max_size=4))
@settings(
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much], max_examples=60
)
def test_table_and_change_agree(given_settings: dict[str, Any], rows: list[dials.Dial]) -> None:
    """Truth: change(), for the ends and the middle of any moving dials."""
    try:
        m = build(given_settings)
    except MachineError:
        return
    columns = {}
    for row in rows:
        if row.kind == "flag":
            columns[row.path] = np.array([True, False, True])
        else:
            columns[row.path] = np.linspace(row.low, row.high, 3) * row.factor
    table, faults = moving_table(m, columns)
    for number in range(3):
        try:
            one = m.change({path: column[number].item() for path, column in columns.items()})
        except MachineError:
            assert faults[number] is not None
        else:
            assert faults[number] is None
            np.testing.assert_allclose(table[number], one.moving(), rtol=1e-12)
