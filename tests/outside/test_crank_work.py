"""What people do at a crank.

Sources: W. Duane, A Military Dictionary, 1810, p. 677 (30 lbf at 3.5 ft/s for 10 h; 50 lbf for a
short effort; 80 and 40 lbf with a fly-wheel; two at right angles 70 lbf). E. S. Krendel's formula
in Marks' Standard Handbook for Mechanical Engineers (from memory), held to two values read
elsewhere: 1/4 hp for 12 min and 1/8 hp for 4 h. D. R. Wilkie, Man as a source of mechanical power,
Ergonomics 3(1), 1960, 1-8, abstract: champions 2 to 0.5 hp for 0.1 to 5 min, 0.5 to 0.4 hp for 5 to
150 min, 0.2 hp all day; ordinary healthy people 70 to 80 % of that or less. EN 1005-3:2002 Table 1
(from memory): 145 N, whole body pull, standing.
"""

import math

import numpy as np
import pytest
from scipy.special import lambertw

from slingwright.formulas.winch import crew
from slingwright.winch.hook import HANDY_PULL

POUND_FORCE = 4.4482216152605
FOOT = 0.3048


@pytest.mark.parametrize(
    ("minutes", "horsepower"), [(12, 0.251), (240, 0.131), (480, 0.103), (12, 0.25), (240, 0.125)]
)
def test_krendel(minutes: float, horsepower: float) -> None:
    """Truth: the formula by hand to three digits, and the two values read, to 5 %."""
    found = crew.crank_power(60.0 * minutes) / crew.HORSEPOWER
    assert found == pytest.approx(horsepower, rel=0.05)
    if horsepower not in (0.25, 0.125):
        assert found == pytest.approx(horsepower, abs=5.01e-4)


@pytest.mark.parametrize(
    ("seconds", "champion"),
    [(6.0, 2.0), (300.0, 0.5), (9000.0, 0.4), (28_800.0, 0.2)],
)
def test_no_crew_of_champions(seconds: float, champion: float) -> None:
    """Truth: Wilkie: ordinary people give at most 80 % of a champion's power."""
    assert crew.crank_power(seconds) <= 0.8 * champion * crew.HORSEPOWER


def test_duane_at_the_crank() -> None:
    """Truth: Duane: 30 lbf at 3.5 ft/s all day, 50 lbf short: the fall, from EN 1005-3's 145 N.

    One number for what a person pulls: the crank's short effort is the lanyard's.
    """
    assert pytest.approx(145.0 * 30.0 / 50.0) == crew.LONG_FORCE
    assert crew.SHORT_FORCE == HANDY_PULL == 145.0 < 50 * POUND_FORCE
    assert pytest.approx(3.5 * FOOT) == crew.HAND_SPEED
    assert crew.force_allowed(36_000.0) == pytest.approx(crew.LONG_FORCE)
    assert crew.force_allowed(10.0) == pytest.approx(crew.SHORT_FORCE)


def test_the_force_all_day_is_no_more_than_its_power_allows() -> None:
    """Truth: Duane's 142 W for 10 h is twice Krendel's 75 W for 8 h: 87 N stay within 1.3."""
    assert 1.5 * crew.crank_power(28_800.0) < 30 * POUND_FORCE * crew.HAND_SPEED
    assert 1.3 * crew.crank_power(28_800.0) > crew.LONG_FORCE * crew.HAND_SPEED
    assert crew.crank_power(28_800.0) == pytest.approx(75.0, rel=0.05)


def test_time_for_work_gives_the_work_back() -> None:
    """Truth: power times time is the work, for efforts of seconds to hours."""
    for work in np.geomspace(500.0, 1.9e6, 30):
        time = crew.time_for_work(work, 1.0)
        assert crew.crank_power(time) * time == pytest.approx(work, rel=1e-9)
    assert crew.time_for_work(60e3, 4) == pytest.approx(crew.time_for_work(15e3, 1))


def test_time_for_work_in_closed_form() -> None:
    """Truth: W = P (t) t solved by hand with Lambert's W, in minutes and horsepower."""
    for work in (4e3, 15e3, 120e3, 1.5e6):
        share = work / (60.0 * 550.0 * 0.3048 * 0.45359237 * 9.80665)
        slope = 0.092 / math.log(10.0)
        inside = -share / slope * math.exp(-0.35 / slope)
        minutes = math.exp(0.35 / slope + float(lambertw(inside, -1).real))
        assert crew.time_for_work(2.0 * work, 2) == pytest.approx(60.0 * minutes, rel=1e-7)


def test_the_shortest_efforts_keep_the_power_of_six_seconds() -> None:
    """Truth: 0.35 - 0.092 log10 (0.1) is 0.442 hp, and work is power times time."""
    assert crew.time_for_work(100.0, 1) == pytest.approx(100.0 / (0.442 * 745.69987), rel=1e-6)
    assert crew.time_for_work(0.442 * 745.69987 * 6.0, 1) == pytest.approx(6.0, rel=1e-6)


def test_rest_makes_the_mean_power_a_days_power() -> None:
    """Truth: work over work and rest together is the power of the day."""
    time = crew.time_for_work(60e3, 4)
    rest = crew.rest_after(60e3, 4, time, 14_400.0)
    assert 60e3 / 4 / (time + rest) == pytest.approx(crew.crank_power(14_400.0))
    assert crew.rest_after(100.0, 4, 3600.0, 14_400.0) == 0.0


@pytest.mark.parametrize("people", [0.0, -1.0, float("nan")])
def test_no_crew(people: float) -> None:
    """Truth: nobody winds nothing; the message says so."""
    with pytest.raises(ValueError, match="winds nothing"):
        crew.time_for_work(1000.0, people)


@pytest.mark.parametrize("work", [-5.0, float("nan")])
def test_no_work(work: float) -> None:
    """Truth: a crew gives no energy back, and no number is no work."""
    with pytest.raises(ValueError, match="Give 0 J or more"):
        crew.time_for_work(work, 2)


def test_more_than_a_day() -> None:
    """Truth: 8 h at the formula's 0.103 hp is 2.2 MJ."""
    with pytest.raises(ValueError, match="a day's work"):
        crew.time_for_work(2.3e6, 1)
