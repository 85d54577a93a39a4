"""A formula worked out shows what it computes.

Truth: the formula called by itself; an axle's moment by hand; the docstring's own words.
"""

import importlib
import inspect

import numpy as np
import pytest
from formulas.test_equations import Unread, example, formulas

import slingwright as sw
from slingwright.amounts.text import Amount


def test_an_axle_by_hand() -> None:
    """Truth: 12 kN over 1.2 m under a hub of 0.2 m: 12,000 x (2.4 - 0.2) / 8 = 3,300 N m."""
    done = sw.worked("patch_load_moment", 12e3, 1.2, patch=0.2)
    rows = {row.key: row for row in done.rows()}
    assert done.value == pytest.approx(3300.0)
    assert rows["result"].value == Amount(done.value, "N m")
    assert (rows["load"].value, rows["load"].note) == (Amount(12e3, "N"), "P")
    assert (rows["span"].value, rows["span"].note) == (Amount(1.2, "m"), "L")
    assert "M = P (2 L - c) / 8" in done.sentence
    assert ". Source: " in done.sentence
    page = done._repr_html_()
    assert "12 kN" in page and "3.3 kN m" in page.replace("kN\u00b7m", "kN m")
    assert "lbf" in str(done.table("US"))


def test_texts_with_units_are_read() -> None:
    """Truth: a foot is 0.3048 m; 12 kN is 12,000 N."""
    read = sw.worked("patch_load_moment", "12 kN", "4 ft", patch="20 cm")
    assert read.value == pytest.approx(12e3 * (2.0 * 4.0 * 0.3048 - 0.2) / 8.0)


def test_every_formula_can_be_worked() -> None:
    """Truth: the formula called alone with its own example gives the number that is shown."""
    shown = 0
    for module_name, node in formulas():
        module = importlib.import_module(module_name)
        try:
            given = example(module, node)
        except Unread:
            continue
        done = sw.worked(node.name, **given)
        alone = getattr(module, node.name)(**given)
        assert done.words and done.words == " ".join(
            inspect.getdoc(getattr(module, node.name)).split("\n\n")[0].split()
        )
        assert done.record()["rows"] and len(repr(done)) <= 400
        if isinstance(alone, float):
            (row,) = done.results
            if isinstance(row.value, Amount):
                assert row.value.value == alone, node.name
            else:
                assert float(row.value.split()[0]) == pytest.approx(alone, rel=1e-3), node.name
            shown += 1
        elif isinstance(alone, np.ndarray):
            assert done.results[0].value is not None
    assert shown > 60


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: sw.worked("axle_lien", 1.0),
            "no formula is called 'axle_lien'; near it: .*axle_line",
        ),
        (
            lambda: sw.worked("patch_load_moment", 1.0),
            "patch_load_moment: missing .*; it takes load, span, patch",
        ),
        (lambda: sw.worked("patch_load_moment", 1.0, 1.0, pitch=2.0), "patch_load_moment: .*patch"),
        (lambda: sw.worked("patch_load_moment", "12 m", 1.0, 0.2), "load: "),
        (
            lambda: sw.worked("patch_load_moment", np.nan, 1.0, 0.2),
            "load is nan; give a finite",
        ),
        (lambda: sw.worked(5), "no formula is called 5"),
        (lambda: sw.worked("working_span", 1.0, 0.6), "leaves no span of 1 m"),
    ],
)
def test_refusals(call, words) -> None:
    """Truth: name, what it takes, and the formula's own limit."""
    with pytest.raises(ValueError, match=words):
        call()
