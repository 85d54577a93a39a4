"""Any machine that is made can be checked: a number or a reason for every row, never neither."""

import json
import math

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import legal_settings, value_of

from slingwright.machine.faults import MachineError
from slingwright.machine.machine import build
from slingwright.machine.table.strength_dials import STRENGTH
from slingwright.strength import text as check_report
from slingwright.strength.checks import holding


@st.composite
def strong_settings(draw):
    """A random machine with some strength dials drawn over their whole width."""
    found = draw(legal_settings())
    for row in draw(st.lists(st.sampled_from(STRENGTH), max_size=5, unique=True)):
        found[row.path] = draw(value_of(row))
    return found


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(strong_settings())
def test_every_machine_gets_a_number_or_a_reason(values):
    """Truth: the meaning of Check: a use above 0, or not known with the words why."""
    try:
        machine = build(values)
    except MachineError:
        return
    told = holding(machine)
    assert len(told.checks) > 20
    for check in told.checks:
        assert not math.isnan(check.utilisation) and check.utilisation >= 0.0
        if not check.known:
            made = check.at_least is not None
            assert ("Cannot be checked: " in check.working) != made and check.unknown
            assert not made or check.utilisation <= 1.0
            assert len(check.working) > 40
        assert "nan" not in check.working.split()
    assert json.loads(json.dumps(check_report.as_data(told), allow_nan=False))["checks"]
    assert check_report.as_text(told)
